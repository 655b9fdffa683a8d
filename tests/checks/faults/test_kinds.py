"""Kinds of fault, their usual severity, and whether they block acceptance."""

from __future__ import annotations

import re

import pytest

from commission_tui.checks.faults.fault_words import fault_note, named_kind
from commission_tui.checks.faults.kinds import (
    KINDS,
    RESOLUTIONS,
    first_looks,
    read_catalogue,
    too_coarse,
    usual_severity,
)
from commission_tui.checks.faults.severity import (
    SEVERITY_MEANING,
    SEVERITY_TITLE,
    blocking_rule,
    blocking_words,
    blocks_acceptance,
    suggested_severity,
)
from commission_tui.checks.model.types import SeenFault
from commission_tui.errors import ChecklistError, InputError
from commission_tui.wall.model.location import parse_location
from tests.checks.helping import fellmoor

LOGGED_BEFORE = """
pixel dark/pixel dark in one colour/pixel stuck lit/pixel dim or tinted/pixel intermittent/
LED knocked off/line in module/module dark/module one colour lost/module scrambled/
module in wrong place or turned/module brighter or darker/module flickers/module proud or sunken/
cabinet dark/cabinet frozen or on its own pattern/cabinet shows wrong tile/
cabinet turned or mirrored/cabinet brighter or darker/cabinet tinted/cabinet tears or lags/
cabinet hot or fan noise/chain dark from here on/dark seam/bright seam/step at seam/
corner mismatch/wall not level or plumb/no picture on an input/input range or colour wrong/
bands or moire on camera/lock or bolt not home/suspension part damaged or overloaded/
breaker or residual device opens/shock, tingle, heat or smell/document does not match the wall
"""


def test_every_kind_that_older_logbooks_hold_is_still_known() -> None:
    names = [name for name in LOGGED_BEFORE.replace("\n", "").split("/") if name]
    assert len(names) == 36
    assert [named_kind(name).name for name in names] == names


def test_the_catalogue_is_whole_and_in_words_that_fit_a_line() -> None:
    assert len(KINDS) >= 75
    assert len({kind.name for kind in KINDS}) == len(KINDS)
    assert {kind.at for kind in KINDS} == set(RESOLUTIONS)
    for kind in KINDS:
        assert len(kind.name) <= 50, kind.name
        assert len(set(kind.first_looks)) == 3, kind.name
        assert all(0 < len(look) <= 90 for look in kind.first_looks), kind.name
        assert kind.seen_on, kind.name
        assert (" or " in kind.name) == (len(kind.either) > 1), kind.name
        assert set(kind.either) <= set(re.split(r",? ", kind.name)), kind.name


@pytest.mark.parametrize("at", RESOLUTIONS)
def test_the_example_of_a_place_is_one_the_grammar_reads(at: str) -> None:
    form, hint = RESOLUTIONS[at]
    examples = hint.split(": ", 1)[-1]
    for example in re.split(r", or (?:on the canvas )?|, (?=R3C7 )", examples):
        location = parse_location(example)
        assert location.form == form
        kind = next(kind for kind in KINDS if kind.at == at)
        assert not too_coarse(kind, location)


def test_only_pixels_count_in_the_allowance_for_pixels() -> None:
    counted = {kind.name for kind in KINDS if kind.pixel}
    assert counted == {
        *("pixel dark", "pixel dark in one colour", "pixel stuck lit", "pixel dim or tinted"),
        *("pixel intermittent", "LED knocked off"),
    }


def test_what_can_hurt_carries_a_caution() -> None:
    assert all(kind.caution for kind in KINDS if kind.severity == "danger")
    assert all(kind.caution for kind in KINDS if kind.form == "circuit")
    assert all(kind.blocks == "always" for kind in KINDS if kind.severity == "danger")


def test_an_unknown_kind_names_the_nearest() -> None:
    assert named_kind("dark seam").form == "seam"
    with pytest.raises(InputError, match="did you mean 'dark seam'"):
        named_kind("dark seem")


def test_what_to_look_at_first() -> None:
    assert len(first_looks("chain dark from here on")) == 3
    assert first_looks("a smell of burnt toast in the foyer") == ()


@pytest.mark.parametrize(
    ("name", "place", "said"),
    [
        ("pixel dark", "R3C7", "found R3C7, expected a pixel"),
        ("pixel dark", "R3C7 m1,1", "expected a pixel"),
        ("pixel dark", "wall", "expected a pixel"),
        ("pixel dark", "R3C7 x1 y1", ""),
        ("pixel stuck lit", "R3C7 x1 y1", "and its colour"),
        ("pixel stuck lit", "R3C7 x1 y1 red", ""),
        ("line in module", "R3C7 m1,1", "a line of a module"),
        ("cabinet dark", "R3C7 m1,1", ""),
        ("port dark", "wall", "a port: P4"),
        ("port dark", "P4.2", ""),
        ("wall sways or vibrates", "wall", ""),
    ],
)
def test_a_place_that_is_too_coarse_is_told(name: str, place: str, said: str) -> None:
    found = too_coarse(named_kind(name), parse_location(place))
    assert said in found
    assert bool(said) == bool(found)


@pytest.mark.parametrize(
    ("name", "location", "severity"),
    [
        ("pixel dark", "R1C1 x5 y5", "near"),
        ("pixel dark", "R3C6 x100 y100", "shows"),
        ("dark seam", "R3C6 right", "stop"),
        ("cabinet dark", "R3C6", "stop"),
        ("document does not match the wall", "wall", "stop"),
        ("lock or bolt not home", "R3C6", "danger"),
        # Not part of the picture, so the middle makes it no graver.
        ("part exchanged without a record", "R3C6", "note"),
        ("cabinet hot or fan noise", "R3C6", "near"),
        # P4.6 is R3C7, P4.1 is R3C12.
        ("sparkle or snow along a chain", "P4.6", "stop"),
        ("sparkle or snow along a chain", "P4.1", "shows"),
    ],
)
def test_a_fault_in_the_middle_weighs_one_step_more(
    name: str, location: str, severity: str
) -> None:
    # Common practice, no published source: the middle half of width and height, never to danger.
    found = usual_severity(named_kind(name), fellmoor(), parse_location(location))
    assert found == severity


def test_what_stop_means_suits_a_pixel_in_the_middle_too() -> None:
    at = parse_location("R3C6 x100 y100")
    assert usual_severity(named_kind("pixel stuck lit"), fellmoor(), at) == "stop"
    assert "middle" in SEVERITY_MEANING["stop"]
    assert "function" not in SEVERITY_TITLE["stop"]


@pytest.mark.parametrize(
    ("place", "others", "severity", "why"),
    [
        ("R1C1 x10 y10", [], "near", ""),
        # 3-4-5: exactly five px away.
        ("R1C1 x10 y10", ["R1C1 x13 y14"], "shows", "2 faulty pixels within 5 px"),
        ("R1C1 x10 y10", ["R1C1 x14 y14"], "near", ""),
        # The same pixel again, in another colour, is no neighbour.
        ("R1C1 x10 y10", ["R1C1 x10 y10 red"], "near", ""),
        # Across a seam: x199 of R1C1 is beside x0 of R1C2.
        ("R1C1 x199 y10", ["R1C2 x2 y10"], "shows", "2 faulty pixels within 5 px"),
        ("R1C1 x10 y10", ["R1C1 x50 y50"], "near", ""),
        ("R1C1 x10 y10", ["R1C1 x50 y50", "R1C1 x90 y90"], "shows", "3 faulty pixels in one"),
        # x100 is the next module of a cabinet of 200 px with two modules across.
        ("R1C1 x10 y10", ["R1C1 x50 y50", "R1C1 x100 y50"], "near", ""),
        ("R3C6 x100 y100", [], "shows", "in the middle of the picture"),
        ("R1C1 x10 y10", ["R9C9 x1 y1", "nowhere"], "near", ""),
    ],
)
def test_pixels_close_together_show(place: str, others: list[str], severity: str, why: str) -> None:
    wall = fellmoor()
    seen = [SeenFault("pixel dark in one colour", other, "open") for other in others]
    found = suggested_severity(
        named_kind("pixel dark"), wall, wall.resolve(parse_location(place)), seen
    )
    assert found[0] == severity
    assert why in found[1]
    assert bool(why) == bool(found[1])


def test_a_pixel_that_is_gone_makes_no_crowd() -> None:
    wall, at = fellmoor(), parse_location("R1C1 x10 y10")
    seen = [SeenFault("pixel dark", "R1C1 x11 y10", "verified")]
    assert suggested_severity(named_kind("pixel dark"), wall, at, seen) == ("near", "")


@pytest.mark.parametrize(
    ("kind", "severity", "rule", "accepted_still_blocks"),
    [
        ("cabinet dark", "stop", "always", True),
        ("cabinet dark", "note", "no", False),
        ("cabinet dark", "near", "in the allowance", False),
        ("dark seam", "shows", "unless accepted", False),
        ("dark seam", "near", "in the allowance", False),
        ("dark seam", "stop", "unless accepted", False),
        ("pixel dark", "near", "in the allowance", False),
        ("pixel dark", "shows", "unless accepted", False),
        ("part exchanged without a record", "note", "no", False),
        ("part exchanged without a record", "near", "no", False),
        ("wall sways or vibrates", "danger", "always", True),
        ("in somebody's own words", "danger", "always", True),
        ("in somebody's own words", "stop", "unless accepted", False),
        ("in somebody's own words", "shows", "unless accepted", False),
        ("in somebody's own words", "near", "in the allowance", False),
    ],
)
def test_whether_a_fault_blocks(
    kind: str, severity: str, rule: str, accepted_still_blocks: bool
) -> None:
    # Common practice, no published source.
    assert blocking_rule(kind, severity) == rule
    open_blocks = rule in {"always", "unless accepted"}
    states = {state: blocks_acceptance(kind, severity, state) for state in ("open", "mended")}
    assert set(states.values()) == {open_blocks}
    assert blocks_acceptance(kind, severity, "accepted") is accepted_still_blocks
    assert not blocks_acceptance(kind, severity, "verified")
    assert blocking_words(kind, severity)


GOOD = """
[cautions]
mains = "Off."
[[faults]]
kind = "a"
at = "pixel"
severity = "near"
seen_on = "white"
first_looks = ["1", "2", "3"]
blocks = "no"
"""


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('"near"', '"nera"', r"faults\[1\] \(a\).severity: found 'nera', .*did you mean 'near'"),
        ('"pixel"', '"pixle"', r"\.at: found 'pixle', expected one of .*did you mean 'pixel'"),
        ('blocks = "no"', "", r"\.blocks: found None"),
        ('"3"', "", "three first_looks"),
        ('seen_on = "white"', "", "expected kind, seen_on"),
        ("seen_on", "sen_on", "sen_on: no such key.*did you mean 'seen_on'"),
        ('blocks = "no"', 'blocks = "no"\ncaution = "main"', "caution: found 'main'.*'mains'"),
        ("[cautions]", "[cautions", "not TOML"),
    ],
)
def test_a_catalogue_that_is_not_sound_is_one_line(old: str, new: str, said: str) -> None:
    assert read_catalogue(GOOD)[0][0].name == "a"
    with pytest.raises(ChecklistError, match=said):
        read_catalogue(GOOD.replace(old, new))
    with pytest.raises(ChecklistError, match="found 'a' again"):
        read_catalogue(GOOD + GOOD.split("\n", 3)[3])


@pytest.mark.parametrize(
    ("typed", "kind"),
    [
        ("stuck red", "pixel stuck lit"),
        ("dark line x 20", "line in module"),
        ("dead-pixel", "pixel dark"),
    ],
)
def test_a_colour_or_a_place_beside_a_kind_goes_into_its_note(typed: str, kind: str) -> None:
    found = named_kind(typed)
    assert found.name == kind
    assert fault_note(found, typed, "") == typed

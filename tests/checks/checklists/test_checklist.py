"""The sizes of a job that come with the program."""

from __future__ import annotations

import pytest

from commission_tui.checks.checklists.checklist import checks_of, sizes, usual_size
from commission_tui.checks.checklists.checklist_file import parse_checklist, shipped_files
from commission_tui.errors import InputError
from tests.checks.helping import shipped

OWN = """
order = 50
id = "light"
title = "Light"
[[checks]]
id = "own-look"
title = "Own look"
scope = ["touring", "short"]
why = "w"
do = ["d"]
method = "in_limits"
[[checks.fields]]
name = "seen"
label = "Seen"
kind = "yes-no"
"""


def test_the_short_size_is_an_evening_and_holds_what_was_agreed_it_should() -> None:
    short = checks_of(shipped(), "short")
    assert len(short) <= 30
    assert {
        *("cabinet-mapping", "scan-direction", "solid-colours", "pixel-faults", "brightness"),
        *("white-point", "grey-scale", "seams", "input-picture", "cameras", "front-light"),
        *("sound-picture", "loop-failure", "earth-bond", "suspension-certificate", "spares"),
        *("content-sheet", "sign-off-walk"),
    } <= set(short)


def test_each_size_holds_the_one_before_and_all_that_can_hurt() -> None:
    known = sizes(shipped())
    assert list(known) == ["short", "middle", "all"]
    hurting = {check.id for check in shipped() if check.hurts}
    assert hurting >= {"load-path", "earth-bond", "fire-input", "emergency-stop", "insulation"}
    assert hurting <= set(known["short"]) < set(known["middle"]) < set(known["all"])


def test_what_comes_first_is_a_check_that_there_is() -> None:
    known = {check.id for check in shipped()}
    for check in shipped():
        assert set(check.after) <= known - {check.id}, check.id


def test_a_firms_own_checklist_adds_a_size_that_keeps_what_can_hurt() -> None:
    own = parse_checklist(shipped_files() | {"own/50-light.toml": OWN})
    touring = checks_of(own, "Touring")
    assert "own-look" in touring
    assert {check.id for check in own if check.hurts} <= set(touring)
    assert "own-look" in checks_of(own, "short")
    with pytest.raises(InputError, match="did you mean 'short'"):
        checks_of(own, "shrot")


def test_a_firms_own_check_that_names_no_size_is_in_every_size() -> None:
    text = OWN.replace('scope = ["touring", "short"]\n', "")
    own = parse_checklist(shipped_files() | {"firm/50-light.toml": text})
    assert all("own-look" in checks for checks in sizes(own).values())
    assert "own-look" in checks_of(own.without({"brightness": "is not agreed"}), "short")
    only_all = parse_checklist(
        shipped_files() | {"firm/50-light.toml": OWN.replace('["touring", "short"]', '["all"]')}
    )
    assert "own-look" not in checks_of(only_all, "short")
    assert "gamma" not in checks_of(own, "short")


def test_the_short_size_is_suggested_for_a_small_wall() -> None:
    assert usual_size(shipped(), 36) == "short"
    assert usual_size(shipped(), 72) == "all"

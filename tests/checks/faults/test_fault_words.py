"""Kinds of fault by what technicians call them (common practice, no published source)."""

from __future__ import annotations

import pytest

from commission_tui.checks.faults.fault_words import (
    about_pixels,
    fault_called,
    fault_note,
    is_said,
    kinds_like,
    kinds_meant,
    named_kind,
)
from commission_tui.checks.faults.kinds import KINDS
from commission_tui.errors import InputError


@pytest.mark.parametrize(
    ("typed", "form", "kind"),
    [
        ("dead pixel", "pixel", "pixel dark"),
        ("dead pixel", "cabinet", "pixel dark"),
        ("black", "module", "module dark"),
        ("black", "cabinet", "cabinet dark"),
        ("stuck", "pixel", "pixel stuck lit"),
        ("flicker", "module", "module flickers"),
        ("flickers", "cabinet", "cabinet flickers"),
        ("blinks", "cabinet", "cabinet flickers"),
        ("too bright", "cabinet", "cabinet brighter or darker"),
        ("flicker", "chain place", "sparkle or snow along a chain"),
        ("line", "line", "line in module"),
        ("module dark", "module", "module dark"),
        ("crack", "pixel", "LED knocked off"),
        ("crack", "module", "module damaged"),
        ("module damaged", "cabinet", "module damaged"),
        ("scratched module", "cabinet", "module damaged"),
        ("scratched module", "module", "module damaged"),
        ("dark line", "cabinet", "line in module"),
        ("dark line", "seam", "dark seam"),
        ("bright line", "line", "line in module"),
        ("bright line", "seam", "bright seam"),
        ("scratch", "pixel", "LED knocked off"),
        ("loose", "module", "module proud or sunken"),
        ("no signal", "input", "no picture on an input"),
        ("cable", "chain place", "chain dark from here on"),
        ("colour shift", "cabinet", "cabinet tinted"),
        ("dim", "cabinet", "cabinet brighter or darker"),
        ("dim", "module", "module brighter or darker"),
        ("dim", "pixel", "pixel dim or tinted"),
        ("pix dea", "pixel", "pixel dark"),
    ],
)
def test_the_word_that_is_said_finds_the_kind(typed: str, form: str, kind: str) -> None:
    assert kinds_like(typed, form)[0].name == kind


def test_a_word_that_several_mean_alike_asks() -> None:
    with pytest.raises(InputError, match="expected one of 'module proud or sunken', 'lock or bolt"):
        named_kind("loose", "wall")
    with pytest.raises(InputError, match="did you mean 'dead pixel'"):
        named_kind("dead pixl")
    with pytest.raises(InputError, match="'something else' with your own words"):
        named_kind("")


def test_every_kind_is_called_something_else_as_well() -> None:
    assert [kind.name for kind in KINDS if not kind.also] == []


@pytest.mark.parametrize(
    ("kind", "typed", "note"),
    [
        ("dark seam", "dark line", "dark line"),
        ("pixel dark", "dead", "dead"),
        ("pixel dark", "dead pix", "dead"),  # the half word was typed to find it
        ("pixel dark", "dea pix", ""),
        ("bright seam", "seam br", ""),
        ("bright seam", "seam br at the left", "seam br at the left"),  # somebody's own words
        ("pixel stuck lit", "stuck", ""),
        ("pixel stuck lit", "stuck red pixel", "stuck red pixel"),
        ("pixel dark", "Dead  pixel", "Dead  pixel"),
        ("pixel dark", "pixel", ""),  # the beginning of its name
        ("pixel dark", "Pixel  dark", ""),
        ("chain dark from here on", "loose cable", "loose cable"),
        ("module scrambled", "wrong scan", "wrong scan"),
        ("something else", "hums at night", "hums at night"),
        ("cabinet brighter or darker", "darker", "darker"),  # which of the two
        ("cabinet brighter or darker", "bright", "bright"),
        ("cabinet brighter or darker", "cabinet brighter or darker", ""),
        ("cabinet brighter or darker", "cabinet", ""),
        ("cabinet brighter or darker", "bri", ""),
        ("shock, tingle, heat or smell", "heat", "heat"),
        ("cabinet dark, card alive", "cabinet dark", ""),
    ],
)
def test_words_that_the_kind_does_not_say_are_its_note(kind: str, typed: str, note: str) -> None:
    assert fault_note(named_kind(kind), typed, "") == note


@pytest.mark.parametrize(
    ("typed", "form"),
    [
        ("loose cable", "cabinet"),
        ("wrong scan", "cabinet"),
        ("missing screw", "cabinet"),
        ("loose", "cabinet"),
        ("no signal", "input"),
        ("fuse", "circuit"),
        ("too bright", "cabinet"),  # no grey curve of an input
        ("too bright", "pixel"),
        ("too dark", "wall"),
    ],
)
def test_of_what_words_only_hint_at_nothing_is_chosen(typed: str, form: str) -> None:
    kinds = kinds_like(typed, form)
    assert kinds
    assert not is_said(kinds[0], typed, form)
    with pytest.raises(InputError, match="expected one of"):
        named_kind(typed, form)


@pytest.mark.parametrize(
    "typed",
    ["dead pixel", "stuck red pixel", "flickers", "dim module", "much darker than its neighbor"],
)
def test_what_words_say_is_chosen(typed: str) -> None:
    assert is_said(kinds_meant(typed)[0], typed)


def test_own_words_stand_before_the_note_and_once() -> None:
    seam = named_kind("dark seam")
    assert fault_note(seam, "dark line", "on white") == "dark line; on white"
    assert fault_note(seam, "dark line", "a dark line on white") == "a dark line on white"


def test_something_else_says_what() -> None:
    other = named_kind("other")
    with pytest.raises(InputError, match="note: found nothing, expected in your own words"):
        fault_note(other, "other", " ")
    assert fault_called("something else", "hums\nat night") == "something else: hums at night"
    assert fault_called("pixel dark", "at night") == "pixel dark"


@pytest.mark.parametrize(
    ("words", "about"),
    [
        ("three LEDs out, lower left", True),
        ("2 Pixels dead", True),
        ("ledger missing", False),
        ("dead fan", False),
    ],
)
def test_own_words_about_pixels_are_told_from_others(words: str, about: bool) -> None:
    assert about_pixels(words) is about


@pytest.mark.parametrize(
    ("typed", "kind"),
    [
        ("color shift", "pixel dim or tinted"),
        ("scratched", "LED knocked off"),
        ("tripped", "breaker or residual device opens"),
        ("crushed cable", "chain dark from here on"),
    ],
)
def test_other_spellings_and_forms_of_a_word_are_understood(typed: str, kind: str) -> None:
    assert kind in {found.name for found in kinds_like(typed)}


@pytest.mark.parametrize(("form", "first"), [("pixel", "pixel dark"), ("cabinet", "cabinet dark")])
def test_a_word_that_begins_many_names_means_what_is_at_that_place(form: str, first: str) -> None:
    assert kinds_like("dark", form)[0].name == first

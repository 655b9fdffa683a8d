"""Kinds of fault and their usual severity."""

from __future__ import annotations

import pytest

from commission_tui.checks.fault_kinds import KINDS, fault_kind, usual_severity
from commission_tui.errors import InputError
from commission_tui.wall.location import parse_location
from tests.checks.helping import fellmoor

FORMS = {"wall", "cabinet", "module", "pixel", "seam", "corner"}


def test_names_differ_and_forms_are_those_of_the_grammar() -> None:
    assert len({kind.name for kind in KINDS}) == len(KINDS)
    assert {kind.form for kind in KINDS} == FORMS


def test_only_pixels_count_in_the_allowance() -> None:
    assert {kind.form for kind in KINDS if kind.pixel} == {"pixel"}
    assert all(kind.pixel for kind in KINDS if kind.form == "pixel")


def test_what_can_hurt_carries_a_caution() -> None:
    assert all(kind.caution for kind in KINDS if kind.severity == "danger")


def test_an_unknown_kind_names_the_nearest() -> None:
    assert fault_kind("dark seam").form == "seam"
    with pytest.raises(InputError, match="did you mean 'dark seam'"):
        fault_kind("dark seem")


@pytest.mark.parametrize(
    ("name", "location", "severity"),
    [
        ("pixel dark", "R1C1 x5 y5", "near"),
        ("pixel dark", "R3C6 x100 y100", "shows"),
        ("dark seam", "R3C6 right", "stop"),
        ("cabinet dark", "R3C6", "stop"),
        ("document does not match the wall", "wall", "note"),
        ("lock or bolt not home", "R3C6", "danger"),
    ],
)
def test_a_fault_in_the_middle_weighs_one_step_more(
    name: str, location: str, severity: str
) -> None:
    # Common practice, no published source: the middle half of width and height, never to danger.
    found = usual_severity(fault_kind(name), fellmoor(), parse_location(location))
    assert found == severity

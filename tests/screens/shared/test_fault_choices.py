"""Choosing a fault: its severity by few letters, its kind by the place."""

from __future__ import annotations

import pytest

from commission_tui.checks.faults.fault_words import named_kind
from commission_tui.errors import InputError
from commission_tui.logbook.logbook import OpenJob
from commission_tui.screens.shared import fault_choices


@pytest.mark.parametrize(
    ("typed", "severity"),
    [("1", "danger"), ("5", "note"), ("sh", "shows"), ("STOP", "stop"), ("near", "near")],
)
def test_severities_by_number_or_letters(typed: str, severity: str) -> None:
    assert fault_choices.severity_of(typed) == severity


@pytest.mark.parametrize("typed", ["", "6", "0", "s", "n", "bad"])
def test_an_unclear_severity_is_refused(typed: str) -> None:
    with pytest.raises(InputError, match="expected one of danger, stop"):
        fault_choices.severity_of(typed)


def test_kinds_that_fit_the_place_come_first() -> None:
    assert fault_choices.kinds_offered("", "seam")[0].form == "seam"
    assert fault_choices.kinds_offered("dark seam")[0].name == "dark seam"
    assert [kind.form for kind in fault_choices.kinds_offered("pixel")][:6] == ["pixel"] * 6
    assert [kind.name for kind in fault_choices.kinds_offered("no such thing")] == [
        "something else"
    ]


def test_damage_and_what_fits_no_kind_are_no_graver_in_the_middle(job: OpenJob) -> None:
    damage, other = named_kind("module damaged"), named_kind("something else")
    assert fault_choices.usual_severity_at(job, damage, "R3C6 m1,2") == "near"
    assert fault_choices.usual_severity_at(job, other, "R3C6") == "shows"


def test_the_usual_severity_is_graver_in_the_middle(job: OpenJob) -> None:
    kind = named_kind("pixel dark")
    assert fault_choices.usual_severity_at(job, kind, "R1C1 x5 y5") == "near"
    assert fault_choices.usual_severity_at(job, kind, "R3C6 x5 y5") == "shows"
    assert fault_choices.usual_severity_at(job, kind, "somewhere") == "near"

"""What a person calls a place, in a table, on the command line and in a move alike."""

from __future__ import annotations

import pytest

from commission_tui.checks.places.spelling import spelled_place

NINE = {f"point {n}": f"point {n}" for n in range(1, 10)}


@pytest.mark.parametrize("typed", ["2", "P2", "p 2", "Pt.2", "Point 2", "point2", "02", " 2 "])
def test_a_point_is_known_by_its_number(typed: str) -> None:
    assert spelled_place(typed, NINE) == "point 2"


@pytest.mark.parametrize("typed", ["12", "P0", "2.5", "R2", "2 3", "input 2"])
def test_what_is_no_point_stays_as_it_is(typed: str) -> None:
    assert spelled_place(typed, NINE) == typed


def test_a_place_of_just_that_name_goes_before_a_point() -> None:
    assert spelled_place("p2", {**NINE, "p2": "P2"}) == "P2"


def test_a_cabinet_is_spelled_as_the_job_does() -> None:
    assert spelled_place("r3c7", {}) == "R3C7"

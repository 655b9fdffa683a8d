"""A search that nobody waits for any more ends at its next step."""

from __future__ import annotations

import random

import pytest

from commission_tui.wall.mapping.configuration.search import StoppedError
from commission_tui.wall.mapping.diagnosis import diagnose
from commission_tui.wall.mapping.observed.observation import Reading
from commission_tui.wall.model.wall_model import Wall


def test_a_stopped_search_ends_without_a_result(demo_wall: Wall) -> None:
    cells = sorted(demo_wall.cabinets)
    readings = {cell: Reading(cell) for cell in cells}
    for one, other in ((3, 40), (11, 52), (20, 33)):
        readings[cells[one]] = Reading(cells[other])
        readings[cells[other]] = Reading(cells[one])
    asked = 0

    def ask() -> bool:
        nonlocal asked
        asked += 1
        return False

    whole = diagnose(demo_wall, readings, ask)
    assert whole == diagnose(demo_wall, readings)
    assert asked > 3
    left = 2

    def soon() -> bool:
        nonlocal left
        left -= 1
        assert left >= 0, "asked again after it was stopped"
        return left == 0

    with pytest.raises(StoppedError):
        diagnose(demo_wall, readings, soon)


def test_it_says_how_far_it_is_and_may_be_stopped_wherever_it_asks(demo_wall: Wall) -> None:
    cells = sorted(demo_wall.cabinets)
    shuffled = random.Random(7).sample(cells, len(cells))  # noqa: S311 (the same at every run)
    readings = {cell: Reading(shown) for cell, shown in zip(cells, shuffled, strict=True)}
    told: list[tuple[int, int]] = []
    asked = 0

    def ask() -> bool:
        nonlocal asked
        asked += 1
        return False

    diagnose(demo_wall, readings, ask, lambda looked, most: told.append((looked, most)))
    assert told == sorted(told)
    assert len({most for _, most in told}) == 1
    assert 0 < told[-1][0] <= told[-1][1]
    # In the search, then once for each state and each explanation drafted from it.
    assert asked > len(told)
    for at in (1, asked // 2, asked):
        left = at

        def soon() -> bool:
            nonlocal left
            left -= 1
            return left == 0

        with pytest.raises(StoppedError):
            diagnose(demo_wall, readings, soon)

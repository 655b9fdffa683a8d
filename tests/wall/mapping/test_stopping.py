"""A search that nobody waits for any more ends at its next step."""

from __future__ import annotations

import random

import pytest

from commission_tui.progress import StoppedError
from commission_tui.wall.mapping.diagnosis import diagnose
from commission_tui.wall.mapping.observed.observation import Observation
from commission_tui.wall.model.wall_model import Wall


def test_a_stopped_search_ends_without_a_result(demo_wall: Wall) -> None:
    cells = sorted(demo_wall.cabinets)
    readings = {cell: Observation(cell) for cell in cells}
    for one, other in ((3, 40), (11, 52), (20, 33)):
        readings[cells[one]] = Observation(cells[other])
        readings[cells[other]] = Observation(cells[one])
    told: list[tuple[int, int]] = []
    whole = diagnose(demo_wall, readings, progress=lambda *so_far: told.append(so_far))
    assert whole == diagnose(demo_wall, readings)
    assert len(told) > 3
    left = 2

    def soon(_looked: int, _most: int) -> None:
        nonlocal left
        left -= 1
        assert left >= 0, "told again after it was stopped"
        if left == 0:
            raise StoppedError

    with pytest.raises(StoppedError):
        diagnose(demo_wall, readings, progress=soon)


def test_it_says_how_far_it_is_and_may_be_stopped_wherever_it_says_so(demo_wall: Wall) -> None:
    cells = sorted(demo_wall.cabinets)
    shuffled = random.Random(7).sample(cells, len(cells))  # noqa: S311 (the same at every run)
    readings = {cell: Observation(shown) for cell, shown in zip(cells, shuffled, strict=True)}
    told: list[tuple[int, int]] = []
    diagnose(demo_wall, readings, progress=lambda *so_far: told.append(so_far))
    assert told == sorted(told)
    assert len({most for _, most in told}) == 1
    assert 0 < told[-1][0] <= told[-1][1]
    # In the search, then once for each state and each explanation drafted from it.
    assert len(told) > told[-1][0]
    for at in (1, len(told) // 2, len(told)):
        left = at

        def soon(_looked: int, _most: int) -> None:
            nonlocal left
            left -= 1
            if left == 0:
                raise StoppedError

        with pytest.raises(StoppedError):
            diagnose(demo_wall, readings, progress=soon)

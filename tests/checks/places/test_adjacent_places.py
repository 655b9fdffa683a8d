"""The places beside a place."""

from __future__ import annotations

import pytest

from commission_tui.checks.places.adjacent_places import grey_steps_of, neighbours
from tests.checks.helping import fellmoor


@pytest.mark.parametrize(
    ("where", "place", "first", "count"),
    [
        # Five rows by nine columns round R3C7, all on a wall of 12 by 6, less itself.
        ("cabinet", "R3C7", ["R2C7", "R3C6", "R3C8", "R4C7"], 44),
        ("cabinet", "R1C1", ["R1C2", "R2C1"], 14),
        ("seam", "R3C7 right", ["R2C7 right", "R3C6 right", "R3C8 right"], 44),
        ("nine points", "point 5", ["point 4", "point 6"], 8),
        ("circuit", "LP1-1-L1", ["LP1-2-L2", "LP1-3-L3"], 5),
        ("input, repeat 3", "Stage laptop, 2 of 3", ["Camera mixer, 2 of 3"], 3),
        ("camera, repeat 3", "Camera 1, balcony, 2 of 3", ["Camera 1, balcony, 1 of 3"], 2),
        ("cabinet, solid colour", "R1C1, red", ["R1C2, red", "R2C1, red"], 14),
        # Numbers that differ by nature, and places that a check names itself.
        ("grey step", "50 %", [], 0),
        ("seat", "nearest seat", [], 0),
        ("wall", "wall", [], 0),
        (("left", "right"), "left", [], 0),
        ("camera, repeat 3", "no such camera, 1 of 3", [], 0),
        ("cabinet", "nonsense", [], 0),
    ],
)
def test_the_places_beside(
    where: str | tuple[str, ...], place: str, first: list[str], count: int
) -> None:
    found = neighbours(where, place, fellmoor())
    assert list(found[: len(first)]) == first
    assert len(found) == count
    assert len(set(found)) == count
    assert place not in found


def test_the_steps_of_one_series() -> None:
    steps = grey_steps_of("input, grey step", "Stage laptop, 50 %", fellmoor())
    assert len(steps) == 21
    assert steps[95.0] == "Stage laptop, 95 %"
    assert grey_steps_of("grey step", "50 %", fellmoor())[0.0] == "0 %"
    assert grey_steps_of("cabinet", "R1C1", fellmoor()) == {}

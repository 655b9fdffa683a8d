"""A place typed of a fault, and the part of it that is asked for."""

from __future__ import annotations

import pytest

from commission_tui.checks.faults.typed_places import inside


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("x12 y40", "R1C4 x12 y40"),
        ("12,40", "R1C4 x12 y40"),
        ("r1c1", "r1c1"),
        ("R2C3 x1 y2", "R2C3 x1 y2"),
    ],
)
def test_a_cabinet_answered_to_which_pixel_is_that_cabinet(typed: str, meant: str) -> None:
    assert inside("R1C4", typed, "pixel") == meant

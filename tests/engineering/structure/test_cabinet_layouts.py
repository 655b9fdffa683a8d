"""Whole-cabinet layouts and mixed runs nearest to what is wanted."""

from __future__ import annotations

import math
from typing import Any

import pytest

from commission_tui.engineering.structure.geometry import nearest_layouts

CABINET: dict[str, Any] = {
    "cabinet_width_mm": 500.0,
    "cabinet_height_mm": 1000.0,
    "cabinet_width_px": 128,
    "cabinet_height_px": 256,
}


def test_layouts_are_ranked_by_both_errors() -> None:
    found = nearest_layouts(**CABINET, width_mm=4100.0, height_mm=2100.0)
    best = found[0]
    assert (best.columns, best.rows, best.turned) == (8, 2, False)
    assert (best.width_mm, best.height_mm, best.width_px, best.height_px) == (4000, 2000, 1024, 512)
    assert best.width_error == pytest.approx(-100 / 4100)
    assert best.height_error == pytest.approx(-100 / 2100)
    assert best.error == pytest.approx(math.hypot(100 / 4100, 100 / 2100))
    assert [layout.error for layout in found] == sorted(layout.error for layout in found)
    assert len(found) == 5


def test_layouts_turn_cabinets_when_that_comes_nearer() -> None:
    wanted: dict[str, Any] = {**CABINET, "width_px": 512, "height_mm": 1500.0}
    best = nearest_layouts(**wanted)[0]
    assert (best.turned, best.columns, best.rows) == (True, 2, 3)
    assert (best.width_px, best.height_px, best.width_mm, best.height_mm) == (512, 384, 2000, 1500)
    assert best.error == 0.0
    assert not any(layout.turned for layout in nearest_layouts(**wanted, may_turn=False))


def test_square_cabinets_are_not_listed_twice() -> None:
    found = nearest_layouts(
        cabinet_width_mm=500, cabinet_height_mm=500, cabinet_width_px=192, cabinet_height_px=192,
        width_mm=750, height_mm=500, count=50,
    )  # fmt: skip
    assert not any(layout.turned for layout in found)
    assert [(f.columns, f.rows) for f in found[:2]] == [(1, 1), (2, 1)]
    assert {(f.columns, f.rows) for f in found} == {(c, r) for c in (1, 2, 3) for r in (1, 2)}


def test_square_cabinets_with_oblong_pixels_may_turn() -> None:
    found = nearest_layouts(
        cabinet_width_mm=500, cabinet_height_mm=500, cabinet_width_px=192, cabinet_height_px=96,
        width_px=96, height_px=192,
    )  # fmt: skip
    assert found[0].turned
    assert found[0].error == 0.0


def test_the_least_and_the_most_of_everything() -> None:
    one = nearest_layouts(
        cabinet_width_mm=500, cabinet_height_mm=500, cabinet_width_px=1, cabinet_height_px=1,
        width_px=1, height_px=1, count=1,
    )  # fmt: skip
    assert [(layout.columns, layout.rows) for layout in one] == [(1, 1)]
    assert nearest_layouts(**CABINET, width_mm=5e6, height_mm=1000.0)[0].columns == 10_000
    with pytest.raises(ValueError, match=r"columns would be 10000\.1, expected at most 10000"):
        nearest_layouts(**CABINET, width_mm=5_000_050.0, height_mm=1000.0)


def test_a_wall_smaller_than_a_cabinet_gets_one() -> None:
    best = nearest_layouts(**CABINET, width_px=10, height_px=10, may_turn=False)[0]
    assert (best.columns, best.rows) == (1, 1)


@pytest.mark.parametrize(
    ("named", "message"),
    [
        ({"width_mm": 1000.0, "width_px": 256, "height_mm": 1.0}, "exactly one of them"),
        ({"width_mm": 1000.0}, "height_mm is None and height_px is None"),
        ({"width_mm": 0.0, "height_mm": 1.0}, "width_mm is 0 mm"),
        ({"width_mm": 1.0, "height_px": 0}, "height_px is 0 px"),
        ({"width_mm": 1e9, "height_mm": 1.0}, "columns would be 2e"),
        ({"width_mm": 1.0, "height_mm": 1.0, "count": 0}, "count is 0"),
        ({"width_mm": 5e-324, "height_mm": 1.0}, "columns error would be inf"),
    ],
)
def test_layouts_refuse(named: dict[str, Any], message: str) -> None:
    with pytest.raises(ValueError, match=message):
        nearest_layouts(**CABINET, **named)

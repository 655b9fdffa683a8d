"""White points in the chromaticity diagram, with the tolerance that was agreed."""

from __future__ import annotations

from collections.abc import Mapping

from commission_tui.checks.model.types import Limit
from commission_tui.handover.drawings.svg import Sketch
from commission_tui.handover.drawings.wall_drawing import Drawing

_SIDE, _LEFT, _FOOT, _TOP = 400.0, 64.0, 44.0, 24.0


def white_points(
    points: Mapping[str, tuple[float, float]],
    target: tuple[float, float],
    x_limit: Limit | None,
    y_limit: Limit | None,
) -> Drawing:
    """Draw x, y (CIE 1931) of white at each place, the target and the box it must be in."""
    left, right = _span([x for x, _ in points.values()], target[0], x_limit)
    low, high = _span([y for _, y in points.values()], target[1], y_limit)
    sketch = Sketch(_SIDE + _LEFT + 24, _SIDE + _FOOT + _TOP, "White points")

    def at(x: float, y: float) -> tuple[float, float]:
        return (
            _LEFT + (x - left) / (right - left) * _SIDE,
            _TOP + (high - y) / (high - low) * _SIDE,
        )

    for part in range(5):
        x = left + (right - left) * part / 4
        y = low + (high - low) * part / 4
        sketch.path([at(x, low), at(x, high)], thick=0.5, stroke="#bbbbbb")
        sketch.path([at(left, y), at(right, y)], thick=0.5, stroke="#bbbbbb")
        sketch.text(at(x, low)[0], _TOP + _SIDE + 18, f"{x:.4f}", 12)
        sketch.text(_LEFT - 6, at(left, y)[1] + 4, f"{y:.4f}", 12, anchor="end")
    sketch.path([at(left, high), at(left, low), at(right, low)], thick=1.2)
    box = _box(x_limit, y_limit)
    if box is not None:
        x0, x1, y0, y1 = box
        sketch.path(
            [at(x0, y0), at(x1, y0), at(x1, y1), at(x0, y1), at(x0, y0)], thick=1.2, dashes="5 4"
        )
    for x, y in points.values():
        sketch.circle(*at(x, y), 4)
    cx, cy = at(*target)
    sketch.path([(cx - 9, cy), (cx + 9, cy)], thick=2)
    sketch.path([(cx, cy - 9), (cx, cy + 9)], thick=2)
    sketch.text(_LEFT + _SIDE / 2, _TOP + _SIDE + 38, "x", 13)
    sketch.text(_LEFT - 6, 14, "y", 13, anchor="end")
    caption = f"Dots: white as measured, CIE 1931. Cross: target {target[0]:g}, {target[1]:g}." + (
        " Dashed: the range agreed." if box is not None else ""
    )
    said = ", ".join(f"{place} {x:.4f} {y:.4f}" for place, (x, y) in points.items())
    return Drawing("white-points", "White points", caption, f"{caption} {said}.", sketch.to_bytes())


def _span(values: list[float], target: float, limit: Limit | None) -> tuple[float, float]:
    """Return the range of an axis: everything in it, and some room."""
    there = [*values, target]
    if limit is not None:
        there += [side for side in (limit.low, limit.high) if side is not None]
    low, high = min(there), max(there)
    room = max((high - low) * 0.15, 0.001)
    return low - room, high + room


def _box(x_limit: Limit | None, y_limit: Limit | None) -> tuple[float, float, float, float] | None:
    sides = [
        side
        for limit in (x_limit, y_limit)
        for side in ((limit.low, limit.high) if limit else (None, None))
    ]
    if any(side is None for side in sides):
        return None
    x0, x1, y0, y1 = (side for side in sides if side is not None)
    return x0, x1, y0, y1

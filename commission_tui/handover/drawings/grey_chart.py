"""Small charts of readings: nine points of luminance, and the grey scale."""

from __future__ import annotations

import math
from collections.abc import Mapping

from commission_tui.checks.places.places import NINE_POINTS, point_fraction
from commission_tui.handover.drawings.svg import Sketch
from commission_tui.handover.drawings.wall_drawing import Drawing
from commission_tui.wall.model.wall_model import Wall


def nine_points(wall: Wall, luminance_cd_m2: Mapping[str, float]) -> Drawing:
    """Draw the nine points where they are, each with its value and its share of the highest."""
    width = 480.0
    height = min(max(width * wall.height_mm / wall.width_mm, 150.0), 600.0)
    sketch = Sketch(width, height + 30, "Luminance at nine points, front view")
    sketch.text(width / 2, 18, "FRONT VIEW, cd/m²", 14, bold=True)
    sketch.rectangle(1, 29, width - 2, height, thick=1.5)
    high = max(luminance_cd_m2.values())
    for point in NINE_POINTS:
        across, down = point_fraction(point)
        x, y = across * width, 30 + down * height
        value = luminance_cd_m2.get(point)
        if value is None:
            sketch.text(x, y + 5, "not read", 12)
            continue
        sketch.text(x, y, f"{value:.4g}", 20, bold=True)
        if high > 0:
            sketch.text(x, y + 19, f"{100 * value / high:.1f} %", 13)
    said = ", ".join(f"{p} {luminance_cd_m2[p]:.4g}" for p in NINE_POINTS if p in luminance_cd_m2)
    caption = "Full white at nine points; below each, its share of the highest."
    return Drawing(
        "nine-points", "Luminance at nine points", caption, f"{caption} {said}.", sketch.to_bytes()
    )


def grey_scale(luminance_cd_m2: Mapping[float, float], exponent: float) -> Drawing:
    """Draw the measured grey scale (percent of signal to luminance) and the agreed curve."""
    target = _agreed(luminance_cd_m2, exponent)
    width, height, left, foot = 480.0, 300.0, 62.0, 40.0
    sketch = Sketch(width, height, "Grey scale")
    step = _round_step(max(luminance_cd_m2.values()))
    top = step * math.ceil(max(luminance_cd_m2.values()) / step * 1.001) or step

    def at(percent: float, value: float) -> tuple[float, float]:
        return (
            left + percent / 100 * (width - left - 14),
            (height - foot) - value / top * (height - foot - 28),
        )

    for percent in (0.0, 25.0, 50.0, 75.0, 100.0):
        sketch.path([at(percent, 0), at(percent, top)], thick=0.5, stroke="#bbbbbb")
        sketch.text(at(percent, 0)[0], height - foot + 16, f"{percent:.0f}", 12)
    for part in range(round(top / step) + 1):
        value = step * part
        sketch.path([at(0, value), at(100, value)], thick=0.5, stroke="#bbbbbb")
        sketch.text(left - 6, at(0, value)[1] + 4, f"{value:.6g}", 12, anchor="end")
    sketch.path([at(0, top), at(0, 0), at(100, 0)], thick=1.2)
    sketch.path([at(x, y) for x, y in sorted(target.items())], thick=1.2, dashes="5 4")
    for percent, value in sorted(luminance_cd_m2.items()):
        sketch.circle(*at(percent, value), 3.4)
    sketch.text(left + (width - left) / 2, height - 6, "signal, %", 12)
    sketch.text(left - 6, 12, "cd/m²", 12, anchor="end")
    caption = (
        f"Dots: measured. Dashed line: from measured black to white with the exponent {exponent:g}."
    )
    said = ", ".join(f"{x:g} % {y:.3g} cd/m²" for x, y in sorted(luminance_cd_m2.items()))
    return Drawing("grey-scale", "Grey scale", caption, f"{caption} {said}.", sketch.to_bytes())


def _round_step(highest: float) -> float:
    """Return 1, 2 or 5 times a power of ten, so that four to nine steps reach the highest."""
    if highest <= 0:
        return 1.0
    decade = 10.0 ** math.floor(math.log10(highest))
    return next(
        decade * part for part in (0.1, 0.2, 0.5, 1.0, 2.0) if highest / (decade * part) <= 8
    )


def _agreed(luminance_cd_m2: Mapping[float, float], exponent: float) -> dict[float, float]:
    low = min(luminance_cd_m2.values())
    span = max(luminance_cd_m2.values()) - low
    return {2.5 * n: low + span * (n / 40) ** exponent for n in range(41)}

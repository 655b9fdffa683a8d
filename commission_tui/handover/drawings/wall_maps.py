"""What was found, where it was found: serials, suspension, faults, luminance, colour, and their changes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from commission_tui.checks.places.places import NINE_POINTS, beside_gap_words, points_on_wall
from commission_tui.handover.drawings.svg import Sketch
from commission_tui.handover.drawings.wall_drawing import Drawing, WallView
from commission_tui.handover.font_coverage import drawable
from commission_tui.text import clipped, listed, upper_first
from commission_tui.wall.model.location import Cell, Location
from commission_tui.wall.model.wall_model import Wall

MOST_MARKED = 8
_LIGHT, _DARK = 255, 150
"""Greys of the highest and the lowest cabinet of a map: black words are read on either."""


def serials_view(wall: Wall, serials: Mapping[Cell, str]) -> Drawing:
    """Draw the serial of each cabinet where it hangs."""
    view = WallView(wall, "FRONT VIEW: serials")
    view.boxes()
    view.names(lambda cabinet: serials.get(cabinet.cell, ""))
    return view.done(
        "serials",
        "Serials, front view",
        f"The serial of each cabinet as it hangs now; {len(serials)} of {len(wall.cabinets)} are "
        "registered.",
    )


def suspension_view(wall: Wall, loads: Mapping[str, Sequence[str]]) -> Drawing:
    """Draw where the wall hangs and what is said of each point; a record, no approval."""
    view = WallView(wall, "FRONT VIEW: suspension points")
    view.boxes(lambda _: "#f4f4f4")
    left = wall.left_mm
    size = max(min(view.small * 0.22, 24.0), 9.0)
    points = sorted(wall.file.suspension_points, key=lambda point: point.x_mm)
    left_px, top, _, _ = view.box(next(iter(wall.cabinets.values())))
    places = [left_px + (point.x_mm - left) * view.scale for point in points]
    feet = [top + view.small * (0.55 if n % 2 == 0 else 1.35) for n in range(len(points))]
    for x, foot in zip(places, feet, strict=True):
        view.sketch.path([(x, top - 6), (x, foot)], thick=2)
        view.sketch.circle(x, top, 5)
    # Every second label stands in the same row; a name that no room is for is whole in the table.
    most = int(1.8 * view.sketch.width / max(len(points), 1) / (size * 0.5))
    for point, x, foot in zip(points, places, feet, strict=True):
        lines = [clipped(drawable(point.name), most), *loads.get(point.name, ())]
        for line, words in enumerate(lines):
            half = view.sketch.label_width(words, size * 0.8) / 2 + 1
            middle = min(max(x, half), view.sketch.width - half)
            view.sketch.label(middle, foot + size * (0.6 + 1.6 * line), words, size * 0.8)
    return view.done(
        "suspension",
        "Suspension points, front view",
        "As predicted (p) in the structural documents and as measured (m). A record of the competent "
        "person's work, no approval.",
    )


def faults_view(wall: Wall, marks: Sequence[tuple[int, Location]]) -> Drawing:
    """Draw the punch list where it is: its numbers, pixels as dots, seams and corners as bars."""
    numbers: dict[Cell, list[int]] = {}
    for number, place in marks:
        if place.cell is not None:
            numbers.setdefault(place.cell, []).append(number)
    view = WallView(wall, "FRONT VIEW: punch list")
    view.boxes(lambda cabinet: "#dddddd" if numbers.get(cabinet.cell) else "none")
    view.names(lambda cabinet: listed(numbers.get(cabinet.cell, ()), 3))
    for _, place in marks:
        _mark(view, place)
    return view.done(
        "faults",
        "Punch list, front view",
        "The numbers of the items at each cabinet, whatever their state; a dot is a pixel, a thick "
        "bar a seam. Items of the whole wall are not drawn.",
    )


def _mark(view: WallView, place: Location) -> None:
    if place.cell is None:
        return
    cabinet = view.wall.cabinets[place.cell]
    x, y, width, height = view.box(cabinet)
    thick = max(view.small * 0.06, 2.0)
    if place.pixel is not None:
        across = (place.pixel[0] + 0.5) / cabinet.kind.width_px
        down = (place.pixel[1] + 0.5) / cabinet.kind.height_px
        view.sketch.circle(x + across * width, y + down * height, max(view.small * 0.05, 1.5))
    elif place.edge in ("right", "bottom"):
        view.edge(cabinet, place.edge, thick)
    elif place.edge == "corner":
        view.sketch.circle(x + width, y + height, thick)


def luminance_map(
    wall: Wall, luminance_cd_m2: Mapping[Cell, float], marked: frozenset[Cell]
) -> Drawing:
    """Draw the luminance of every cabinet that was measured; those in question framed."""
    view = WallView(wall, "FRONT VIEW: luminance in cd/m²")
    low, high = min(luminance_cd_m2.values()), max(luminance_cd_m2.values())
    # As many decimals in every cabinet as one needs for four figures.
    decimals = max(len(f"{v:.4g}".partition(".")[2]) for v in luminance_cd_m2.values())

    reach = f"All that were read: {low:.{decimals}f}"
    if low < high:
        reach = f"Darker is lower: {low:.{decimals}f} to {high:.{decimals}f}"

    def grey(value: float) -> float:
        return _DARK + (_LIGHT - _DARK) * (1.0 if high == low else (value - low) / (high - low))

    view.values(luminance_cd_m2, lambda value: f"{value:.{decimals}f}", grey)
    for cell in sorted(marked):
        x, y, width, height = view.box(wall.cabinets[cell])
        edge = view.small * 0.05
        inside = x + edge, y + edge, width - 2 * edge, height - 2 * edge
        view.sketch.rectangle(inside, thick=edge)
    framed = (
        " A thick frame marks the cabinets that made the check fail or leave it undecided, at "
        f"most {MOST_MARKED} of them, the worst."
    )
    return view.done(
        "luminance",
        "Luminance of each cabinet, front view",
        f"{reach} cd/m².{framed if marked else ''}{_lacking(wall, luminance_cd_m2)}",
    )


def colour_map(wall: Wall, shift_duv: Mapping[Cell, float]) -> Drawing:
    """Draw how far the white of each cabinet lies from the mean of all, in u'v'."""
    most = max(shift_duv.values())
    view = WallView(wall, "FRONT VIEW: distance of white from the mean, u'v' × 10 000")
    view.values(shift_duv, lambda value: f"{1e4 * value:.0f}", lambda value: _shade(value, most))
    return view.done(
        "colour",
        "Colour of each cabinet, front view",
        f"The darker, the farther from the mean white of all; most {most:.4f} in u'v' (CIE 1976)."
        f"{_lacking(wall, shift_duv)}",
    )


def _lacking(wall: Wall, found: Mapping[Cell, float]) -> str:
    return "" if len(found) == len(wall.cabinets) else " An empty cabinet is to be measured."


def _shade(value: float, most: float) -> float | None:
    return _LIGHT - (_LIGHT - _DARK) * abs(value) / most if most else None


def change_view(wall: Wall, percent: Mapping[Cell, float], name: str, visit: str) -> Drawing:
    """Draw how far the reading of each cabinet moved since the first visit, in percent."""
    view = WallView(wall, "FRONT VIEW: change in percent")
    most = max(abs(value) for value in percent.values())
    view.values(percent, lambda value: f"{value:+.1f}", lambda value: _shade(value, most))
    return view.done(
        name,
        f"Change of luminance, {visit}",
        "Against the first visit, in percent; the darker, the further it moved. An empty cabinet was "
        "not read on both visits.",
    )


def nine_points(wall: Wall, luminance_cd_m2: Mapping[str, float]) -> Drawing:
    """Draw the nine points where they are, each with its value and its share of the highest."""
    width = 480.0
    height = min(max(width * wall.height_mm / wall.width_mm, 150.0), 600.0)
    sketch = Sketch(width, height + 30, "Luminance at nine points, front view")
    sketch.text(width / 2, 18, "FRONT VIEW, cd/m²", 14, bold=True)
    sketch.rectangle((1, 29, width - 2, height), thick=1.5)
    high = max(luminance_cd_m2.values())
    for point, (across, down) in wall.once(points_on_wall).items():
        x, y = across * width, 30 + down * height
        value = luminance_cd_m2.get(point)
        if value is None:
            sketch.text(x, y + 5, "to be read", 12)
            continue
        sketch.text(x, y, f"{value:.4g}", 20, bold=True)
        if high > 0:
            sketch.text(x, y + 19, f"{100 * value / high:.1f} %", 13)
    levels = ", ".join(f"{p} {luminance_cd_m2[p]:.4g}" for p in NINE_POINTS if p in luminance_cd_m2)
    caption = "Full white at nine points; below each, its share of the highest."
    gaps = [f"{p}: {words}" for p in NINE_POINTS if (words := beside_gap_words(wall, p))]
    caption += f" {upper_first('; '.join(gaps))}." if gaps else ""
    return Drawing(
        "nine-points",
        "Luminance at nine points",
        caption,
        f"{caption} {levels}.",
        sketch.to_bytes(),
    )

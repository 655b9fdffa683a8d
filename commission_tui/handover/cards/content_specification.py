"""The content specification: what makers of pictures for this canvas need; alone on its page."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from math import isclose
from statistics import fmean

from commission_tui.checks.model.types import Figure, Verdict
from commission_tui.checks.places.places import SEATS
from commission_tui.engineering.light.exposure import code_limit_fraction, wall_level_for_stops
from commission_tui.engineering.structure.geometry import pitch_mm
from commission_tui.engineering.viewing.sync import delay_window_ms
from commission_tui.engineering.viewing.viewing import TEXT_MINIMUM_ARCMIN, text_height_px
from commission_tui.figures import exact, with_unit
from commission_tui.handover.content.as_built import coding
from commission_tui.handover.content.document_inputs import (
    NOT_KNOWN,
    NOT_STATED,
    Context,
    stated_texts,
)
from commission_tui.handover.content.reading_tables import facts_of_role
from commission_tui.handover.content.sections import Chapter, Fact, Listing, Section, chapter
from commission_tui.text import counted, listed, upper_first
from commission_tui.wall.model.wall_model import Wall
from commission_tui.wall.patterns.sheet import Box
from commission_tui.wall.patterns.visible_area import largest_lit_box, unlit_boxes

_PICTURE = (16, 9)
_FULL_WHITE, _LIMITED_BLACK, _LIMITED_SPAN = 255, 16, 219
_TEXT_MARGIN = 0.05
_HOLES_NAMED = 8
_SQUARE = 0.001
"""Share by which a pixel may be wider than high before a circle looks like an egg."""
_FARTHEST_M = 1000.0
"""Farther away than any wall of this kind is read."""


@dataclass(frozen=True, slots=True)
class Area:
    """A rectangle of the canvas, in pixels from its top left."""

    x: int
    y: int
    width: int
    height: int

    def __str__(self) -> str:
        return f"x {self.x} to {self.x + self.width - 1}, y {self.y} to {self.y + self.height - 1}"

    def meets(self, other: Area) -> bool:
        return (
            self.x < other.x + other.width
            and other.x < self.x + self.width
            and self.y < other.y + other.height
            and other.y < self.y + self.height
        )


@dataclass(frozen=True, slots=True)
class CanvasPicture:
    """The canvas with the shape of what is lit in it."""

    width: int
    height: int
    lit: Sequence[Area]
    safe: Area
    alt: str
    caption: str = "Grey: lit. Broken line: area for text."


def content_specification(context: Context) -> Chapter:
    wall = context.wall
    return chapter(
        "Content specification",
        Section("name", context.name_of_wall),
        Section("facts", _facts(context)),
        Section("templates", (templates(wall), canvas_picture(wall)), "Template sizes"),
        Section(
            "bullets", [*_text(context), _grey(context), *_white(context)], "Text, grey and white"
        ),
        Section("bullets", _make(context), "Make"),
        Section("bullets", _avoid(context), "Do not make"),
        Section(
            "bullets", [*_sound(context), *_sentences(facts_of_role(context, "delays"))], "Sound"
        ),
        Section(
            "bullets",
            _sentences(facts_of_role(context, "clip", keep=lambda item: item.kind == "text")),
            "Clip played on this wall",
        ),
        reader="Makers of pictures",
    )


def _sentences(facts: Iterable[Fact]) -> list[str]:
    return [f"{fact}." for fact in facts]


def templates(wall: Wall) -> Listing:
    """Return the sizes that a template is made in: whole canvas, a 16:9 picture, halves."""
    width, height = wall.width_px, wall.height_px
    found = [("Whole canvas", _whole(wall))]
    across, down = _PICTURE
    if width * down != height * across:
        wide = min(width, height * across // down) // 2 * 2
        tall = min(height, width * down // across) // 2 * 2
        middle = Area((width - wide) // 2, (height - tall) // 2, wide, tall)
        found.append(("16:9 picture in the middle", middle))
    if width >= height and width > 1:
        half = width // 2
        found.append(("House left half", Area(0, 0, half, height)))
        found.append(("House right half", Area(half, 0, width - half, height)))
    elif height > 1:
        half = height // 2
        found.append(("Upper half", Area(0, 0, width, half)))
        found.append(("Lower half", Area(0, half, width, height - half)))
    unlit = wall.once(_unlit)
    largest = _area(largest_lit_box(wall))
    if unlit and not _crossing(unlit, largest):
        found.append(("Largest area with LEDs throughout", largest))
    found.append(("Area for text, 5 % in from the edge", _safe_area(wall)))
    return Listing(
        ("Template", "Size, px", "Top left corner"),
        [
            (
                name + _crossing(unlit, area),
                f"{area.width} × {area.height}",
                f"x {area.x}, y {area.y}",
            )
            for name, area in found
        ],
    )


def _whole(wall: Wall) -> Area:
    return Area(0, 0, wall.width_px, wall.height_px)


def _area(box: Box) -> Area:
    left, top, right, bottom = box
    return Area(left, top, right - left, bottom - top)


def _unlit(wall: Wall) -> list[Area]:
    return [_area(box) for box in unlit_boxes(wall)]


def _crossing(unlit: Iterable[Area], area: Area) -> str:
    return ", crosses canvas without LEDs" if any(map(area.meets, unlit)) else ""


def _safe_area(wall: Wall) -> Area:
    """Return the area for text: of the canvas, else of its largest part without a hole.

    A wall whose cabinets differ in pixels may have no such part; then the canvas stays, and what
    names it says that it crosses a hole.
    """
    unlit = wall.once(_unlit)
    areas = [_text_area(area) for area in (_whole(wall), _area(largest_lit_box(wall)))]
    return next((area for area in areas if not _crossing(unlit, area)), areas[0])


def _text_area(area: Area) -> Area:
    x, y = round(area.width * _TEXT_MARGIN), round(area.height * _TEXT_MARGIN)
    return Area(area.x + x, area.y + y, area.width - 2 * x, area.height - 2 * y)


def canvas_picture(wall: Wall) -> CanvasPicture:
    """Return the canvas to draw: cabinets side by side as one area, the area for text in it."""
    lit: list[Area] = []
    for one in sorted(wall.cabinets.values(), key=lambda c: (c.y_px, c.height_px, c.x_px)):
        last = lit[-1] if lit else Area(0, 0, 0, 0)
        if (last.x + last.width, last.y, last.height) == (one.x_px, one.y_px, one.height_px):
            lit[-1] = replace(last, width=last.width + one.width_px)
        else:
            lit.append(Area(one.x_px, one.y_px, one.width_px, one.height_px))
    width, height = wall.width_px, wall.height_px
    alt = f"The canvas, {width} by {height} pixels, with the shape of what is lit"
    return CanvasPicture(width, height, lit, _safe_area(wall), alt)


def _facts(context: Context) -> list[Fact]:
    wall = context.wall
    targets, rate = wall.file.targets, _frame_rate(wall)
    curve = stated_texts(targets, grey_exponent=f"exponent {targets.grey_exponent:g}")
    seat, safe = targets.farthest_m, _safe_area(wall)
    unlit = wall.once(_unlit)
    missing = sum(area.width * area.height for area in unlit)
    edge = "every edge"
    if safe != _text_area(_whole(wall)):
        edge += " of the largest area with LEDs throughout"
    return [
        Fact("Canvas", f"{wall.width_px} × {wall.height_px} px, {_pixel_shape(wall)}"),
        Fact("Aspect ratio", context.review.aspect),
        Fact("Size as hung", context.printing.size(wall.width_mm, wall.height_mm)),
        Fact("Frame rate", f"{rate} Hz, progressive" if rate else NOT_STATED),
        Fact("File types", f"{NOT_KNOWN}: ask the house what its players take"),
        Fact("White of the wall", _white_point(context)),
        Fact("Curve from signal to light", *(curve or [NOT_STATED])),
        *([] if seat is None else [Fact("Farthest seat", context.printing.distance(seat))]),
        Fact(
            "Safe area for text",
            f"{safe} (5 % in from {edge}){_crossing(unlit, safe)}",
        ),
        Fact("Seams between cabinets", f"{wall.columns - 1} upright, {wall.rows - 1} level"),
        *(
            [
                Fact(
                    "Canvas without LEDs",
                    f"{missing} px ({listed(unlit, _HOLES_NAMED, '; ')}): nothing that matters "
                    "belongs there",
                )
            ]
            if unlit
            else []
        ),
    ]


def _pixel_shape(wall: Wall) -> str:
    """Say whether pixels are square, which a canvas of several types of cabinet may not be."""
    kinds = [cabinet.kind for cabinet in wall.cabinets.values()]
    square = all(
        isclose(k.width_mm * k.height_px, k.height_mm * k.width_px, rel_tol=_SQUARE) for k in kinds
    )
    return "square pixels" if square else "pixels that are not square"


def _frame_rate(wall: Wall) -> str:
    """Return the frame rate as it is stated, [Hz]; nothing when it is not."""
    processor = wall.file.processor
    return "".join(stated_texts(processor, frame_rate_hz=f"{processor.frame_rate_hz:g}"))


def _white_point(context: Context) -> str:
    """Say the white that was designed, else the mean of what was measured."""
    targets = context.wall.file.targets
    if {"white_x", "white_y"} <= targets.model_fields_set:
        return f"x {targets.white_x:g}, y {targets.white_y:g}, as designed"
    x, y = (context.numbers("white_point", axis) for axis in ("x", "y"))
    if x and y:
        means = fmean(x.values()), fmean(y.values())
        return f"x {means[0]:.4f}, y {means[1]:.4f}, measured, mean of {counted(len(x), 'point')}"
    return NOT_STATED


def _text(context: Context) -> list[str]:
    """Say the smallest capital letter for the farthest seat, computed and as it was read."""
    lines = []
    farthest_m = context.wall.file.targets.farthest_m
    if farthest_m is not None:
        kinds = [cabinet.kind for cabinet in context.wall.cabinets.values()]
        pitch = min(pitch_mm(kind.height_mm, kind.height_px) for kind in kinds)
        pixels = text_height_px(pitch, min(farthest_m, _FARTHEST_M))
        lines.append(
            f"Capital letters at least {pixels} px high: {TEXT_MINIMUM_ARCMIN:g} minutes of arc from "
            f"the farthest seat, {context.printing.distance(farthest_m)} away (ISO 9241-303)."
        )
    read = context.number("legibility", "smallest_read_px")
    if read is not None:
        lines.append(
            f"Two readers in the farthest seat read {read:g} px without effort; no smaller."
        )
    used = context.number("legibility", "template_px")
    if used is not None:
        lines.append(f"The template in use has {used:g} px.")
    return lines or ["No farthest seat is in the design and no reading stands."]


def darkest_grey(levels: Mapping[float, float], veil_cd_m2: float) -> float | None:
    """Return the darkest measured step that stands clear of black, in percent of signal.

    Clear means: brighter than the step below it, and at least as bright as what the room's light
    makes of black (common practice, no published source). None when no step does.
    """
    for (_, below), (percent, value) in pairwise(sorted(levels.items())):
        if value > below and value >= veil_cd_m2:
            return percent
    return None


def _grey(context: Context) -> str:
    """Say the darkest grey that is not lost in black, of the grey scale as measured."""
    measured = context.numbers("grey_scale", "luminance_cd_m2")
    veil = context.numbers("spill_contrast", "lit_black_cd_m2").get("wall")
    levels = {float(step.split()[0]): value for step, value in measured.items()}
    percent = darkest_grey(levels, veil or 0.0)
    if percent is None:
        return f"Darkest safe grey: {_lacking(context, 'grey_scale')}."
    under = "measured in the dark room"
    if veil is not None:
        under = f"measured under the presenter's light, which makes black {veil:.3g} cd/m²"
    return (
        f"Darkest safe grey: {percent:g} % signal, 8-bit code {_codes(percent / 100)}; {under}. What "
        "is darker is lost in black."
    )


def _lacking(context: Context, *methods: str) -> str:
    """Say why there is no figure of some checks that may stand here."""
    again = any(check.method in methods for check in context.in_doubt())
    return "measured, and no longer good" if again else "not measured"


def _white(context: Context) -> list[str]:
    """Say the level of white, and the highest signal that leaves the presenter visible.

    The level is the mean of the nine points, as the first page has it; where they were not read, the
    one reading beside the presenter's light.
    """
    level = context.numbers("front_light", "wall_white_cd_m2").get("wall")
    target = context.wall.file.targets.house_level_cd_m2
    if mean := _mean_at_house_level(context):
        measured = f"{with_unit(mean.number, mean.unit)}, mean of nine points"
    elif level is not None:
        measured = f"{context.printing.quantity(level, 'cd/m2', 3)} as measured"
    else:
        stated = "" if target is None else f", it is to be {exact(target)} cd/m²"
        measured = f"{_lacking(context, 'nine_point_brightness', 'front_light')}{stated}"
    lines = [f"White at the house level: {measured}."]
    if level is None:
        return lines
    lights = context.numbers("front_light", "presenter_lx").values()
    limit = context.limit("front_light", "wall_over_presenter_stops")
    if lights and limit is not None and limit.high is not None:
        lines.append(_white_code(context, level, min(lights), limit.high))
    return lines


def _mean_at_house_level(context: Context) -> Figure | None:
    """Return the mean of the nine points at the level that is agreed for the house, as it was judged."""
    means = (
        figure
        for check in context.by_method("nine_point_brightness")
        if any(limit.from_target == "house_level_cd_m2" for limit in check.limits)
        and context.verdict(check) is not Verdict.OPEN
        for figure in context.printed[check.id].figures
        if figure.name == "mean"
    )
    return next(means, None)


def _white_code(context: Context, level_cd_m2: float, light_lx: float, most_stops: float) -> str:
    targets = context.wall.file.targets
    if "grey_exponent" not in targets.model_fields_set:
        return "Highest white behind a presenter: not computed, the design states no exponent."
    try:
        allowed = wall_level_for_stops(most_stops, light_lx)
        part = code_limit_fraction(allowed, level_cd_m2, targets.grey_exponent)
    except ValueError as error:
        return f"Highest white behind a presenter: cannot be computed, {error}."
    if part >= 1:
        return "Highest white behind a presenter: full signal."
    return (
        f"Highest white behind a presenter: {100 * part:.0f} % signal, 8-bit code {_codes(part)}; so "
        f"it stays within {most_stops:g} stops of the presenter in the dimmest place."
    )


def _codes(part: float) -> str:
    """Say a part of full signal as 8-bit codes, in both ranges."""
    limited = round(_LIMITED_BLACK + _LIMITED_SPAN * part)
    return f"{round(_FULL_WHITE * part)} in full range, {limited} in limited range"


def _sound(context: Context) -> list[str]:
    """Say each seat's offset, and the delay of the sound that serves them all."""
    offsets = context.numbers("sound_picture", "offset_ms")
    if not offsets:
        return [f"Sound against picture was {_lacking(context, 'sound_picture')}."]
    order = {seat: place for place, seat in enumerate(SEATS)}
    lines = [
        f"{upper_first(seat)}: sound {abs(value):g} ms {'early' if value > 0 else 'late'}."
        if value
        else f"{upper_first(seat)}: sound and picture together."
        for seat, value in sorted(offsets.items(), key=lambda at: order.get(at[0], len(order)))
    ]
    limit = context.limit("sound_picture", "offset_ms")
    if limit is None or limit.low is None or limit.high is None or limit.low >= limit.high:
        return lines
    window = delay_window_ms(list(offsets.values()), (limit.low, limit.high))
    within = f"{context.printing.limit(limit)} ({limit.source})"
    if window is None:
        lines.append(f"No one delay of the sound brings every seat within {within}.")
    elif window.least_ms == 0 and any(
        context.verdict(check) is not Verdict.PASS for check in context.by_method("sound_picture")
    ):
        lines.append(
            f"Whether every seat is within {within} is not decided: see the results. By the readings "
            "alone no delay of the sound is needed."
        )
    elif window.least_ms == 0:
        lines.append(f"No delay of the sound is needed: every seat is within {within}.")
    else:
        lines.append(f"Delay the sound by at least {window.least_ms:g} ms, for {within}.")
    return lines


def _make(context: Context) -> list[str]:
    wall = context.wall
    rate = _frame_rate(wall)
    lines = [
        f"Pictures and clips at {wall.width_px} × {wall.height_px} px, or at a size of the "
        "table of templates, so that nothing is scaled.",
        f"Clips at {rate} frames a second, or at a whole part of it, progressive."
        if rate
        else "Clips at the frame rate of the input, progressive.",
        "Colours of ITU-R BT.709 unless something else is agreed, levels as the input in the list of "
        "inputs expects them.",
        "Large, plain type without fine strokes; light text on a calm ground.",
    ]
    lines += [
        f"For the input {item.name} ({item.connector}): {item.width_px} × {item.height_px} px, "
        f"{item.frame_rate_hz:g} Hz, {coding(item)}."
        for item in wall.file.inputs
    ]
    return lines


def _avoid(context: Context) -> list[str]:
    lines = [
        "No flashing: at most three flashes in any second, none of saturated red (ITU-R BT.1702). It "
        "can trigger seizures.",
        "No long full-white picture in a dark room: it dazzles the front rows and the presenter.",
        "No lines one pixel wide and no fine stripes or grids: they shimmer.",
        "Nothing that matters across the outermost pixels.",
    ]
    if context.wall.file.cameras:
        lines.append("No fine regular patterns behind a presenter on camera: they show moiré.")
    return lines

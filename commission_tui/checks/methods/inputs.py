"""Signal inputs as detected, against the inputs as designed."""

from __future__ import annotations

from commission_tui.checks.methods._judging import (
    Placed,
    bad_places,
    conclude,
    judged,
    listed,
    plain,
    ranked,
)
from commission_tui.checks.registry import method
from commission_tui.checks.types import CheckInput, Figure, Outcome
from commission_tui.wall.file_model import Input

_SIDES = 4
_MOST_FIGURES = 12


@method(
    "input_format",
    fields=("width_px", "height_px", "frame_rate_hz"),
    limits=("rate_difference_hz",),
)
def input_format(data: CheckInput) -> Outcome:
    """Require the designed raster exactly and the designed rate within the limit."""
    placed = [item for source in data.wall.file.inputs for item in _format_of(data, source)]
    return _per_input(placed, "Set the source to the designed format; read the EDID it was given.")


def _format_of(data: CheckInput, source: Input) -> list[Placed]:
    figures: list[Figure] = []
    width, height = data.one("width_px", source.name), data.one("height_px", source.name)
    for what, reading, wanted in (
        ("width", width, source.width_px),
        ("height", height, source.height_px),
    ):
        if reading is not None:
            ok = reading.number == wanted
            name = f"{source.name}: {what}" if ok else f"{source.name}: {what} instead of {wanted}"
            figures.append(plain(name, reading.number, "px", ok=ok, digits=6))
    if rate := data.one("frame_rate_hz", source.name):
        off = abs(rate.number - source.frame_rate_hz)
        name = f"{source.name}: rate off by"
        if 0 < off < 1:
            name = f"{source.name}: a frame repeats or drops every {1 / off:.1f} s, rate off by"
        limit = data.limits["rate_difference_hz"]
        figures.append(judged(name, off, "Hz", limit=limit, expanded=rate.expanded))
    return [(source.name, figure) for figure in figures]


@method(
    "input_picture",
    fields=("one_to_one", "edges_seen", "lowest_code", "highest_code"),
    limits=("lowest_code_limited", "highest_code_limited", "lowest_code_full", "highest_code_full"),
)
def input_picture(data: CheckInput) -> Outcome:
    """Require one to one, four whole edges and every code of the designed range."""
    placed = [item for source in data.wall.file.inputs for item in _picture_of(data, source)]
    step = "Switch scaling off at the source, then set its range and the input's range alike."
    return _per_input(placed, step)


def _picture_of(data: CheckInput, source: Input) -> list[Placed]:
    name = source.name
    figures: list[Figure] = []
    if sharp := data.one("one_to_one", name):
        ok = sharp.value is True
        text = f"{name}: {'pixel for pixel' if ok else 'scaled, not pixel for pixel'}"
        figures.append(plain(text, float(ok), ok=ok))
    if edges := data.one("edges_seen", name):
        ok = edges.number == _SIDES
        figures.append(plain(f"{name}: whole sides of {_SIDES}", edges.number, ok=ok))
    for end, meaning in (("lowest", "above black"), ("highest", "below white")):
        if code := data.one(f"{end}_code", name):
            limit = data.limits[f"{end}_code_{source.quantization}"]
            text = f"{name}: {end} code seen {meaning}"
            figures.append(judged(text, code.number, limit=limit, expanded=code.expanded))
    return [(name, figure) for figure in figures]


def _per_input(placed: list[Placed], step: str) -> Outcome:
    """Say every input that is wrong, worst first; a wall with all inputs right says so in short."""
    worst_first = ranked(placed)
    figures = [figure for _, figure in worst_first[:_MOST_FIGURES]]
    bad = list(dict.fromkeys(bad_places(worst_first)))
    names = list(dict.fromkeys(place for place, _ in placed))
    if bad:
        return conclude(figures, where=bad, next_step=step)
    return conclude(figures, f"As designed on {listed(names)}")

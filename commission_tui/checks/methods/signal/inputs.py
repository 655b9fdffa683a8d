"""Signal inputs as detected, against the inputs as designed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from commission_tui.checks import judgement as j
from commission_tui.checks.error_budget import budget_of
from commission_tui.checks.model.types import CheckInput, Figure, Outcome
from commission_tui.checks.registry import method
from commission_tui.text import listed, upper_first
from commission_tui.wall.model.file_model import Input

_SIDES = 4
_MOST_FIGURES = 12
_SLOW_BEAT_HZ = 1e-3


@method(fields="width_px height_px frame_rate_hz", limits="rate_difference_hz")
def input_format(data: CheckInput) -> Outcome:
    """Require the designed raster exactly and the designed rate within the limit."""
    placed = [item for source in data.wall.file.inputs for item in _format_of(data, source)]
    return _per_input(placed, "Set the source to the designed format; read the EDID it was given.")


def _format_of(data: CheckInput, source: Input) -> list[Figure]:
    figures = [
        *as_designed(data, source, "width", "width_px", source.width_px),
        *as_designed(data, source, "height", "height_px", source.height_px),
    ]
    limit = data.limits["rate_difference_hz"]
    for figure in rate_off(data, source, "frame_rate_hz", "rate"):
        off, name = figure.value, figure.name
        if limit.high is not None and max(limit.high, _SLOW_BEAT_HZ) < off < 1:
            name += f" (a frame repeats or drops every {1 / off:.1f} s)"
        figures.append(replace(figure, name=name))
    return figures


@method(
    fields="one_to_one edges_seen lowest_code highest_code",
    limits="lowest_code_limited highest_code_limited lowest_code_full highest_code_full",
)
def input_picture(data: CheckInput) -> Outcome:
    """Require one to one, four whole edges and every code of the designed range."""
    inputs = data.wall.file.inputs
    edges, codes = ([item for one in inputs for item in of(data, one)] for of in (_edges, _codes))
    scaled = j.answered_no(data, "one_to_one")
    steps = []
    if scaled or j.bad_places(edges):
        steps.append("switch scaling and overscan off at the source")
    if wrong := j.bad_places(codes):
        designed = [f"{one.name} {one.quantization}" for one in inputs if one.name in wrong]
        steps.append(f"set the range of the source and of its input alike: {listed(designed)}")
    return _per_input(
        [figure for one in inputs for figure in edges + codes if figure.place == one.name],
        upper_first(f"{', then '.join(steps)}."),
        [(name, f"{name}: scaled, not pixel for pixel") for name in scaled],
    )


def _edges(data: CheckInput, source: Input) -> list[Figure]:
    edges = data.one("edges_seen", source.name)
    if edges is None:
        return []
    text = f"{source.name}: sides seen whole (of {_SIDES})"
    return [j.right_or_wrong(text, edges.number, ok=edges.number == _SIDES, place=source.name)]


def _codes(data: CheckInput, source: Input) -> list[Figure]:
    name = source.name
    return [
        figure
        for end, meaning in (("lowest", "above black"), ("highest", "below white"))
        for figure in j.judged_at(
            data,
            f"{name}: {end} code seen {meaning}",
            f"{end}_code",
            at=name,
            limit=f"{end}_code_{source.quantization}",
        )
    ]


def as_designed(
    data: CheckInput, source: Input, what: str, field: str, wanted: int, unit: str = "px"
) -> list[Figure]:
    """Hold what an input was read to have against the design; of bits there may be more."""
    reading = data.one(field, source.name)
    if reading is None:
        return []
    found, digits = reading.number, 6 if unit else 3
    ok = found == wanted if unit else found >= wanted
    name = f"{source.name}: {what}" + ("" if ok else f" (designed: {wanted})")
    return [j.right_or_wrong(name, found, unit, ok=ok, digits=digits, place=source.name)]


def rate_off(data: CheckInput, source: Input, field: str, what: str) -> list[Figure]:
    """Judge how far a rate is off the designed one of an input, where it was read."""
    rate, name = data.one(field, source.name), f"{source.name}: {what} off"
    if rate is None:
        return []
    off, limit = abs(rate.number - source.frame_rate_hz), data.limits["rate_difference_hz"]
    known = budget_of(rate)
    return [j.judged(name, off, "Hz", limit=limit, budget=known, place=source.name)]


def _per_input(all_of: list[Figure], step: str, seen: Sequence[tuple[str, str]] = ()) -> Outcome:
    """Say every input that is wrong; `seen` are faults that have no figure, as place and words."""
    in_order = j.worst_first(all_of)
    figures = in_order[:_MOST_FIGURES]
    bad = [*(place for place, _ in seen), *j.bad_places(in_order)]
    if not bad:
        names = list(dict.fromkeys(figure.place for figure in all_of))
        return j.conclude(figures, f"As designed on {listed(names)}" if names else "")
    parts = [words for _, words in seen]
    parts += [j.clauses_of(figures)] if j.bad_places(in_order) else []
    return j.conclude(
        figures, upper_first("; ".join(parts)), where=bad, next_step=step, failed=seen
    )

"""Lines in modules, breaks in motion, and the refresh rate as measured."""

from __future__ import annotations

from dataclasses import replace

from commission_tui.checks.error_budget import budget_of
from commission_tui.checks.judgement import (
    answered_no,
    bad_places,
    conclude,
    judged,
    right_or_wrong,
    sentence_of,
    worst_first,
)
from commission_tui.checks.methods.camera.optics import bands
from commission_tui.checks.model.types import CheckInput, Figure, Outcome, Verdict
from commission_tui.checks.registry import method
from commission_tui.engineering.viewing.motion import frames_apart
from commission_tui.figures import shown
from commission_tui.text import listed, lower_first

LINE_KINDS = frozenset(
    {
        "line in module",
        "column in module lost in one colour",
        "line doubled or out of place",
        "first line of each scan dark",
    }
)
"""Kinds of fault that count as a line; ghosts are looked for with patterns of their own."""
_GONE = "verified"
_WHITE, _LOWEST = "100 % white", "10 % grey"


@method("lines_in_modules", fields=("swept",))
def lines_in_modules(data: CheckInput) -> Outcome:
    """Count the lines in modules that are logged and not verified as gone; there may be none."""
    found = [
        fault.location for fault in data.faults if fault.state != _GONE and fault.kind in LINE_KINDS
    ]
    unswept = answered_no(data, "swept")
    figure = right_or_wrong("lines in modules", len(found), ok=not found)
    reason = "No line in any module" if not found else f"Lines in modules: {listed(found)}"
    if unswept:
        reason = f"Not swept in {listed(unswept)}; {lower_first(reason)}"
    step = "Reseat the flat cable of the named module, then change the module; sweep it again."
    extra = Verdict.FAIL if unswept else None
    return conclude([figure], reason, where=[*unswept, *found], next_step=step, also=extra)


@method("port_tear", fields=("no_break",), optional_fields=("offset_px", "speed_px_s"))
def port_tear(data: CheckInput) -> Outcome:
    """Weigh the look with the breaks measured at port borders, in frames."""
    answer = data.one("no_break")
    offsets, speed = data.numbers("offset_px"), data.one("speed_px_s")
    broken = [port for port, offset in offsets.items() if offset != 0]
    figures: list[Figure] = []
    if speed is not None:
        rate = data.wall.file.processor.frame_rate_hz
        figures = [
            right_or_wrong(
                f"frames that {port} is apart",
                frames_apart(offset, speed.number, rate),
                ok=offset == 0,
                digits=2,
            )
            for port, offset in offsets.items()
        ]
    seen = answer is not None and answer.value is False
    step = (
        "Compare load, rate and firmware of the named port with its neighbours, then the rates of "
        "source, processor and wall."
    )
    also = Verdict.FAIL if seen or broken else None
    return conclude(figures, _tear_words(seen, broken), where=broken, next_step=step, also=also)


def _tear_words(seen: bool, broken: list[str]) -> str:
    if broken:
        return f"The bar breaks at the border of {listed(broken)}"
    return "The bar breaks" if seen else "The bar stays whole across every port border"


@method("refresh_rate", fields=("refresh_hz",), limits=("of_stated_percent",))
def refresh_rate(data: CheckInput) -> Outcome:
    """Judge the refresh at white against the wall file; record what is left of it at low grey."""
    readings = data.field("refresh_hz")
    stated = data.wall.file.processor.refresh_hz
    white = readings.get(_WHITE)
    figures: list[Figure] = []
    if white is not None and stated is not None:
        expanded = budget_of(white, 100 / stated)
        figures.append(
            judged(
                "refresh at white",
                100 * white.number / stated,
                "% of that stated",
                limit=data.limits["of_stated_percent"],
                expanded=expanded,
                digits=4,
            )
        )
    figures += [
        judged(f"refresh at {place}", reading.number, "Hz", digits=5)
        for place, reading in readings.items()
    ]
    bands = worst_first(_bands(data))
    figures += [figure for _, figure in bands]
    step = "Look which mode of the processor trades refresh for bit depth, and set the agreed one."
    reason = sentence_of(figures) + _low_grey_words(data)
    return conclude(figures, reason, where=bad_places(bands) or [_WHITE], next_step=step)


def _low_grey_words(data: CheckInput) -> str:
    low = data.one("refresh_hz", _LOWEST)
    return "" if low is None else f"; {shown(low.number, 4)} Hz at 10 % grey"


def _bands(data: CheckInput) -> list[tuple[str, Figure]]:
    """Record what each camera's shutter would make of the refresh at the lowest grey."""
    low = data.one("refresh_hz", _LOWEST)
    if low is None or low.number <= 0:
        return []
    at_low = replace(data, beside={**data.beside, "refresh_hz": {_LOWEST: low}})
    return [
        (camera.name, figure)
        for camera in data.wall.file.cameras
        if (figure := bands(at_low, camera, camera.shutter_s)) is not None
    ]

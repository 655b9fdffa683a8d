"""Breaks in motion at the borders of ports, and the refresh rate as measured."""

from __future__ import annotations

from dataclasses import replace

from commission_tui.checks import judgement as j
from commission_tui.checks.methods.camera.optics import bands
from commission_tui.checks.model.types import CheckInput, Figure, Outcome
from commission_tui.checks.registry import method
from commission_tui.engineering.viewing.motion import frames_apart
from commission_tui.figures import shown
from commission_tui.text import listed

_WHITE, _LOWEST = "100 % white", "10 % grey"


@method(fields="no_break offset_px? speed_px_s?")
def port_tear(data: CheckInput) -> Outcome:
    """Weigh the look with the breaks measured at port borders, in frames."""
    offsets, speed = data.numbers("offset_px"), data.one("speed_px_s")
    broken = [port for port, offset in offsets.items() if offset != 0]
    figures: list[Figure] = []
    if speed is not None:
        rate = data.wall.file.processor.frame_rate_hz
        figures = [
            j.right_or_wrong(
                f"frames that {port} is apart",
                frames_apart(offset, speed.number, rate),
                ok=offset == 0,
                digits=2,
            )
            for port, offset in offsets.items()
        ]
    seen = data.says("no_break", False)
    step = (
        "Compare load, rate and firmware of the named port with its neighbours, then the rates of "
        "source, processor and wall."
    )
    return j.conclude(
        figures, _tear_words(seen, broken), where=broken, next_step=step, failed=seen or broken
    )


def _tear_words(seen: bool, broken: list[str]) -> str:
    if broken:
        return f"The bar breaks at the border of {listed(broken)}"
    return "The bar breaks" if seen else "The bar stays whole across every port border"


@method(fields="refresh_hz", limits="of_stated_percent")
def refresh_rate(data: CheckInput) -> Outcome:
    """Judge the refresh at white against the wall file; record what is left of it at low grey."""
    stated = data.wall.file.processor.refresh_hz
    figures: list[Figure] = []
    if stated is not None:
        figures += j.judged_at(
            data,
            "refresh at white",
            "refresh_hz",
            at=_WHITE,
            by=lambda hz: 100 * hz / stated,
            unit="% of that stated",
            limit="of_stated_percent",
            digits=4,
        )
    figures += [
        j.judged(f"refresh at {place}", reading.number, "Hz", digits=5)
        for place, reading in data.field("refresh_hz").items()
    ]
    bands = j.worst_first(_bands(data))
    figures += bands
    step = "Look which mode of the processor trades refresh for bit depth, and set the agreed one."
    low = data.one("refresh_hz", _LOWEST)
    reason = j.sentence_of(figures) + (f"; {shown(low.number, 4)} Hz at 10 % grey" if low else "")
    return j.conclude(figures, reason, where=j.bad_places(bands) or [_WHITE], next_step=step)


def _bands(data: CheckInput) -> list[Figure]:
    """Record what each camera's shutter would make of the refresh at the lowest grey."""
    low = data.one("refresh_hz", _LOWEST)
    if low is None or low.number <= 0:
        return []
    at_low = replace(data, beside={**data.beside, "refresh_hz": {_LOWEST: low}})
    return [
        figure
        for camera in data.wall.file.cameras
        if (figure := bands(at_low, camera, camera.shutter_s)) is not None
    ]

"""Seams between cabinets, lines in modules, breaks in motion, and the refresh rate as measured."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

from commission_tui.checks import judgement as j
from commission_tui.checks.methods.camera.optics import bands
from commission_tui.checks.model.types import CheckInput, Figure, Outcome, Reading
from commission_tui.checks.places.places import seam_pitch_mm
from commission_tui.checks.registry import method
from commission_tui.engineering.light.photometry import seam_contrast
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
_WHITE, _LOWEST = "100 % white", "10 % grey"


@method(fields="swept", reads_faults=True)
def lines_in_modules(data: CheckInput) -> Outcome:
    """Count the lines in modules that are logged and not verified as gone; there may be none."""
    there = (fault for fault in data.faults if fault.kind in LINE_KINDS and not fault.is_gone)
    found = [fault.location for fault in there]
    unswept = j.answered_no(data, "swept")
    figure = j.count_wrong("lines in modules", found, digits=3)
    reason = "No line in any module" if not found else f"Lines in modules: {listed(found)}"
    if unswept:
        reason = f"Not swept in {listed(unswept)}; {lower_first(reason)}"
    step = "Reseat the flat cable of the named module, then change the module; sweep it again."
    return j.conclude([figure], reason, where=[*unswept, *found], next_step=step, failed=unswept)


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


@method(fields="none_seen grade? line? gap_mm?", limits="grade gap_of_pitch_percent")
def seams(data: CheckInput) -> Outcome:
    """Weigh the look from the nearest seat with the graded seams and their gaps."""
    grades = j.judged_places(data, "grade of {}", "grade", limit="grade")
    gaps = gaps_of_pitch(data, "gap_of_pitch_percent")
    figures = [*grades[:1], *gaps[:1]]
    lines = Counter(str(r.value) for r in data.field("line").values())
    figures += [Figure(f"{it} seams", lines[it]) for it in ("dark", "bright") if lines[it]]
    step = (
        "Close the lock and clean the joint at the named seams first; correct edge pixels only "
        "when the mechanics are right."
    )
    unseen, remark = _look(data, j.bad_places(grades))
    reason = j.phrased(remark, j.clauses_of(figures)) if grades or gaps else remark
    where = j.bad_places([*grades, *gaps])
    return j.conclude(figures, reason, where=where, next_step=step, failed=not unseen)


def _look(data: CheckInput, seen: list[str]) -> tuple[bool, str]:
    """Compare the answer for the whole wall with the graded seams, which must not contradict it."""
    answer = data.one("none_seen")
    if answer is None:
        return True, ""
    if answer.value is True:
        if seen:
            return False, f"Said to be unseen from the nearest seat, yet graded: {listed(seen)}"
        return True, "No seam is seen from the nearest seat"
    if seen:
        return False, f"Seen from the nearest seat: {listed(seen)}"
    return False, "A seam is seen from the nearest seat, and none is graded so yet"


def gaps_of_pitch(data: CheckInput, limit: str) -> list[Figure]:
    """Judge each gap as a share of the pitch across its seam: the light that is missing there."""
    pitches = {seam: Reading(seam_pitch_mm(data.wall, seam)) for seam in data.field("gap_mm")}
    return j.judged_places(
        data,
        "gap against the pitch at {}",
        *("gap_mm", pitches),
        by=lambda gap, pitch: 100 * seam_contrast(gap, pitch),
        unit="%",
        limit=limit,
    )

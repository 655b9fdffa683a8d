"""What the farthest seat can read."""

from __future__ import annotations

from commission_tui.checks import judgement as j
from commission_tui.checks.error_budget import budget_of
from commission_tui.checks.model.types import CheckInput, Figure, Limit, Outcome, Reading, Verdict
from commission_tui.checks.registry import method
from commission_tui.engineering.structure.geometry import pitch_mm
from commission_tui.engineering.viewing.sync import delay_window_ms, lipsync, ms_to_frames
from commission_tui.engineering.viewing.viewing import arcmin, element_height_px, text_height_px
from commission_tui.figures import shown


@method(fields="smallest_read_px template_px reader_px?", limits="capital_arcmin")
def legibility(data: CheckInput) -> Outcome:
    """Hold the template's smallest capital against what was read and against the angle it fills."""
    read, used = _worst_read(data), data.one("template_px")
    farthest_m = data.wall.file.targets.farthest_m
    pitch = min(pitch_mm(c.height_mm, c.height_px) for c in data.wall.cabinets.values())
    figures: list[Figure] = []
    if read is not None and used is not None:
        ok = used.number >= read.number
        name = "smallest capital of the template"
        name += "" if ok else f" (read: {read.number:g} px)"
        figures.append(j.right_or_wrong(name, used.number, "px", ok=ok))
    if used is not None and farthest_m is not None:
        angle = arcmin(used.number * pitch, farthest_m)
        limit = data.limits["capital_arcmin"]
        name = f"capital of the template from {farthest_m:g} m"
        spread = None
        if used.number:
            spread = budget_of(used, angle / used.number)
        figures.append(j.judged(name, angle, "arcmin", limit=limit, expanded=spread))
    if read is not None and farthest_m is not None:
        angle = arcmin(read.number * pitch, farthest_m)
        figures.append(j.judged("smallest capital that was read", angle, "arcmin"))
    if farthest_m is not None:
        height = element_height_px(farthest_m, pitch)
        figures.append(j.judged("height for basic decisions, DISCAS", height, "px"))
    return j.conclude(figures, next_step=_advice(data, pitch, farthest_m))


def _worst_read(data: CheckInput) -> Reading | None:
    """Return the largest of the smallest lines: what both read, or what one reader needed more."""
    both = data.one("smallest_read_px")
    found = [*data.field("reader_px").values(), *([] if both is None else [both])]
    return max(found, key=lambda reading: reading.number, default=None)


def _advice(data: CheckInput, pitch: float, farthest_m: float | None) -> str:
    least = data.limits["capital_arcmin"].low
    if farthest_m is None or least is None or not 1 <= least <= 600:
        return "Give the makers of the content the smallest height that was read."
    height = text_height_px(pitch, farthest_m, least)
    return f"Set the template's smallest capital to at least {height} px, and to what was read."


@method(fields="offset_ms", limits="offset_ms")
def sound_picture(data: CheckInput) -> Outcome:
    """Judge the offset at every seat; plus is sound before picture."""
    limit = data.limits["offset_ms"]
    seats = j.worst_first(
        j.judged_from(_offset_name(at, r.number), r, unit="ms", limit=limit, place=at)
        for at, r in data.field("offset_ms").items()
    )
    worst = seats[0]
    frames = ms_to_frames(abs(worst.value), data.wall.file.processor.frame_rate_hz)
    reason = j.sentence_of(seats)
    if worst.verdict is Verdict.FAIL:
        reason += f" (to viewers: {lipsync(worst.value).verdict})"
    record = j.judged("the worst of these in frames of the wall", frames, digits=2)
    return j.conclude([*seats, record], reason, next_step=_sync_advice(data, limit))


def _sync_advice(data: CheckInput, limit: Limit) -> str:
    """Say the one delay that serves every seat read, or that there is none."""
    offsets = list(data.numbers("offset_ms").values())
    if limit.low is None or limit.high is None or limit.low >= limit.high:
        return "Delay what comes early, seat by seat."
    window = delay_window_ms(offsets, (limit.low, limit.high))
    if window is None:
        return (
            "No one delay serves these seats: take latency out of the later path, then delay zone "
            "by zone."
        )
    if window.least_ms == 0:
        return "Read the named seats again; no delay of the sound is needed for all of them."
    return (
        f"Cut the picture's latency first; else delay the sound by {shown(window.least_ms)} to "
        f"{shown(window.most_ms)} ms, which serves every seat read."
    )


def _offset_name(seat: str, offset_ms: float) -> str:
    if offset_ms == 0:
        return f"sound with the picture at the {seat}"
    return f"sound {'early' if offset_ms > 0 else 'late'} at the {seat}"

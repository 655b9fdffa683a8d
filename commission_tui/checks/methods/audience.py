"""What the farthest seat can read."""

from __future__ import annotations

from commission_tui.checks.methods._judging import bad_places, conclude, judged, plain, ranked
from commission_tui.checks.registry import method
from commission_tui.checks.types import CheckInput, Figure, Outcome
from commission_tui.engineering.geometry import pitch_mm
from commission_tui.engineering.viewing import arcmin, text_height_px


@method("legibility", fields=("smallest_read_px", "template_px"), limits=("capital_arcmin",))
def legibility(data: CheckInput) -> Outcome:
    """Hold the template's smallest capital against what was read and against the angle it fills."""
    read, used = data.one("smallest_read_px"), data.one("template_px")
    farthest_m = data.wall.file.targets.farthest_m
    pitch = min(pitch_mm(c.height_mm, c.height_px) for c in data.wall.cabinets.values())
    figures: list[Figure] = []
    if read is not None and used is not None:
        ok = used.number >= read.number
        name = "smallest capital of the template"
        name += "" if ok else f" (read: {read.number:g} px)"
        figures.append(plain(name, used.number, "px", ok=ok))
    if used is not None and farthest_m is not None:
        angle = arcmin(used.number * pitch, farthest_m)
        limit = data.limits["capital_arcmin"]
        name = f"capital of the template from {farthest_m:g} m"
        figures.append(judged(name, angle, "arcmin", limit=limit))
    if read is not None and farthest_m is not None:
        angle = arcmin(read.number * pitch, farthest_m)
        figures.append(judged("smallest capital that was read", angle, "arcmin"))
    return conclude(figures, next_step=_advice(data, pitch, farthest_m))


def _advice(data: CheckInput, pitch: float, farthest_m: float | None) -> str:
    least = data.limits["capital_arcmin"].low
    if farthest_m is None or least is None or not 1 <= least <= 600:
        return "Give the makers of the content the smallest height that was read."
    height = text_height_px(pitch, farthest_m, least)
    return f"Set the template's smallest capital to at least {height} px, and to what was read."


@method("sound_picture", fields=("offset_ms",), limits=("offset_ms",))
def sound_picture(data: CheckInput) -> Outcome:
    """Judge the offset at every seat; plus is sound before picture."""
    limit = data.limits["offset_ms"]
    seats = ranked(
        (
            seat,
            judged(_offset_name(seat, r.number), r.number, "ms", limit=limit, expanded=r.expanded),
        )
        for seat, r in data.field("offset_ms").items()
    )
    frame_ms = 1000 / data.wall.file.processor.frame_rate_hz
    worst_seat = seats[0][1]
    figures = [
        *(figure for _, figure in seats),
        judged("the largest of these in frames of the wall", worst_seat.value / frame_ms, digits=2),
    ]
    early = worst_seat.value > 0
    step = (
        "Delay the sound of that zone, by no more than the difference; leave the natural voice alone."
        if early
        else "Take latency out of the sound path, or delay the picture by the difference."
    )
    return conclude(figures, where=bad_places(seats), next_step=step)


def _offset_name(seat: str, offset_ms: float) -> str:
    if offset_ms == 0:
        return f"sound with the picture at the {seat}"
    return f"sound {'early' if offset_ms > 0 else 'late'} at the {seat}"

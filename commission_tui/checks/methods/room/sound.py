"""Sound beside the picture: delays as they are set, sound taken from the picture, an echo."""

from __future__ import annotations

from collections.abc import Sequence
from statistics import fmean

from commission_tui.checks import judgement as j
from commission_tui.checks.error_budget import function_budget
from commission_tui.checks.methods.plain_limits import with_answers
from commission_tui.checks.model.types import CheckInput, Figure, Limit, Outcome, Reading, Verdict
from commission_tui.checks.registry import method
from commission_tui.engineering.viewing import sync
from commission_tui.figures import shown

_HEARD_NOTHING = "nothing"

_LACKS = "how early or late sound comes takes the picture's latency and the distance in the zone"


@method(fields="delay_ms stored_as? distance_m? chain_ms?", limits="offset_ms?")
def sound_delays(data: CheckInput) -> Outcome:
    """Work out how early or late sound reaches each zone, against the picture as it was measured."""
    picture = _picture(data)
    figures = []
    for zone, delay in data.field("delay_ms").items() if picture else ():
        if away := data.one("distance_m", zone):
            system = data.one("chain_ms", zone) or Reading(0.0)
            figures.append(_offset(data, zone, (delay, system, away), picture, zone))
    late = (
        f"picture {shown(fmean(r.number for r in picture))} ms late as measured" if picture else ""
    )
    return with_answers(
        data,
        figures,
        remark="; ".join(filter(None, [late, _delays_to_set(figures) if figures else _LACKS])),
        leave_out={"distance_m", "chain_ms"} if figures else (),
        next_step=_step(figures),
    )


@method(fields="there_and_clean taken_at? delay_ms? level_db?", limits="offset_ms?")
def sound_from_picture(data: CheckInput) -> Outcome:
    """Hold the delay of sound taken out of the picture's path against the picture's own."""
    picture, delay = _picture(data), data.one("delay_ms")
    figures = []
    if picture and delay is not None:
        sound = (delay, Reading(0.0), Reading(0.0))
        figures.append(_offset(data, "taken out", sound, picture, "wall"))
    return with_answers(
        data,
        figures,
        remark=_delays_to_set(figures),
        next_step=_step(figures) or "Find a cleaner place.",
    )


@method(fields="remark distance_m? heard? air_c?", limits="echo_ms?")
def wall_echo(data: CheckInput) -> Outcome:
    """Work out when an echo comes back, and judge it where one was heard."""
    air = data.one("air_c")
    celsius = 20.0 if air is None else air.number
    heard = {place for place, r in data.field("heard").items() if r.value != _HEARD_NOTHING}
    figures = [
        j.judged_from(
            f"echo of the wall at the {place} after",
            away,
            by=lambda metres: sync.echo_ms(metres, celsius),
            unit="ms",
            limit=data.limits.get("echo_ms") if place in heard else None,
            place=place,
        )
        for place, away in data.field("distance_m").items()
    ]
    return with_answers(
        data,
        figures,
        leave_out={"distance_m", "air_c"},
        next_step="Turn loudspeakers away from the wall, tilt it or hang drapes; clap again.",
    )


def _picture(data: CheckInput) -> list[Reading]:
    """Return how late the picture is, as read: what was shot, else the whole path."""
    for name in ("latency_ms", "whole_ms"):
        if found := list(data.beside.get(name, {}).values()):
            return found
    return []


def _offset(
    data: CheckInput,
    zone: str,
    sound: tuple[Reading, Reading, Reading],
    picture: Sequence[Reading],
    place: str,
) -> Figure:
    """Judge sound (delay set, system's own, distance) against the mean of the picture's readings."""

    def offset(delay_ms: float, system_ms: float, metres: float, *late_ms: float) -> float:
        # A distance of nothing may become less than that by what its meter is off.
        return sync.sound_offset_ms(delay_ms + system_ms, max(0.0, metres), fmean(late_ms))

    readings = (*sound, *picture)
    found = offset(*(reading.number for reading in readings))
    side = "early" if found >= 0 else "late"
    return j.judged(
        f"sound against the picture, {zone} ({side})",
        found,
        "ms",
        limit=data.limits.get("offset_ms"),
        budget=function_budget(offset, *readings),
        place=place,
    )


def _delays_to_set(figures: list[Figure]) -> str:
    """Say the delay that would bring sound and picture together at each place."""
    phrases = []
    for figure in figures:
        delay = sync.delay_to_set(figure.value)
        where = "" if figure.place == "wall" else f" at {figure.place}"
        if delay.sound_ms > 0:
            phrases.append(f"{shown(delay.sound_ms, 2)} ms more would bring both together{where}")
        elif delay.picture_ms > 0:
            phrases.append(f"sound is {shown(delay.picture_ms, 2)} ms behind the picture{where}")
    return "; ".join(phrases)


def _step(figures: list[Figure]) -> str:
    if not figures:
        return ""
    return (
        "Cut the picture's latency first; then set the named delays anew and let the stage hear "
        "whether the voice comes back as an echo."
    )


@method(fields="offset_ms", limits="offset_ms")
def sound_picture(data: CheckInput) -> Outcome:
    """Judge the offset at every seat; plus is sound before picture."""
    limit = data.limits["offset_ms"]
    seats = j.worst_first(
        j.judged_from(_offset_name(at, r.number), r, unit="ms", limit=limit, place=at)
        for at, r in data.field("offset_ms").items()
    )
    worst = seats[0]
    frames = sync.ms_to_frames(abs(worst.value), data.wall.file.processor.frame_rate_hz)
    reason = j.sentence_of(seats)
    if worst.verdict is Verdict.FAIL:
        reason += f" (to viewers: {sync.lipsync(worst.value).verdict})"
    record = j.judged("the worst of these in frames of the wall", frames, digits=2)
    return j.conclude([*seats, record], reason, next_step=_sync_advice(data, limit))


def _sync_advice(data: CheckInput, limit: Limit) -> str:
    """Say the one delay that serves every seat read, or that there is none."""
    offsets = list(data.numbers("offset_ms").values())
    if limit.low is None or limit.high is None or limit.low >= limit.high:
        return "Delay what comes early, seat by seat."
    window = sync.delay_window_ms(offsets, (limit.low, limit.high))
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

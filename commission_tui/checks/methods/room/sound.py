"""Sound beside the picture: delays as they are set, sound taken from the picture, an echo."""

from __future__ import annotations

from collections.abc import Sequence
from statistics import fmean

from commission_tui.checks.error_budget import function_budget
from commission_tui.checks.judgement import Placed, judged
from commission_tui.checks.methods.plain_limits import with_answers
from commission_tui.checks.model.types import CheckInput, Figure, Outcome, Reading
from commission_tui.checks.registry import method
from commission_tui.engineering.viewing.sync import delay_to_set, echo_ms, sound_offset_ms
from commission_tui.figures import shown

_HEARD_NOTHING = "nothing"


@method(
    "sound_delays",
    fields=("delay_ms",),
    limits=(),
    optional_fields=("stored_as", "distance_m", "chain_ms"),
    optional_limits=("offset_ms",),
)
def sound_delays(data: CheckInput) -> Outcome:
    """Work out how early or late sound reaches each zone, against the picture as it was measured."""
    picture = _picture(data)
    placed: list[Placed] = []
    for zone, delay in data.field("delay_ms").items():
        away, chain = data.one("distance_m", zone), data.one("chain_ms", zone)
        if not picture or away is None:
            continue
        system = Reading(0.0) if chain is None else chain
        placed.append((zone, _offset(data, zone, (delay, system, away), picture)))
    late = fmean(shot.number for shot in picture) if picture else None
    lateness = "" if late is None else f"picture {shown(late)} ms late as measured"
    return with_answers(
        data,
        placed,
        said="; ".join(filter(None, [lateness, _delays_to_set(placed)])),
        leave_out=frozenset({"distance_m", "chain_ms"}) if placed else frozenset(),
        next_step=_step(placed),
    )


@method(
    "sound_from_picture",
    fields=("there_and_clean",),
    limits=(),
    optional_fields=("taken_at", "delay_ms", "level_db"),
    optional_limits=("offset_ms",),
)
def sound_from_picture(data: CheckInput) -> Outcome:
    """Hold the delay of sound taken out of the picture's path against the picture's own."""
    picture, delay = _picture(data), data.one("delay_ms")
    placed: list[Placed] = []
    if picture and delay is not None:
        sound = (delay, Reading(0.0), Reading(0.0))
        placed.append(("wall", _offset(data, "taken out", sound, picture)))
    return with_answers(
        data,
        placed,
        said=_delays_to_set(placed),
        next_step=_step(placed) or "Find a cleaner place.",
    )


@method(
    "wall_echo",
    fields=("remark",),
    limits=(),
    optional_fields=("distance_m", "heard", "air_c"),
    optional_limits=("echo_ms",),
)
def wall_echo(data: CheckInput) -> Outcome:
    """Work out when an echo comes back, and judge it where one was heard."""
    air = data.one("air_c")
    celsius = 20.0 if air is None else air.number
    placed: list[Placed] = []
    for place, away in data.field("distance_m").items():
        heard = data.one("heard", place)
        is_heard = heard is not None and heard.value != _HEARD_NOTHING
        figure = judged(
            f"echo of the wall at the {place} after",
            echo_ms(away.number, celsius),
            "ms",
            limit=data.limits.get("echo_ms") if is_heard else None,
            expanded=function_budget(lambda metres: echo_ms(metres, celsius), away),
        )
        placed.append((place, figure))
    return with_answers(
        data,
        placed,
        leave_out=frozenset({"distance_m", "air_c"}),
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
) -> Figure:
    """Judge sound (delay set, system's own, distance) against the mean of the picture's readings."""

    def offset(delay_ms: float, system_ms: float, metres: float, *late_ms: float) -> float:
        # A distance of nothing may become less than that by what its meter is off.
        return sound_offset_ms(delay_ms + system_ms, max(0.0, metres), fmean(late_ms))

    readings = (*sound, *picture)
    found = offset(*(reading.number for reading in readings))
    side = "early" if found >= 0 else "late"
    return judged(
        f"sound against the picture, {zone} ({side})",
        found,
        "ms",
        limit=data.limits.get("offset_ms"),
        expanded=function_budget(offset, *readings),
    )


def _delays_to_set(placed: list[Placed]) -> str:
    """Say the delay that would bring sound and picture together at each place."""
    phrases = []
    for zone, figure in placed:
        delay = delay_to_set(figure.value)
        where = "" if zone == "wall" else f" at {zone}"
        if delay.sound_ms > 0:
            phrases.append(f"{shown(delay.sound_ms, 2)} ms more would bring both together{where}")
        elif delay.picture_ms > 0:
            phrases.append(f"sound is {shown(delay.picture_ms, 2)} ms behind the picture{where}")
    return "; ".join(phrases)


def _step(placed: list[Placed]) -> str:
    if not placed:
        return ""
    return (
        "Cut the picture's latency first; then set the named delays anew and let the stage hear "
        "whether the voice comes back as an echo."
    )

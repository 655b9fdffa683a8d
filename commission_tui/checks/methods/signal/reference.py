"""Lock to a reference: rates that belong together, a phase that stands still."""

from __future__ import annotations

from commission_tui.checks.error_budget import function_budget
from commission_tui.checks.judgement import Placed, judged
from commission_tui.checks.methods.plain_limits import with_answers
from commission_tui.checks.model.types import CheckInput, Figure, Outcome
from commission_tui.checks.registry import method
from commission_tui.engineering.viewing.camera import frame_beat_hz
from commission_tui.engineering.viewing.frame_cadence import drift_slip_s
from commission_tui.figures import shown

_TAKEN = frozenset({"reference_hz", "processor_hz", "phase_us", "phase_later_us", "watched_min"})


@method(
    "reference_lock",
    fields=("locked", "relocks", "reference_hz"),
    optional_fields=("processor_hz", "phase_us", "phase_later_us", "watched_min"),
    optional_limits=("beat_hz", "drift_us_min"),
)
def reference_lock(data: CheckInput) -> Outcome:
    """Hold the reference's rate against the processor's, and the phase against itself later."""
    reference, processor = data.one("reference_hz"), data.one("processor_hz")
    wall_hz = data.wall.file.processor.frame_rate_hz if processor is None else processor.number
    placed: list[Placed] = []
    records: list[Figure] = []
    if reference is not None and reference.number > 0 and wall_hz > 0:
        name = f"beats of the reference with the processor at {shown(wall_hz, 5)} Hz"
        beat = frame_beat_hz(reference.number, wall_hz)
        placed.append(("wall", judged(name, beat, "Hz", limit=data.limits.get("beat_hz"))))
        placed += _drift(data)
        records = _phase(data, reference.number)
    return with_answers(
        data,
        placed,
        records=records,
        leave_out=_TAKEN,
        next_step="Set reference, sources and processor to one rate, end the reference once, and read "
        "the phase again after a few minutes.",
    )


def _drift(data: CheckInput) -> list[Placed]:
    first, later, watched = (
        data.one(name) for name in ("phase_us", "phase_later_us", "watched_min")
    )
    if first is None or later is None or watched is None or watched.number <= 0:
        return []
    drift = abs(later.number - first.number) / watched.number
    limit = data.limits.get("drift_us_min")
    minutes = watched.number
    figure = judged(
        "drift of the phase in a minute",
        drift,
        "µs",
        limit=limit,
        expanded=function_budget(lambda before, after: (after - before) / minutes, first, later),
    )
    return [("wall", figure)]


def _phase(data: CheckInput, reference_hz: float) -> list[Figure]:
    """Record the phase as a share of the frame, and how soon it would slip by a whole one."""
    first, later, watched = (
        data.one(name) for name in ("phase_us", "phase_later_us", "watched_min")
    )
    if first is None:
        return []
    figures = [judged("phase, of a frame", 100 * first.number * 1e-6 * reference_hz, "%")]
    if later is not None and watched is not None and watched.number > 0:
        drift = later.number - first.number
        slip = drift_slip_s(drift, 60 * watched.number, reference_hz)
        if slip is not None:
            figures.append(judged("time until this drift is a whole frame", slip / 3600, "h"))
    return figures

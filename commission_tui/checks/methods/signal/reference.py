"""Lock to a reference: rates that belong together, a phase that stands still."""

from __future__ import annotations

from commission_tui.checks.error_budget import function_budget
from commission_tui.checks.judgement import judged
from commission_tui.checks.methods.plain_limits import with_answers
from commission_tui.checks.model.types import CheckInput, Figure, Outcome
from commission_tui.checks.registry import method
from commission_tui.engineering.viewing.camera import frame_beat_hz
from commission_tui.engineering.viewing.frame_cadence import drift_slip_s
from commission_tui.figures import shown

_TAKEN = frozenset({"reference_hz", "processor_hz", "phase_us", "phase_later_us", "watched_min"})


@method(
    fields="locked relocks reference_hz processor_hz? phase_us? phase_later_us? watched_min?",
    limits="beat_hz? drift_us_min?",
)
def reference_lock(data: CheckInput) -> Outcome:
    """Hold the reference's rate against the processor's, and the phase against itself later."""
    reference, processor = data.one("reference_hz"), data.one("processor_hz")
    wall_hz = data.wall.file.processor.frame_rate_hz if processor is None else processor.number
    placed: list[Figure] = []
    records: list[Figure] = []
    if reference is not None and reference.number > 0 and wall_hz > 0:
        name = f"beats of the reference with the processor at {shown(wall_hz, 5)} Hz"
        beat = frame_beat_hz(reference.number, wall_hz)
        placed.append(judged(name, beat, "Hz", limit=data.limits.get("beat_hz"), place="wall"))
        drift, records = _phase(data, reference.number)
        placed += drift
    return with_answers(
        data,
        placed,
        records=records,
        leave_out=_TAKEN,
        next_step="Set reference, sources and processor to one rate, end the reference once, and read "
        "the phase again after a few minutes.",
    )


def _phase(data: CheckInput, reference_hz: float) -> tuple[list[Figure], list[Figure]]:
    """Judge the phase's drift; record it as a share of the frame, and how soon it slips by a whole one."""
    first, later, watched = map(data.one, ("phase_us", "phase_later_us", "watched_min"))
    if first is None:
        return [], []
    records = [judged("phase, of a frame", 100 * first.number * 1e-6 * reference_hz, "%")]
    if later is None or watched is None or watched.number <= 0:
        return [], records
    minutes, moved = watched.number, later.number - first.number
    drift = judged(
        "drift of the phase in a minute",
        abs(moved) / minutes,
        "µs",
        limit=data.limits.get("drift_us_min"),
        expanded=function_budget(lambda before, after: (after - before) / minutes, first, later),
        place="wall",
    )
    slip = drift_slip_s(moved, 60 * minutes, reference_hz)
    if slip is not None:
        records.append(judged("time until this drift is a whole frame", slip / 3600, "h"))
    return [drift], records

"""One step for many faults at once, in one transaction."""

from __future__ import annotations

from collections.abc import Sequence

from commission_tui.errors import InputError
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.state.fault_steps import AsItIs, SortedByStep, sorted_by_step, work_body


def work_on_all(
    job: OpenJob,
    ids: Sequence[str],
    action: str,
    *,
    note: str = "",
    taken: AsItIs | None = None,
) -> SortedByStep:
    """Log one step for many faults in one transaction; those it is not open to are left alone.

    Each fault is taken as it stands now, not as it was shown.

    Raises
    ------
    InputError
        When the step is open to none of them, or acceptance lacks its name or owner.
    """
    wanted = set(ids)
    found = sorted_by_step([fault for fault in job.state.faults if fault.id in wanted], action)
    if not found.allowed:
        raise InputError(f"{action}: no fault here is ready for this step")
    job.record_all([work_body(f, action, note=note, taken=taken) for f in found.allowed])
    return found

"""The line that the list of jobs shows, kept beside the entries so that no list reads them."""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import dataclass

from commission_tui.logbook.entries import models as e
from commission_tui.logbook.state.state import State

_CHANGES = (e.JobOpened, e.Design, e.FaultFound, e.FaultWork, e.Correction)


@dataclass(frozen=True, slots=True)
class JobSummary:
    """One line of the job list."""

    id: str
    name: str
    client: str
    site: str
    wall: str
    last_entry_at: str
    done: int
    checks: int
    open_faults: int
    damage: str = ""
    """Why the job cannot be opened, in one line; empty when it can."""
    time_zone: str | None = None
    """Of the wall, where its file states one."""


def summary_of(state: State) -> dict[str, str | int]:
    """Return what is kept of a job for the list; how far it is stands in its verdicts."""
    head = state.wall.file.wall
    return {
        "name": state.title.name,
        "client": state.title.client,
        "site": head.site,
        "wall": head.name,
        "time_zone": head.time_zone or "",
        "open_faults": sum(fault.state in {"open", "mended"} for fault in state.faults),
    }


def summary_after(state: State, bodies: Iterable[e.Body]) -> dict[str, str | int] | None:
    """Return it anew when an entry of these changes it."""
    changes = any(isinstance(item, _CHANGES) for item in bodies)
    whole = state.job is not None and state.design is not None
    return summary_of(state) if changes and whole else None


def summary_text(state: State) -> str:
    return json.dumps(summary_of(state))

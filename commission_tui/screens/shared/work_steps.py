"""How far work is that goes by steps, and what it is asked for."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from commission_tui.logbook.job import OpenJob
from commission_tui.screens.shared.progress_line import progress_line
from commission_tui.screens.terminal.styled_text import Glyphs, Line
from commission_tui.subprocess_job import Step

_WIDE = 36
WORK = "commission_tui.handover.export_process"


def asked(what: str, job: OpenJob, formats: Sequence[str] = ()) -> tuple[str, dict[str, Any]]:
    """Return the name of some work on a document, and what it must be told to do it."""
    request = {
        "database": str(job.database.absolute()),
        "job": job.id,
        "by": job.by,
        "formats": list(formats),
        "without_contacts": False,
    }
    return f"{WORK}:{what}", request


def working_line(doing: str, step: Step | None, seconds: int, width: int, glyphs: Glyphs) -> Line:
    """Say how far long work is, for how long it has run, and that Esc stops it."""
    if step is None:
        return progress_line(doing, 0, 0, width, glyphs)
    more = f"{step.number} of {step.count}: {step.says}, {seconds} s"
    # As wide for every step, so that the bar does not jump.
    return progress_line(doing, step.number - 1, step.count, width, glyphs, f"{more:<{_WIDE}}")

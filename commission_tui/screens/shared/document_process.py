"""What work on a document in a process of its own is asked for."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from commission_tui.logbook.job import OpenJob

WORK = "commission_tui.handover.export_process"


def process_request(
    what: str, job: OpenJob, formats: Sequence[str] = (), folder: Path = Path()
) -> tuple[str, dict[str, Any]]:
    """Return the name of some work on a document, and what it must be told to do it."""
    request = {
        "database": str(job.database.absolute()),
        "job": job.id,
        "by": job.by,
        "formats": list(formats),
        "without_contacts": False,
        "folder": str(folder.absolute()),
    }
    return f"{WORK}:{what}", request

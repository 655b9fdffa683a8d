"""The Textual app: one file a screen, pure view models beside them, styles in `styles/`."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from commission_tui.logbook.logbook import Logbook


def run(
    logbook: Logbook,
    by: str,
    job_id: str | None = None,
    export_dir: Path | None = None,
    *,
    ascii_only: bool = False,
) -> int:
    """Open the screens and return the exit status once the person leaves them."""
    # Here, not at the top: no command waits for the libraries that draw.
    from commission_tui.screens.app.app import CommissionApp

    job = logbook.open(job_id, by) if job_id else None
    app = CommissionApp(logbook, by, job=job, export_dir=export_dir, ascii_only=ascii_only)
    app.run()
    return app.return_code or 0

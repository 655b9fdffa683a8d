"""The Textual app: one file a screen, pure view models beside them, styles in `styles/`."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from commission_tui.logbook.quiet import no_collecting

if TYPE_CHECKING:
    from commission_tui.logbook.service import Logbook


def get_ready() -> None:
    """Bring in what the first picture of a job is made of; it stays for as long as the program."""
    with no_collecting():
        from commission_tui.checks import methods  # noqa: F401
        from commission_tui.screens import app, overview  # noqa: F401


def run(
    logbook: Logbook,
    by: str,
    job_id: str | None = None,
    export_dir: Path | None = None,
    *,
    ascii_only: bool = False,
) -> int:
    """Open the screens and return the exit status once the person leaves them."""
    from commission_tui.screens.app import CommissionApp

    with no_collecting():
        job = logbook.open(job_id, by) if job_id else None
        if job is not None:
            job.outcomes()  # the first picture asks for every verdict
        app = CommissionApp(logbook, by, job=job, export_dir=export_dir, ascii_only=ascii_only)
    app.run()
    return app.return_code or 0

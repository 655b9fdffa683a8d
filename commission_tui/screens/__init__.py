"""The Textual app: one file a screen, pure view models beside them, styles in `styles/`."""

from __future__ import annotations

import contextlib
from pathlib import Path
from typing import TYPE_CHECKING

from commission_tui.errors import CommissionError

if TYPE_CHECKING:
    from commission_tui.logbook.logbook import Logbook, OpenJob
    from commission_tui.screens.app.first_picture import FirstPicture


def get_ready() -> None:
    """Bring in what the first picture of a job is made of; it stays for as long as the program."""
    from commission_tui.checks import methods  # noqa: F401
    from commission_tui.screens.app import app  # noqa: F401
    from commission_tui.screens.overview import screen as overview  # noqa: F401


def run(
    logbook: Logbook,
    by: str,
    job_id: str | None = None,
    export_dir: Path | None = None,
    *,
    ascii_only: bool = False,
) -> int:
    """Open the screens behind the curtain and return the exit status once the person leaves them."""
    from commission_tui.screens.app.app import CommissionApp
    from commission_tui.screens.app.first_picture import FirstPicture, lines_of
    from commission_tui.screens.app.no_alt_screen_driver import taking_over

    first = FirstPicture(logbook.path, by, job_id, ascii_only)
    before = first.stands()
    known = first.recall() is not None
    job = logbook.open(job_id, by) if job_id else None
    app = CommissionApp(logbook, by, job=job, export_dir=export_dir, ascii_only=ascii_only)

    def shown(painted: bool) -> None:
        if painted and before is not None and not known:
            first.remember(before, lines_of(app.screen))

    app.when_shown = shown
    app.driver_class = taking_over(app.driver_class)
    app.run()
    status = app.return_code or 0
    if status == 0:
        # Nothing that goes wrong with a picture is worth a word, nor is one worth waiting for.
        with contextlib.suppress(CommissionError, KeyboardInterrupt):
            leave_picture(logbook, job, first)
    return status


def leave_picture(logbook: Logbook, job: OpenJob | None, first: FirstPicture) -> None:
    """Paint the first screen as it is now, unseen, for the next start."""
    import shutil

    from commission_tui.screens.app.app import CommissionApp
    from commission_tui.screens.app.first_picture import lines_of

    before = first.stands()
    if before is None or first.recall() is not None:
        return
    if job is not None:
        job.refresh()
    app = CommissionApp(logbook, first.by, job=job, ascii_only=first.ascii_only)

    def shown(painted: bool) -> None:
        if painted:
            first.remember(before, lines_of(app.screen))
        app.exit()

    app.when_shown = shown
    app.run(headless=True, size=shutil.get_terminal_size())

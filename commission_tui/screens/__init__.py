"""The Textual app: a room for a screen or what belongs together, pure views beside it, styles in `styles/`.

What is new is most often a dialog, a box over a screen; `doubts.dialog` is one to begin from:

* it is a `Dialog` (`widgets.screen_frame`) of what it closes with, gets an `OpenJob`, yields its widgets in
  `compose_box` and fills them in `on_screen_resume`, since what it rests on may have changed below;
* its keys are rows made by `host.key_table.key`: id, key, action, the word at the foot, what the help says;
* a screen opens it by a row of its own ``BINDINGS`` and an action that calls `open_dialog`, with what to do
  with what it closes with: `OverviewScreen.action_doubts`;
* what it says are functions that know no widget, above it or, where they are many, in a ``view.py``.

The screens that function keys lead to are `JobScreen`s (`shared.job_screen`), which redraw whenever the job
changes. A further one is a row of `TABS` there: the app takes ``WalkScreen`` from ``walk/screen.py`` by its
name. `jobs.screen` alone is a plain screen. A letter that is to be a key of a screen must be none that begins
what is typed there astray: `host.unclaimed_keys` tells words from keys, and ``OPENING_KEYS`` of a screen are the
letters that open a field, behind which words may come at once. The rules for keys hold every class with ``BINDINGS``, also a new
one (``tests/screens/test_every_screen.py``); how screens look is kept (``test_kept_screens.py``).
"""

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

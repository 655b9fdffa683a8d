"""Files of the check in front of one: photographs or a table read into it, its test patterns written."""

from __future__ import annotations

from collections.abc import Callable

from commission_tui.screens.photographs.check_tasks import tasks
from commission_tui.screens.photographs.photograph_task import begin
from commission_tui.screens.shared.job_screen import JobScreen
from commission_tui.screens.walk.view import Step
from commission_tui.screens.widgets.picker import Choice, Picker
from commission_tui.screens.widgets.screen_frame import open_dialog
from commission_tui.text import clipped

_TABLE, _PATTERNS, _PHOTOGRAPHS = "table", "patterns", "photographs "


def choose(screen: JobScreen, check_id: str, step: Step | None, read: Callable[[], None]) -> None:
    """Ask which file it is about; `read` is called when something was logged."""
    check = screen.job.state.checklist.check(check_id)
    cameras = tasks(screen.job, check, step.place if step is not None else None)

    def picked(key: str) -> None:
        # Here, not at the top: each brings what the other does not need.
        if key == _TABLE:
            from commission_tui.screens.importing.dialog import import_table

            field = step.field.name if step is not None else None
            import_table(screen, check_id, field, read)
        elif key == _PATTERNS:
            from commission_tui.screens.patterns.dialog import PatternsDialog

            screen.app.push_screen(PatternsDialog(screen.job.state.wall, check.pattern))
        else:
            begin(screen, cameras[int(key.removeprefix(_PHOTOGRAPHS))][1](), read)

    named = f"  this check names: {clipped(check.pattern, 40)}" if check.pattern else ""
    choices = [
        *(
            Choice(
                f"{_PHOTOGRAPHS}{number}",
                (("Read photographs", "strong"), (f"  {title}", "muted")),
            )
            for number, (title, _) in enumerate(cameras)
        ),
        Choice(_TABLE, (("Read a table", "strong"), ("  a meter's CSV or .xlsx, into this check", "muted"))),
        Choice(_PATTERNS, (("Write test patterns", "strong"), (named, "muted"))),
    ]  # fmt: skip
    open_dialog(screen, Picker(f"Files for {clipped(check.title, 40)}", choices), picked)

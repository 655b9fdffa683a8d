"""Files of the check in front of one: a table read into it, its test patterns written."""

from __future__ import annotations

from collections.abc import Callable

from commission_tui.screens.shared.job_screen import JobScreen
from commission_tui.screens.widgets.picker import Choice, Picker
from commission_tui.text import clipped

_TABLE, _PATTERNS = "table", "patterns"


def choose(screen: JobScreen, check_id: str, field: str | None, read: Callable[[], None]) -> None:
    """Ask which file it is about; `read` is called when a table was logged."""
    check = screen.job.state.checklist.check(check_id)

    def picked(key: str | None) -> None:
        # Here, not at the top: each brings what the other does not need.
        if key == _TABLE:
            from commission_tui.screens.importing.dialog import import_table

            import_table(screen, check_id, field, read)
        elif key == _PATTERNS:
            from commission_tui.screens.patterns.dialog import PatternsDialog

            screen.app.push_screen(PatternsDialog(screen.job.state.wall, check.pattern))

    named = f"  this check names: {clipped(check.pattern, 40)}" if check.pattern else ""
    choices = [
        Choice(_TABLE, (("Read a table", "strong"), ("  a meter's CSV or .xlsx, into this check", "muted"))),
        Choice(_PATTERNS, (("Write test patterns", "strong"), (named, "muted"))),
    ]  # fmt: skip
    screen.app.push_screen(Picker(f"Files for {clipped(check.title, 40)}", choices), picked)

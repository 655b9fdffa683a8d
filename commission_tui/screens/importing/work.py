"""A table on its way into the logbook: looked at, read, logged; in a thread, which says how far it is."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from contextlib import closing
from pathlib import Path

from commission_tui.logbook.entries.ids_and_clock import Clock
from commission_tui.logbook.entries.models import TableMapping
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.logbook import Logbook
from commission_tui.logbook.state.state import State
from commission_tui.logbook.tables.table_logging import TakenTable, already_logged, log_table
from commission_tui.logbook.tables.table_proposal import (
    TableHead,
    TablePlan,
    proposed_plan,
    read_head,
    read_planned,
)
from commission_tui.screens.importing.view import TableFound

OnProgress = Callable[[str, int, int], None]
"""Called with what is done, how much of it, and of how much; 0 while nobody knows."""


class TableWork:
    """One table for one check of a job."""

    def __init__(
        self, job: OpenJob, clock: Clock, path: Path, check_id: str, field: str | None
    ) -> None:
        self.job, self.path = job, path
        self.check = job.state.checklist.check(check_id)
        """The check of which the columns are fields, as it was when somebody asked for this."""
        self._clock, self._field = clock, field

    def look(
        self, state: State, sheet: str | None, known: Sequence[TableMapping]
    ) -> tuple[TableHead, TablePlan]:
        """Read the first rows and propose what the columns are."""
        head = read_head(self.path, sheet)
        return head, proposed_plan(state.wall, self.check, head, known, self._field)

    def read(
        self, plan: TablePlan, sheet: str | None, decimal: str | None, on_progress: OnProgress
    ) -> TableFound:
        """Read the whole table and hold it against the job as it is now."""

        def on_rows(done: int, of: int) -> None:
            on_progress("Holding against the job" if of else "Reading rows", done, of)

        with closing(Logbook(self.job.database, self._clock)) as book:
            job = book.open(self.job.id, self.job.by)
            rows = read_planned(
                job, self.path, plan, sheet=sheet, decimal=decimal, progress=on_rows
            )
            return TableFound(rows, already_logged(job.state, rows.good), state=job.state)

    def log(self, taken: TakenTable, on_progress: OnProgress) -> int:
        """Log all of it in one transaction; return how many readings."""
        where = self.job.database, self.job.id, self.job.by

        def on_rows(done: int, of: int) -> None:
            on_progress("Making entries", done, of)

        return log_table(*where, taken, clock=self._clock, progress=on_rows)

"""What the import of a table does in the background: it looks, reads, logs, tells how far it is."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from textual import work
from textual.message import Message
from textual.worker import Worker, get_current_worker

from commission_tui.errors import CommissionError
from commission_tui.logbook.entries.models import TableMapping
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.logbook import Logbook
from commission_tui.logbook.state.state import State
from commission_tui.logbook.tables.table_commit import (
    ChangedMeanwhileError,
    TakenTable,
    already_read,
    log_table,
)
from commission_tui.logbook.tables.table_proposal import (
    TableHead,
    TablePlan,
    proposed,
    read_head,
    read_planned,
)
from commission_tui.screens.importing.view import Seen
from commission_tui.screens.widgets.screen_frame import Dialog


class _StoppedError(Exception):
    """Nobody wants it any more."""


class ImportWork(Dialog[int | None]):
    """Reads a table as often as its columns are said anew; what is out of date is told to nobody."""

    @dataclass
    class Looked(Message):
        """The first rows are read."""

        head: TableHead
        plan: TablePlan
        turn: int

    @dataclass
    class Read(Message):
        """The whole table is read and held against the job as it was then."""

        seen: Seen
        state: State | None
        turn: int

    @dataclass
    class Progress(Message):
        """It got further; `of` is 0 while nobody knows how many there are."""

        what: str
        done: int
        of: int
        turn: int

    @dataclass
    class Logged(Message):
        """All is in the logbook."""

        count: int

    @dataclass
    class NotLogged(Message):
        """Nothing is, and why; `again` when the table must be read once more."""

        text: str
        again: bool = False

    def __init__(self, job: OpenJob, path: Path, check_id: str, field: str | None) -> None:
        super().__init__()
        self.job = job
        self.path = path
        self.turn = 0
        self.check = job.state.checklist.check(check_id)
        """The check of which the columns are fields, as it was when somebody asked for this."""
        self._field = field
        self._worker: Worker[None] | None = None

    def on_unmount(self) -> None:
        self.stop_work()

    def stop_work(self) -> None:
        if self._worker is not None:
            self._worker.cancel()

    def next_turn(self) -> int:
        """Give up what is being read; what still comes of it is no longer wanted."""
        self.stop_work()
        self.turn += 1
        return self.turn

    def start_look(self, sheet: str | None, known: tuple[TableMapping, ...]) -> None:
        """Read the first rows and propose what the columns are."""
        state, turn = self.job.state, self.next_turn()

        def look() -> Message:
            head = read_head(self.path, sheet)
            plan = proposed(state.wall, self.check, head, known, self._field)
            return self.Looked(head, plan, turn)

        self._worker = self._read(look, turn)

    def start_reading(self, plan: TablePlan, sheet: str | None, decimal: str | None) -> None:
        """Read the whole table and hold it against the job."""
        turn = self.next_turn()

        def told(done: int, of: int) -> None:
            if get_current_worker().is_cancelled:
                raise _StoppedError
            what = "Holding against the job" if of else "Reading rows"
            self.post_message(self.Progress(what, done, of, turn))

        def read() -> Message:
            book = Logbook(self.job.database, self.host.logbook.clock)
            try:
                job = book.open(self.job.id, self.job.by)
                rows = read_planned(
                    job, self.path, plan, sheet=sheet, decimal=decimal, on_progress=told
                )
                return self.Read(Seen(rows, already_read(job.state, rows.good)), job.state, turn)
            finally:
                book.close()

        self._worker = self._read(read, turn)

    @work(thread=True, exclusive=True, group="import", exit_on_error=False, description="a table")
    def _read(self, read: Callable[[], Message], turn: int) -> None:
        worker = get_current_worker()
        try:
            message = read()
        except _StoppedError:
            return
        except CommissionError as error:
            message = self.Read(Seen(None, trouble=str(error)), None, turn)
        except Exception as error:  # the worker's edge: of one that was stopped nobody would hear
            said = f"the import failed: {error!r:.200}"
            message = self.Read(Seen(None, trouble=said), None, turn)
        if not worker.is_cancelled:
            self.post_message(message)

    def start_logging(self, taken: TakenTable) -> None:
        self._worker = self._log(taken, self.turn)

    @work(thread=True, exclusive=True, group="import", exit_on_error=False, description="logging")
    def _log(self, taken: TakenTable, turn: int) -> None:
        worker = get_current_worker()

        def told(done: int, of: int) -> None:
            if worker.is_cancelled:
                raise _StoppedError
            self.post_message(self.Progress("Making entries", done, of, turn))

        clock = self.host.logbook.clock
        where = self.job.database, self.job.id, self.job.by
        try:
            count = log_table(*where, taken, clock=clock, on_progress=told)
        except _StoppedError:
            message: Message = self.NotLogged("Stopped; nothing was logged")
        except CommissionError as error:
            message = self.NotLogged(str(error), isinstance(error, ChangedMeanwhileError))
        except Exception as error:  # the worker's edge: of one that was stopped nobody would hear
            message = self.NotLogged(f"the import failed: {error!r:.200}")
        else:
            message = self.Logged(count)
        self.post_message(message)

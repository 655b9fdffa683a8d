"""A table that was looked at goes into the logbook whole, or not at all."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from commission_tui.errors import InputError
from commission_tui.logbook.entries.ids_and_clock import Clock
from commission_tui.logbook.entries.models import ReadingTaken, TableMapping
from commission_tui.logbook.logbook import Logbook
from commission_tui.logbook.state.state import State
from commission_tui.logbook.tables.table_import import Progress

_TOLD_EACH = 100


class ChangedMeanwhileError(InputError):
    """The job is no longer as the readings were held against it: they must be read once more."""


@dataclass(frozen=True, slots=True)
class TakenTable:
    """The readings that somebody looked at, how they were read, and the job they were held against."""

    readings: tuple[ReadingTaken, ...]
    state: State
    remember: TableMapping | None = None


def already_read(state: State, readings: tuple[ReadingTaken, ...] | list[ReadingTaken]) -> int:
    """Count the readings at places that were read before; the later one counts."""
    return sum(state.latest(item.check, item.field, item.place) is not None for item in readings)


def log_table(
    book: Path, job: str, by: str, taken: TakenTable, *, clock: Clock, on_progress: Progress
) -> int:
    """Log a table over a connection of its own, in one transaction; return how many readings.

    `on_progress` is told how many entries are made, of how many; what it raises ends it, and nothing
    is logged. Once all are made nothing can stop the transaction.

    Raises
    ------
    ChangedMeanwhileError
        When design, checks or instruments are no longer those that the readings were held against.
    """
    of = len(taken.readings)
    made = 0

    def counting() -> datetime:
        # Asked once for each entry that is made, and more often only when all are made.
        nonlocal made
        if made == of or (made < of and made % _TOLD_EACH == 0):
            on_progress(made, of)
        made += 1
        return clock()

    logbook = Logbook(book, counting)
    try:
        opened = logbook.open(job, by)
        _still_so(taken, opened.state)
        on_progress(0, of)
        made = 0
        remember = [taken.remember] if taken.remember is not None else []
        opened.record_all([*remember, *taken.readings])
    finally:
        logbook.close()
    return of


def _still_so(taken: TakenTable, now: State) -> None:
    held, there = (
        [[logged.id for logged in kept] for kept in (state.designs, state.checklists, state.chosen)]
        for state in (taken.state, now)
    )
    if held != there:
        raise ChangedMeanwhileError(
            "import: found that the job was changed meanwhile, expected it as the table was held "
            "against it; nothing was logged, look at what would be"
        )

"""A table that somebody looked at, logged whole: what stands already where it goes, and the transaction."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from commission_tui.errors import InputError
from commission_tui.logbook.actions.reading_corrections import latest_reading
from commission_tui.logbook.actions.taking_back import since_signed
from commission_tui.logbook.entries.ids_and_clock import Clock
from commission_tui.logbook.entries.models import ReadingTaken, TableMapping
from commission_tui.logbook.judging.doubts import doubtful_readings
from commission_tui.logbook.logbook import Logbook
from commission_tui.logbook.state.state import State
from commission_tui.progress import Progress

_LOGGED_EACH = 100


class ChangedMeanwhileError(InputError):
    """The job is no longer as the readings were held against it: they must be read once more."""


@dataclass(frozen=True, slots=True)
class TakenTable:
    """The readings that somebody looked at, how they were read, and the job they were held against."""

    readings: tuple[ReadingTaken, ...]
    state: State
    remember: TableMapping | None = None


@dataclass(frozen=True, slots=True)
class AlreadyLogged:
    """Which readings of a table go where one stands already, how many say the same, who signed those."""

    slots: frozenset[tuple[str, str, str]] = frozenset()
    """Check, field and place."""
    same: int = 0
    since: tuple[str, ...] = ()
    """Who signed what stands, and in which documents it was issued."""

    def __bool__(self) -> bool:
        return bool(self.slots)

    def text(self, of: int) -> str:
        """Say it of so many readings."""
        many, since = len(self.slots), "".join(f"; {one}" for one in self.since)
        if self.same == of:
            alike = "with the same value" if of == 1 else "with the same values"
            every = "all " if of > 1 else ""
            return f"{every}{many} already logged, {alike}: this table was imported before?{since}"
        same = f", {self.same} of them with the same value" if self.same else ""
        return f"{many} already logged{same}{since}"


NONE_LOGGED = AlreadyLogged()


def already_logged(state: State, readings: Sequence[ReadingTaken]) -> AlreadyLogged:
    """Find the readings of this visit that a table would take the place of.

    One that a change has put in doubt is to be read again anyway: it does not stand.
    """
    doubtful = {check: doubtful_readings(state, check) for check in {r.check for r in readings}}
    slots, same, stand = set(), 0, []
    for item in readings:
        latest = latest_reading(state, item.check, item.field, item.place)
        if latest is not None and (item.field, item.place) not in doubtful[item.check]:
            slots.add((item.check, item.field, item.place))
            same += latest.body.value == item.value
            stand.append(latest.id)
    since = since_signed(state, *stand) if stand else []
    return AlreadyLogged(frozenset(slots), same, tuple(since))


def log_table(
    book: Path, job: str, by: str, taken: TakenTable, *, clock: Clock, progress: Progress
) -> int:
    """Log a table over a connection of its own, in one transaction; return how many readings.

    `progress` is told how many entries are made, of how many; what it raises ends it, and nothing
    is logged. Once all are made nothing can stop the transaction.

    Raises
    ------
    ChangedMeanwhileError
        When design, checks or instruments are no longer those that the readings were held against.
    """
    of = len(taken.readings)

    def making(made: int, _: int) -> None:
        if made == of or (made < of and made % _LOGGED_EACH == 0):
            progress(made, of)

    logbook = Logbook(book, clock)
    try:
        opened = logbook.open(job, by)
        _still_so(taken, opened.state)
        progress(0, of)
        remember = [taken.remember] if taken.remember is not None else []
        opened.record_all([*remember, *taken.readings], progress=making)
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

"""What stands at a place already, before another reading is logged over it."""

from __future__ import annotations

from commission_tui.checks.model.types import Value
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.entry_factory import changed_body
from commission_tui.logbook.entries.logged import Logged
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.judging.doubts import doubtful_readings
from commission_tui.logbook.state.state import State


def latest_reading(
    state: State, check: str, field: str, place: str
) -> Logged[e.ReadingTaken] | None:
    """Return the latest reading of a field at a place on this visit."""
    begun = state.visits[-1].id if state.visits else ""
    slot = [logged for logged in state.slot(check, field, place) if logged.id >= begun]
    return slot[-1] if slot else None


def reading_in_place(
    state: State, check: str, field: str, place: str
) -> Logged[e.ReadingTaken] | None:
    """Return the reading of this visit that a further one would silently take the place of.

    One that a change has put in doubt is to be read again anyway: it does not stand.
    """
    latest = latest_reading(state, check, field, place)
    return None if latest and (field, place) in doubtful_readings(state, check) else latest


def replace_reading(
    job: OpenJob,
    old: Logged[e.ReadingTaken],
    value: Value,
    reason: str,
    *,
    confirmed: bool = False,
    same_instrument: bool = False,
) -> e.Entry:
    """Log what a reading should have been; the old value and the reason are kept.

    `same_instrument` says that only the typing was wrong; else it was read again, with the
    instrument that is chosen now.

    Raises
    ------
    OddReadingError
        As `OpenJob.read` does.
    InputError
        When the value has no meaning, or the reason is empty.
    """
    was = old.body
    made = job.reading(was.check, was.field, was.place, value, confirmed=confirmed)
    if same_instrument:
        made = changed_body(made, instrument=was.instrument)
    return job.correct(old.id, changed_body(made, again=was.again), reason)

"""The state of a job: a pure fold of its entries, one at a time, in the order of their ids."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, Generic, TypeVar, cast

import immutables

from commission_tui.checks.checklist import Checklist, parse_checklist
from commission_tui.errors import CommissionError, StoreError
from commission_tui.logbook.entries import (
    Body,
    ChecklistSet,
    Correction,
    Design,
    Entry,
    FaultFound,
    FaultWork,
    Instrument,
    InstrumentChosen,
    JobOpened,
    NotApplicable,
    Note,
    Photo,
    ReadingTaken,
    Signature,
)
from commission_tui.wall.model import Wall
from commission_tui.wall.reading import parse_wall

B = TypeVar("B", bound=Body)
_Put = Callable[["State", "Logged[Any]"], "State"]
_Take = Callable[["State", str, Any], "State"]
Slot = tuple[str, str]
"""Field name and place."""


@dataclass(frozen=True, slots=True)
class Logged(Generic[B]):
    """A body with who wrote it and when; `corrected` when a later entry changed it."""

    id: str
    at: str
    by: str
    body: B
    corrected: bool = False


CheckReadings = immutables.Map[Slot, tuple[Logged[ReadingTaken], ...]]


@dataclass(frozen=True, slots=True)
class Fault:
    """A punch-list item with its whole history."""

    number: int
    """Counts up in the order of finding."""
    found: Logged[FaultFound]
    work: tuple[Logged[FaultWork], ...] = ()
    photos: tuple[Logged[Photo], ...] = ()

    @property
    def id(self) -> str:
        return self.found.id

    @property
    def state(self) -> str:
        """One of open, mended, verified, accepted."""
        last = self.work[-1].body.action if self.work else "reopened"
        return "open" if last == "reopened" else last


@dataclass(frozen=True, slots=True)
class State:
    """Everything that follows from the entries so far."""

    job: Logged[JobOpened] | None = None
    designs: tuple[Logged[Design], ...] = ()
    design: Wall | None = None
    checklists: tuple[Logged[ChecklistSet], ...] = ()
    checklist: Checklist = Checklist(())
    instruments: immutables.Map[str, Logged[Instrument]] = immutables.Map()
    chosen: tuple[Logged[Instrument] | Logged[InstrumentChosen], ...] = ()
    readings: immutables.Map[str, CheckReadings] = immutables.Map()
    skipped: immutables.Map[str, tuple[Logged[NotApplicable], ...]] = immutables.Map()
    found: tuple[Logged[FaultFound], ...] = ()
    work: immutables.Map[str, tuple[Logged[FaultWork], ...]] = immutables.Map()
    notes: tuple[Logged[Note], ...] = ()
    photos: tuple[Logged[Photo], ...] = ()
    signatures: tuple[Logged[Signature], ...] = ()
    entries: immutables.Map[str, Entry] = immutables.Map()
    corrections: immutables.Map[str, tuple[Entry, ...]] = immutables.Map()
    last_id: str = ""
    last_reading: str = ""
    """Id of the latest reading, which is what a slip just now concerns."""

    @property
    def wall(self) -> Wall:
        """The wall of the latest design; a job always has one."""
        if self.design is None:
            raise LookupError("the job has no design")
        return self.design

    @property
    def title(self) -> JobOpened:
        """What the job is called; a job always begins with it."""
        if self.job is None:
            raise LookupError("the job was never opened")
        return self.job.body

    @property
    def faults(self) -> tuple[Fault, ...]:
        """The punch list, in the order of finding."""
        photos: dict[str, list[Logged[Photo]]] = {}
        for photo in self.photos:
            if photo.body.about:
                photos.setdefault(photo.body.about, []).append(photo)
        return tuple(
            Fault(number, found, self.work.get(found.id, ()), tuple(photos.get(found.id, ())))
            for number, found in enumerate(self.found, start=1)
        )

    def instrument_for(self, unit: str) -> Logged[Instrument] | None:
        """Return the instrument that was last chosen for a unit."""
        for logged in reversed(self.chosen):
            body = logged.body
            if isinstance(body, Instrument) and unit in body.accuracy:
                return self.instruments.get(body.key)
            if isinstance(body, InstrumentChosen) and unit in body.units:
                return self.instruments.get(body.instrument)
        return None

    def latest(self, check: str, field: str, place: str) -> Logged[ReadingTaken] | None:
        slot = self.readings.get(check, _NO_READINGS).get((field, place), ())
        return slot[-1] if slot else None

    def effective(self, entry_id: str) -> Body | None:
        """Return an entry's body as it stands now; None when it was withdrawn."""
        entry = self.entries[entry_id]
        corrections = self.corrections.get(entry_id, ())
        if not corrections:
            return entry.body
        return cast("Correction", corrections[-1].body).replacement

    def history(self, entry_id: str) -> Iterator[Entry]:
        """Yield an entry and every correction of it, oldest first."""
        yield self.entries[entry_id]
        yield from self.corrections.get(entry_id, ())


_NO_READINGS: CheckReadings = immutables.Map()


def fold(entries: Iterable[Entry], state: State | None = None) -> State:
    """Apply entries in the order of their ids."""
    current = state or State()
    for entry in entries:
        current = apply(current, entry)
    return current


def folded(path: Path, entries: Iterable[Entry], state: State | None = None) -> State:
    """Return the state of entries from a database.

    Raises
    ------
    StoreError
        When they do not make a job: entries are missing, or were changed outside this program.
    """
    try:
        after = fold(entries, state)
        _ = after.title, after.wall
    except (CommissionError, LookupError, ValueError) as error:
        raise StoreError(
            f"{path}: this job's entries do not fit together ({str(error)[:200]}); restore a backup"
        ) from None
    return after


def apply(state: State, entry: Entry) -> State:
    """Return the state after one more entry.

    An entry already applied changes nothing. One that sorts before the last cannot be applied on
    top: the caller folds anew.

    Raises
    ------
    ValueError
        When the entry sorts before the last one applied.
    """
    if entry.id in state.entries:
        return state
    if entry.id < state.last_id:
        raise ValueError(f"entry {entry.id} sorts before {state.last_id}, expected a later one")
    state = replace(state, entries=state.entries.set(entry.id, entry), last_id=entry.id)
    if isinstance(entry.body, Correction):
        return _correct(state, entry, entry.body)
    # A correction can sort before what it corrects when two clocks differ.
    return _put(state, entry.id)


def _correct(state: State, entry: Entry, body: Correction) -> State:
    known = body.corrects in state.entries
    if known:
        state = _take(state, body.corrects)
    earlier = state.corrections.get(body.corrects, ())
    state = replace(state, corrections=state.corrections.set(body.corrects, (*earlier, entry)))
    return _put(state, body.corrects) if known else state


def _put(state: State, entry_id: str) -> State:
    """Let an entry, as it stands now, take effect."""
    body = state.effective(entry_id)
    if body is None:
        return state
    entry = state.entries[entry_id]
    corrected = entry_id in state.corrections
    put: _Put = _PUT[type(body)]
    return put(state, Logged(entry.id, entry.at, entry.by, body, corrected))


def _take(state: State, entry_id: str) -> State:
    """Undo the effect of an entry as it stands now."""
    body = state.effective(entry_id)
    if body is None:
        return state
    take: _Take = _TAKE[type(body)]
    return take(state, entry_id, body)


def _added(items: tuple[Any, ...], item: Any) -> tuple[Any, ...]:
    """Keep logged items in the order of their ids; nearly always at the end."""
    if not items or items[-1].id < item.id:
        return (*items, item)
    return tuple(sorted((*items, item), key=lambda logged: logged.id))


def _removed(items: tuple[Any, ...], entry_id: str) -> tuple[Any, ...]:
    return tuple(item for item in items if item.id != entry_id)


def _put_job(state: State, logged: Logged[Any]) -> State:
    return replace(state, job=logged)


def _take_job(state: State, _id: str, _body: Any) -> State:
    return replace(state, job=None)


def _with_designs(state: State, designs: tuple[Logged[Design], ...]) -> State:
    wall = parse_wall(designs[-1].body.text) if designs else None
    return replace(state, designs=designs, design=wall)


def _with_checklists(state: State, sets: tuple[Logged[ChecklistSet], ...]) -> State:
    checklist = parse_checklist(sets[-1].body.files) if sets else Checklist(())
    return replace(state, checklists=sets, checklist=checklist)


def _put_instrument(state: State, logged: Logged[Any]) -> State:
    return replace(
        state,
        instruments=state.instruments.set(logged.body.key, logged),
        chosen=_added(state.chosen, logged),
    )


def _take_instrument(state: State, entry_id: str, body: Any) -> State:
    chosen = _removed(state.chosen, entry_id)
    same = [c for c in chosen if isinstance(c.body, Instrument) and c.body.key == body.key]
    instruments = state.instruments.delete(body.key)
    if same:
        instruments = instruments.set(body.key, same[-1])
    return replace(state, instruments=instruments, chosen=chosen)


def _put_reading(state: State, logged: Logged[Any]) -> State:
    body: ReadingTaken = logged.body
    check = state.readings.get(body.check, _NO_READINGS)
    slot = (body.field, body.place)
    check = check.set(slot, _added(check.get(slot, ()), logged))
    return replace(
        state,
        readings=state.readings.set(body.check, check),
        last_reading=max(logged.id, state.last_reading),
    )


def _take_reading(state: State, entry_id: str, body: Any) -> State:
    check = state.readings[body.check]
    slot = (body.field, body.place)
    left = _removed(check[slot], entry_id)
    check = check.set(slot, left) if left else check.delete(slot)
    return replace(state, readings=state.readings.set(body.check, check))


def _put_skip(state: State, logged: Logged[Any]) -> State:
    items = _added(state.skipped.get(logged.body.check, ()), logged)
    return replace(state, skipped=state.skipped.set(logged.body.check, items))


def _take_skip(state: State, entry_id: str, body: Any) -> State:
    left = _removed(state.skipped[body.check], entry_id)
    skipped = state.skipped.set(body.check, left) if left else state.skipped.delete(body.check)
    return replace(state, skipped=skipped)


def _put_work(state: State, logged: Logged[Any]) -> State:
    items = _added(state.work.get(logged.body.found, ()), logged)
    return replace(state, work=state.work.set(logged.body.found, items))


def _take_work(state: State, entry_id: str, body: Any) -> State:
    left = _removed(state.work[body.found], entry_id)
    work = state.work.set(body.found, left) if left else state.work.delete(body.found)
    return replace(state, work=work)


_PUT: dict[type, _Put] = {
    JobOpened: _put_job,
    Design: lambda s, x: _with_designs(s, _added(s.designs, x)),
    ChecklistSet: lambda s, x: _with_checklists(s, _added(s.checklists, x)),
    Instrument: _put_instrument,
    InstrumentChosen: lambda s, x: replace(s, chosen=_added(s.chosen, x)),
    ReadingTaken: _put_reading,
    NotApplicable: _put_skip,
    FaultFound: lambda s, x: replace(s, found=_added(s.found, x)),
    FaultWork: _put_work,
    Note: lambda s, x: replace(s, notes=_added(s.notes, x)),
    Photo: lambda s, x: replace(s, photos=_added(s.photos, x)),
    Signature: lambda s, x: replace(s, signatures=_added(s.signatures, x)),
}
_TAKE: dict[type, _Take] = {
    JobOpened: _take_job,
    Design: lambda s, i, _: _with_designs(s, _removed(s.designs, i)),
    ChecklistSet: lambda s, i, _: _with_checklists(s, _removed(s.checklists, i)),
    Instrument: _take_instrument,
    InstrumentChosen: lambda s, i, _: replace(s, chosen=_removed(s.chosen, i)),
    ReadingTaken: _take_reading,
    NotApplicable: _take_skip,
    FaultFound: lambda s, i, _: replace(s, found=_removed(s.found, i)),
    FaultWork: _take_work,
    Note: lambda s, i, _: replace(s, notes=_removed(s.notes, i)),
    Photo: lambda s, i, _: replace(s, photos=_removed(s.photos, i)),
    Signature: lambda s, i, _: replace(s, signatures=_removed(s.signatures, i)),
}

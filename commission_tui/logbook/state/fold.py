"""The fold: one entry at a time, in the order of their ids, into the state of a job."""

from __future__ import annotations

import operator
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import fields, replace
from functools import lru_cache, partial
from pathlib import Path
from sys import intern
from typing import Any

import immutables

from commission_tui.checks.checklists.checklist import Checklist, parse_stored
from commission_tui.errors import CommissionError, StoreError
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.models import Correction, Entry
from commission_tui.logbook.state.packed_readings import Growing, Readings
from commission_tui.logbook.state.state import NO_READINGS, CheckReadings, Logged, Slot, State
from commission_tui.logbook.store.packed_entries import PAGE, Entries, Page, packed
from commission_tui.logbook.store.rows import Read
from commission_tui.wall.model.wall_file import parse_wall
from commission_tui.wall.model.wall_model import Wall

_FIELDS = tuple(field.name for field in fields(State))
_Put = Callable[[State, Logged[Any]], State]
_Take = Callable[[State, str, Any], State]


def fold(entries: Iterable[Entry], state: State | None = None) -> State:
    """Apply entries in the order of their ids."""
    if state is None:
        listed = list(entries)
        ids = [entry.id for entry in listed]
        if all(map(operator.lt, ids, ids[1:])):
            return _fold_whole(_paged(listed))
        entries = listed
    return _one_by_one(entries, state or State())


def _one_by_one(entries: Iterable[Entry], state: State) -> State:
    for entry in entries:
        state = apply(state, entry)
    return state


def _paged(entries: Sequence[Entry]) -> Iterator[Read]:
    for start in range(0, len(entries), PAGE):
        some = entries[start : start + PAGE]
        yield Read(some, partial(packed, some))


def _fold_whole(pages: Iterable[Read]) -> State:
    """Do what applying one entry after the other does, for a whole job at once.

    What is only kept under its kind does not depend on anything else: it is gathered in plain lists.
    The few others, and the corrections, are applied in their order on top of it.
    """
    gathered = _Gathered()
    kept: list[Callable[[], Page]] = []
    others: list[Entry] = []
    corrected: set[str] = set()
    last_id = ""
    for read in pages:
        kept.append(read.page)
        last_id = read.entries[-1].id
        for entry in read.entries:
            body = entry.body
            if isinstance(body, Correction):
                corrected.add(body.corrects)
            # Where two clocks differed a correction can sort before what it corrects.
            if type(body) in _ALONE and entry.id not in corrected:
                gathered.take(entry, body)
            else:
                others.append(entry)
    state = gathered.put_into(
        State(entries=Entries(tuple(page() for page in kept)), last_id=last_id)
    )
    not_yet = {entry.id for entry in others}
    for entry in others:
        not_yet.discard(entry.id)
        if isinstance(entry.body, Correction):
            state = _correct(state, entry, entry.body, not_yet)
        else:
            state = _put(state, entry)
    return state


class _Gathered:
    """What is only kept, in plain lists by where it is kept."""

    def __init__(self) -> None:
        self._readings: dict[str, dict[Slot, Growing]] = {}
        self._skipped: dict[str, list[Logged[Any]]] = {}
        self._work: dict[str, list[Logged[Any]]] = {}
        self._kept: dict[str, list[Logged[Any]]] = {}
        self._last_reading = ""

    def take(self, entry: Entry, body: e.AnyBody) -> None:
        if type(body) is e.ReadingTaken:
            slots = self._readings.setdefault(body.check, {})
            growing = slots.get((body.field, body.place))
            if growing is None:
                growing = slots[intern(body.field), body.place] = Growing()
            growing.take(entry.id, entry.at, entry.by, body)
            self._last_reading = entry.id
            return
        logged: Logged[Any] = Logged(entry.id, entry.at, entry.by, body)
        if isinstance(body, e.NotApplicable):
            self._skipped.setdefault(body.check, []).append(logged)
        elif isinstance(body, e.FaultWork):
            self._work.setdefault(body.found, []).append(logged)
        else:
            self._kept.setdefault(_IN_ORDER[type(body)], []).append(logged)

    def put_into(self, state: State) -> State:
        kept: dict[str, Any] = {
            name: _sorted_with(getattr(state, name), items) for name, items in self._kept.items()
        }
        readings: dict[str, CheckReadings] = {
            check: immutables.Map({slot: x.readings(check, *slot) for slot, x in found.items()})
            for check, found in self._readings.items()
        }
        return replace(
            state,
            **kept,
            readings=immutables.Map(readings),
            skipped=_mapped(state.skipped, self._skipped),
            work=_mapped(state.work, self._work),
            last_reading=max(self._last_reading, state.last_reading),
        )


def _mapped(known: Any, found: Mapping[Any, Sequence[Logged[Any]]]) -> Any:
    return known.update({key: _sorted_with(known.get(key, ()), x) for key, x in found.items()})


def _sorted_with(known: tuple[Any, ...], items: Sequence[Logged[Any]]) -> tuple[Any, ...]:
    """Return both in the order of their ids."""
    if not known:
        return tuple(items)
    return tuple(sorted([*known, *items], key=lambda logged: logged.id))


def folded(path: Path, entries: Iterable[Entry], state: State | None = None) -> State:
    """Return the state of entries from a database.

    Raises
    ------
    StoreError
        When they do not make a job: entries are missing, or were changed outside this program.
    """
    return _sound(path, lambda: fold(entries, state))


def folded_whole(path: Path, pages: Iterable[Read]) -> State:
    """Do what `folded` does for a whole job, a page at a time."""
    return _sound(path, lambda: _fold_whole(pages))


def _sound(path: Path, folding: Callable[[], State]) -> State:
    try:
        after = folding()
        _ = after.title, after.wall
    except (CommissionError, LookupError, ValueError) as error:
        raise StoreError(
            f"{path}: this job's entries are inconsistent ({str(error)[:200]}); restore a backup"
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
    if entry.id <= state.last_id:
        if entry.id in state.entries:
            return state
        raise ValueError(f"entry {entry.id} sorts before {state.last_id}, expected a later one")
    state = _changed(state, {"entries": state.entries.added(entry), "last_id": entry.id})
    if isinstance(entry.body, Correction):
        return _correct(state, entry, entry.body)
    # A correction can sort before what it corrects when two clocks differ.
    return _put(state, entry)


def _changed(state: State, change: Mapping[str, Any]) -> State:
    """Do what `dataclasses.replace` does, in a third of the time: it is what every entry costs."""
    new = object.__new__(State)
    for name in _FIELDS:
        object.__setattr__(new, name, change[name] if name in change else getattr(state, name))
    return new


def _correct(state: State, entry: Entry, body: Correction, not_yet: Collection[str] = ()) -> State:
    """Apply a correction; what it corrects may be among the entries that are still to be put."""
    corrected = None if body.corrects in not_yet else state.entries.get(body.corrects)
    if corrected is not None:
        state = _take(state, corrected)
    earlier = state.corrections.get(body.corrects, ())
    state = replace(state, corrections=state.corrections.set(body.corrects, (*earlier, entry)))
    return state if corrected is None else _put(state, corrected)


def _put(state: State, entry: Entry) -> State:
    """Let an entry, as it stands now, take effect."""
    body = state.as_corrected(entry)
    if body is None:
        return state
    put, _ = _WAYS[type(body)]
    return put(state, Logged(entry.id, entry.at, entry.by, body, entry.id in state.corrections))


def _take(state: State, entry: Entry) -> State:
    """Undo the effect of an entry as it stands now."""
    body = state.as_corrected(entry)
    if body is None:
        return state
    _, take = _WAYS[type(body)]
    return take(state, entry.id, body)


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


@lru_cache(maxsize=8)
def _wall(text: str) -> Wall:
    return parse_wall(text)


def _with_designs(state: State, designs: tuple[Logged[e.Design], ...]) -> State:
    wall = _wall(designs[-1].body.text) if designs else None
    return replace(state, designs=designs, design=wall)


def _with_checklists(state: State, sets: tuple[Logged[e.ChecklistSet], ...]) -> State:
    checklist = parse_stored(sets[-1].body.files) if sets else Checklist(())
    return replace(state, checklists=sets, checklist=checklist)


def _put_instrument(state: State, logged: Logged[Any]) -> State:
    return replace(
        state,
        instruments=state.instruments.set(logged.body.key, logged),
        chosen=_added(state.chosen, logged),
    )


def _take_instrument(state: State, entry_id: str, body: Any) -> State:
    chosen = _removed(state.chosen, entry_id)
    same = [c for c in chosen if isinstance(c.body, e.Instrument) and c.body.key == body.key]
    instruments = state.instruments.delete(body.key)
    if same:
        instruments = instruments.set(body.key, same[-1])
    return replace(state, instruments=instruments, chosen=chosen)


def _put_reading(state: State, logged: Logged[Any]) -> State:
    body: e.ReadingTaken = logged.body
    check = state.readings.get(body.check, NO_READINGS)
    slot = (body.field, body.place)
    known = check.get(slot)
    check = check.set(slot, Readings.of((logged,)) if known is None else known.added(logged))
    change = {
        "readings": state.readings.set(body.check, check),
        "last_reading": max(logged.id, state.last_reading),
    }
    return _changed(state, change)


def _take_reading(state: State, entry_id: str, body: Any) -> State:
    check = state.readings[body.check]
    slot = (body.field, body.place)
    left = check[slot].without(entry_id)
    check = check.delete(slot) if left is None else check.set(slot, left)
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


_IN_ORDER: dict[type, str] = {
    e.InstrumentChosen: "chosen",
    e.FaultFound: "found",
    e.Note: "notes",
    e.Photo: "photos",
    e.Signature: "signatures",
    e.LimitsFrozen: "limits",
    e.LimitChanged: "limits",
    e.SettingLogged: "settings",
    e.ResultsKept: "kept_results",
    e.PartFitted: "parts",
    e.SparePut: "spares",
    e.VisitBegun: "visits",
    e.TableMapping: "mappings",
    e.FileKept: "files",
    e.Person: "people",
    e.DocumentIssued: "documents",
}
"""Kinds that are only kept, in the order of their ids, and where."""


_ALONE = {e.ReadingTaken, e.NotApplicable, e.FaultWork, *_IN_ORDER} - {e.InstrumentChosen}
"""Kinds whose effect does not depend on what was there before."""


def _listing(name: str) -> tuple[_Put, _Take]:
    def put(state: State, logged: Logged[Any]) -> State:
        return _changed(state, {name: _added(getattr(state, name), logged)})

    def take(state: State, entry_id: str, _body: Any) -> State:
        change: dict[str, Any] = {name: _removed(getattr(state, name), entry_id)}
        return replace(state, **change)

    return put, take


_WAYS: dict[type, tuple[_Put, _Take]] = {
    **{kind: _listing(name) for kind, name in _IN_ORDER.items()},
    e.JobOpened: (_put_job, _take_job),
    e.Design: (
        lambda s, x: _with_designs(s, _added(s.designs, x)),
        lambda s, i, _: _with_designs(s, _removed(s.designs, i)),
    ),
    e.ChecklistSet: (
        lambda s, x: _with_checklists(s, _added(s.checklists, x)),
        lambda s, i, _: _with_checklists(s, _removed(s.checklists, i)),
    ),
    e.Instrument: (_put_instrument, _take_instrument),
    e.ReadingTaken: (_put_reading, _take_reading),
    e.NotApplicable: (_put_skip, _take_skip),
    e.FaultWork: (_put_work, _take_work),
}

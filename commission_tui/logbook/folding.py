"""The fold: one entry at a time, in the order of their ids, into the state of a job."""

from __future__ import annotations

import operator
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import fields, replace
from functools import lru_cache
from pathlib import Path
from typing import Any

from commission_tui.checks.checklist import Checklist, parse_checklist
from commission_tui.errors import CommissionError, StoreError
from commission_tui.logbook import entries as e
from commission_tui.logbook.entries import Correction, Entry
from commission_tui.logbook.quiet import no_collecting
from commission_tui.logbook.state import NO_READINGS, Logged, Slot, State
from commission_tui.wall.model import Wall
from commission_tui.wall.reading import parse_wall

_FIELDS = tuple(field.name for field in fields(State))
_Put = Callable[[State, Logged[Any]], State]
_Take = Callable[[State, str, Any], State]


def fold(entries: Iterable[Entry], state: State | None = None) -> State:
    """Apply entries in the order of their ids."""
    if state is None:
        listed = list(entries)
        ids = [entry.id for entry in listed]
        if all(map(operator.lt, ids, ids[1:])):
            with no_collecting():
                return _fold_whole(listed)
        entries = listed
    return _one_by_one(entries, state or State())


def _one_by_one(entries: Iterable[Entry], state: State) -> State:
    for entry in entries:
        state = apply(state, entry)
    return state


def _fold_whole(entries: Sequence[Entry]) -> State:
    """Do what applying one entry after the other does, for a whole job at once.

    What is only kept under its kind, and was never corrected, does not depend on anything else: it is
    gathered in plain lists and put in at the end.
    """
    corrected = {entry.body.corrects for entry in entries if isinstance(entry.body, Correction)}
    gathered = _Gathered()
    others: list[Entry] = []
    for entry in entries:
        body = entry.body
        if type(body) not in _ALONE or entry.id in corrected:
            others.append(entry)
        else:
            gathered.take(entry, body)
    state = gathered.put_into(_one_by_one(others, State()))
    return replace(
        state,
        entries=state.entries.update({entry.id: entry for entry in entries}),
        last_id=entries[-1].id if entries else "",
    )


class _Gathered:
    """What is only kept, in plain lists by where it is kept."""

    def __init__(self) -> None:
        self._readings: dict[str, dict[Slot, list[Logged[Any]]]] = {}
        self._skipped: dict[str, list[Logged[Any]]] = {}
        self._work: dict[str, list[Logged[Any]]] = {}
        self._kept: dict[str, list[Logged[Any]]] = {}
        self._last_reading = ""

    def take(self, entry: Entry, body: e.AnyBody) -> None:
        logged: Logged[Any] = Logged(entry.id, entry.at, entry.by, body)
        if type(body) is e.ReadingTaken:
            self._readings.setdefault(body.check, {}).setdefault(
                (body.field, body.place), []
            ).append(logged)
            self._last_reading = entry.id
        elif isinstance(body, e.NotApplicable):
            self._skipped.setdefault(body.check, []).append(logged)
        elif isinstance(body, e.FaultWork):
            self._work.setdefault(body.found, []).append(logged)
        else:
            self._kept.setdefault(_IN_ORDER[type(body)], []).append(logged)

    def put_into(self, state: State) -> State:
        kept: dict[str, Any] = {
            name: _sorted_with(getattr(state, name), items) for name, items in self._kept.items()
        }
        readings = {
            check: _mapped(state.readings.get(check, NO_READINGS), found)
            for check, found in self._readings.items()
        }
        return replace(
            state,
            **kept,
            readings=state.readings.update(readings),
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
    state = _changed(state, {"entries": state.entries.set(entry.id, entry), "last_id": entry.id})
    if isinstance(entry.body, Correction):
        return _correct(state, entry, entry.body)
    # A correction can sort before what it corrects when two clocks differ.
    return _put(state, entry.id)


def _changed(state: State, change: Mapping[str, Any]) -> State:
    """Do what `dataclasses.replace` does, in a third of the time: it is what every entry costs."""
    new = object.__new__(State)
    for name in _FIELDS:
        object.__setattr__(new, name, change[name] if name in change else getattr(state, name))
    return new


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
    put, _ = _WAYS[type(body)]
    return put(state, Logged(entry.id, entry.at, entry.by, body, corrected))


def _take(state: State, entry_id: str) -> State:
    """Undo the effect of an entry as it stands now."""
    body = state.effective(entry_id)
    if body is None:
        return state
    _, take = _WAYS[type(body)]
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


@lru_cache(maxsize=8)
def _wall(text: str) -> Wall:
    return parse_wall(text)


@lru_cache(maxsize=8)
def _checklist(files: tuple[tuple[str, str], ...]) -> Checklist:
    """Return a checklist; most jobs of a logbook have the same one."""
    return parse_checklist(dict(files))


def _with_designs(state: State, designs: tuple[Logged[e.Design], ...]) -> State:
    wall = _wall(designs[-1].body.text) if designs else None
    return replace(state, designs=designs, design=wall)


def _with_checklists(state: State, sets: tuple[Logged[e.ChecklistSet], ...]) -> State:
    checklist = _checklist(tuple(sets[-1].body.files.items())) if sets else Checklist(())
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
    check = check.set(slot, _added(check.get(slot, ()), logged))
    change = {
        "readings": state.readings.set(body.check, check),
        "last_reading": max(logged.id, state.last_reading),
    }
    return _changed(state, change)


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

"""The fold: one entry at a time, in the order of their ids, into the state of a job."""

from __future__ import annotations

from bisect import bisect_left, insort
from collections.abc import Callable, Iterable, Mapping
from dataclasses import fields, replace
from operator import attrgetter
from pathlib import Path
from types import SimpleNamespace
from typing import Any, cast

import immutables

from commission_tui.checks.checklists.checklist import Checklist
from commission_tui.checks.checklists.checklist_file import parse_checklist
from commission_tui.checks.places.applicability import REVISIT
from commission_tui.errors import CommissionError, StoreError
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.logged import Corrected, Logged
from commission_tui.logbook.state.agreed_checks import agreed_checks
from commission_tui.logbook.state.meters import meters_apart
from commission_tui.logbook.state.state import (
    EVERY_CHECK,
    NO_READINGS,
    NOTHING_YET,
    CheckReadings,
    Readings,
    State,
)
from commission_tui.wall.model.wall_file import parse_wall

_Way = Callable[["_Draft", Logged[Any]], None]
_id = attrgetter("id")
_MANY = 256
"""Readings of one place from which on a fold no longer copies them for the next."""

_FIELDS = tuple(field.name for field in fields(State))
_MAPS = tuple(field.name for field in fields(State) if isinstance(field.default, immutables.Map))
_OF_ONE_CHECK = (e.ReadingTaken, e.NotApplicable, e.LimitsFrozen, e.LimitChanged)
_NO_VERDICT = (
    e.Note, e.Photo, e.InstrumentChosen, e.Signature, e.SparePut, e.TableMapping, e.FileKept,
    e.Person, e.DocumentIssued,
)  # fmt: skip
"""Kinds that no verdict rests on."""


class _Draft(SimpleNamespace):
    """The fields of a state while entries take effect on it; its maps are open to be changed."""

    @classmethod
    def of(cls, state: State) -> _Draft:
        opened = {name: getattr(state, name).mutate() for name in _MAPS}
        held = {name: getattr(state, name) for name in _FIELDS} | opened
        return cls(**held, opened=set())

    def listed(self, name: str) -> list[Any]:
        """Return what is kept in order, open to be changed: of thousands none is copied for the next."""
        kept = getattr(self, name)
        if not isinstance(kept, list):
            kept = list(kept)
            setattr(self, name, kept)
        return kept

    def slot(self, logged: Logged[Any]) -> tuple[CheckReadings, tuple[str, str]]:
        """Return the readings of a check, by slot, and the slot of one."""
        body = logged.body
        return self.readings.get(body.check, NO_READINGS), (body.field, body.place)

    def state(self) -> State:
        for check, slot in self.opened:
            slots = self.readings.get(check, NO_READINGS)
            if slot in slots:
                self.readings[check] = slots.set(slot, tuple(slots[slot]))
        del self.opened
        kept = {name: tuple(one) for name, one in vars(self).items() if isinstance(one, list)}
        maps = {name: getattr(self, name).finish() for name in _MAPS}
        state = State(**vars(self) | kept | maps)
        apart = meters_apart(state)
        return replace(state, meters=immutables.Map(apart)) if apart or state.meters else state


def fold(entries: Iterable[e.Entry], state: State | None = None) -> State:
    """Return the state after more entries, which come in the order of their ids.

    An entry already applied changes nothing. One that sorts before the last cannot be applied on
    top: the caller folds anew.

    Raises
    ------
    ValueError
        When an entry sorts before the last one applied.
    """
    draft = _Draft.of(state or State())
    for entry in entries:
        if entry.id > draft.last_id:
            if isinstance(entry.body, e.Signature):
                before = draft.state()
                draft = _Draft.of(before)
                draft.before_signing[entry.id] = before
            draft.entries[entry.id] = entry
            draft.last_id = entry.id
            _apply(draft, entry)
        elif entry.id not in draft.entries:
            raise ValueError(f"entry {entry.id} sorts before {draft.last_id}, expected a later one")
    return draft.state()


def folded(path: Path, entries: Iterable[e.Entry], state: State | None = None) -> State:
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
            f"{path}: this job's entries are inconsistent ({str(error)[:200]}); restore a backup"
        ) from None
    return after


def _apply(draft: _Draft, entry: e.Entry) -> None:
    body = entry.body
    if not isinstance(body, e.Correction):
        if isinstance(body, e.FaultFound):
            draft.listed("ever_found").append(entry.id)
        _effect(draft, entry, _PUT, entry.id)
        return
    # A correction can sort before what it corrects when two clocks differ.
    corrected = draft.entries.get(body.corrects)
    if corrected is not None:
        _effect(draft, corrected, _TAKE, entry.id)
    draft.corrections[body.corrects] = (*draft.corrections.get(body.corrects, ()), entry)
    if corrected is not None:
        _effect(draft, corrected, _PUT, entry.id)


def _effect(draft: _Draft, entry: e.Entry, ways: dict[type, _Way], cause: str) -> None:
    """Put an entry, as it stands now, or take it out; what rests on it has another version then."""
    corrections = draft.corrections.get(entry.id, ())
    body = corrections[-1].body.replacement if corrections else entry.body
    if body is None:
        return
    stands = Corrected(entry.id, entry.at, entry.by, body) if corrections else entry
    ways[type(body)](draft, stands)
    for check in dependents(draft.checklist, draft.readings, draft.read_with, stands):
        count, _ = draft.versions.get(check, NOTHING_YET)
        draft.versions[check] = (count + 1, cause)


def _added(items: tuple[Any, ...], item: Logged[Any]) -> tuple[Any, ...]:
    """Keep logged items in the order of their ids; nearly always at the end."""
    if not items or items[-1].id < item.id:
        return (*items, item)
    return tuple(sorted((*items, item), key=lambda logged: logged.id))


def _removed(items: tuple[Any, ...], item: Logged[Any]) -> tuple[Any, ...]:
    return tuple(known for known in items if known.id != item.id)


# --- what each kind of entry does


def _listed(name: str) -> tuple[_Way, _Way]:
    """Return the ways to put and to take a kind that is only kept."""

    def put(draft: _Draft, logged: Logged[Any]) -> None:
        insort(draft.listed(name), logged, key=_id)

    def take(draft: _Draft, logged: Logged[Any]) -> None:
        kept = draft.listed(name)
        del kept[bisect_left(kept, logged.id, key=_id)]

    return put, take


def _mapped(name: str, key: str) -> tuple[_Way, _Way]:
    """Return the ways to put and to take a kind that is kept by what it is about."""

    def put(draft: _Draft, logged: Logged[Any]) -> None:
        known, about = getattr(draft, name), getattr(logged.body, key)
        known[about] = _added(known.get(about, ()), logged)

    def take(draft: _Draft, logged: Logged[Any]) -> None:
        known, about = getattr(draft, name), getattr(logged.body, key)
        known[about] = _removed(known[about], logged)
        if not known[about]:
            del known[about]

    return put, take


def _with_latest(name: str, follow: Callable[[_Draft], None]) -> tuple[_Way, _Way]:
    """Return the ways to put and to take a kind of which the latest counts."""

    def followed(way: _Way) -> _Way:
        def both(draft: _Draft, logged: Logged[Any]) -> None:
            way(draft, logged)
            follow(draft)

        return both

    put, take = _listed(name)
    return followed(put), followed(take)


def _design(draft: _Draft) -> None:
    draft.design = parse_wall(draft.designs[-1].body.text) if draft.designs else None
    _agree(draft)


def _agree(draft: _Draft) -> None:
    """Work out anew which checks the job does, and what of its wall is settled."""
    draft.design, draft.checklist = agreed_checks(cast("State", draft), draft.design)


def _checklist(draft: _Draft) -> None:
    files = draft.checklists[-1].body.files if draft.checklists else {}
    draft.whole_checklist = parse_checklist(files, stored=True)
    _agree(draft)


def _put_job(draft: _Draft, logged: Logged[Any]) -> None:
    draft.job = logged


def _take_job(draft: _Draft, _: Logged[Any]) -> None:
    draft.job = None


def _put_instrument(draft: _Draft, logged: Logged[Any]) -> None:
    draft.instruments[logged.body.key] = logged
    insort(draft.listed("chosen"), logged, key=_id)


def _take_instrument(draft: _Draft, logged: Logged[Any]) -> None:
    key = logged.body.key
    _TAKE[e.InstrumentChosen](draft, logged)
    del draft.instruments[key]
    for known in draft.chosen:
        if isinstance(known.body, e.Instrument) and known.body.key == key:
            draft.instruments[key] = known


def _put_reading(draft: _Draft, logged: Logged[Any]) -> None:
    check = logged.body.check
    slots, slot = draft.slot(logged)
    known = slots.get(slot, ())
    if isinstance(known, list):
        insort(known, logged, key=_id)
    else:
        draft.readings[check] = slots.set(slot, _opened(draft, check, slot, _added(known, logged)))
    draft.last_reading = max(logged.id, draft.last_reading)
    if (key := logged.body.instrument) is not None:
        read = draft.read_with.get(key, frozenset())
        if check not in read:
            draft.read_with[key] = read | {check}
    if check in draft.checklist.left_out:  # what was read is not hidden
        _agree_anew(draft, logged)


def _take_reading(draft: _Draft, logged: Logged[Any]) -> None:
    check = logged.body.check
    slots, slot = draft.slot(logged)
    known = slots[slot]
    if isinstance(known, list):
        del known[bisect_left(known, logged.id, key=_id)]
        left = known
    else:
        left = _removed(known, logged)
    if not left:
        slots = slots.delete(slot)
    elif left is not known:
        slots = slots.set(slot, left)
    if slots:
        draft.readings[check] = slots
        return
    del draft.readings[check]
    if draft.scopes or draft.features:  # nobody read it any more: it may be left out again
        _agree_anew(draft, logged)


def _opened(draft: _Draft, check: str, slot: tuple[str, str], known: Readings) -> Readings:
    """Return what is kept of a slot; of very many open to be changed, as a list of a draft is."""
    if len(known) < _MANY:
        return known
    draft.opened.add((check, slot))
    return cast("Readings", list(known))


def _agree_anew(draft: _Draft, logged: Logged[Any]) -> None:
    _agree(draft)
    count, _ = draft.versions.get(EVERY_CHECK, NOTHING_YET)
    draft.versions[EVERY_CHECK] = (count + 1, logged.id)


_IN_ORDER: dict[type, str] = {
    e.InstrumentChosen: "chosen",
    e.FaultFound: "found",
    e.Note: "notes",
    e.Photo: "photos",
    e.Signature: "signatures",
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


_WAYS: dict[type, tuple[_Way, _Way]] = {
    **{kind: _listed(name) for kind, name in _IN_ORDER.items()},
    e.JobOpened: (_put_job, _take_job),
    e.Design: _with_latest("designs", _design),
    e.ChecklistSet: _with_latest("checklists", _checklist),
    e.ScopeAgreed: _with_latest("scopes", _agree),
    e.FeatureSettled: _with_latest("features", _agree),
    e.Instrument: (_put_instrument, _take_instrument),
    e.ReadingTaken: (_put_reading, _take_reading),
    e.NotApplicable: _mapped("skipped", "check"),
    e.LimitsFrozen: _mapped("limits", "check"),
    e.LimitChanged: _mapped("limits", "check"),
    e.FaultWork: _mapped("work", "found"),
}
_PUT = {kind: put for kind, (put, _) in _WAYS.items()}
_TAKE = {kind: take for kind, (_, take) in _WAYS.items()}


def dependents(
    checklist: Checklist,
    readings: Mapping[str, CheckReadings],
    read_with: Mapping[str, frozenset[str]],
    logged: Logged[e.Body],
) -> Iterable[str]:
    """Return the checks whose verdict rests on an entry, or `EVERY_CHECK`."""
    body = logged.body
    if isinstance(body, _OF_ONE_CHECK):
        return (body.check, *checklist.held_against(body.check))
    if isinstance(body, e.SettingLogged):
        return _resting_on(checklist, body.setting)
    if isinstance(body, e.PartFitted):
        return _resting_on(checklist, body.part)
    if isinstance(body, e.Instrument):
        return _with_held_against(checklist, read_with.get(body.key, ()))
    if isinstance(body, e.FaultFound | e.FaultWork):
        return checklist.judged_by_faults
    if isinstance(body, e.VisitBegun):
        # Of the others only those that were read since are read at another visit for it.
        read = [
            check.id
            for check in checklist
            if any(slot[-1].id > logged.id for slot in readings.get(check.id, NO_READINGS).values())
        ]
        visits = {x.id for x in checklist if x.baseline is not None or REVISIT in x.applies}
        return visits | checklist.judged_by_faults | {*_with_held_against(checklist, read)}
    if isinstance(body, e.ResultsKept):
        return _with_held_against(checklist, body.checks)
    return () if isinstance(body, _NO_VERDICT) else (EVERY_CHECK,)


def _resting_on(checklist: Checklist, changed: str) -> tuple[str, ...]:
    """Return the checks that a change puts in doubt, and those that are judged with their readings."""
    doubted = {check.id for check in checklist if changed in check.rests_on}
    return tuple(c.id for c in checklist if c.id in doubted or c.looks_at & doubted)


def _with_held_against(checklist: Checklist, checks: Iterable[str]) -> Iterable[str]:
    return dict.fromkeys(each for one in checks for each in (one, *checklist.held_against(one)))

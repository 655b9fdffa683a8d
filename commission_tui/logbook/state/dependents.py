"""Which verdicts an entry bears on: those that are judged again once it is logged."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from commission_tui.checks.checklists.checklist import Checklist
from commission_tui.checks.places.applicability import REVISIT
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.logged import Logged
from commission_tui.logbook.state.state import EVERY_CHECK, CheckReadings

_OF_ONE_CHECK = (e.ReadingTaken, e.NotApplicable, e.LimitsFrozen, e.LimitChanged)
_NO_VERDICT = (
    e.Note,
    e.Photo,
    e.InstrumentChosen,
    e.Signature,
    e.SparePut,
    e.TableMapping,
    e.FileKept,
    e.Person,
    e.DocumentIssued,
)
"""Kinds that no verdict rests on."""


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
        read = [x.id for x in checklist if _is_read_since(readings.get(x.id), logged.id)]
        visits = {x.id for x in checklist if x.baseline is not None or REVISIT in x.applies}
        return visits | checklist.judged_by_faults | {*_with_held_against(checklist, read)}
    if isinstance(body, e.ResultsKept):
        return body.checks
    return () if isinstance(body, _NO_VERDICT) else (EVERY_CHECK,)


def _resting_on(checklist: Checklist, changed: str) -> tuple[str, ...]:
    """Return the checks that a change puts in doubt, and those that are judged with their readings."""
    doubted = {check.id for check in checklist if changed in check.rests_on}
    return tuple(c.id for c in checklist if c.id in doubted or c.looks_at & doubted)


def _with_held_against(checklist: Checklist, checks: Iterable[str]) -> Iterable[str]:
    return dict.fromkeys(each for one in checks for each in (one, *checklist.held_against(one)))


def _is_read_since(slots: CheckReadings | None, entry_id: str) -> bool:
    return slots is not None and any(slot[-1].id > entry_id for slot in slots.values())

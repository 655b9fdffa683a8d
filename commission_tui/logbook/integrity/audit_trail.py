"""The trail of a figure: every entry behind it, who, when, with what, and what it was before.

All of it follows from the entries, so the trail of a job that was read back from its document is the
same as where it was logged.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from commission_tui.checks.model.definition import CheckDefinition
from commission_tui.checks.model.types import Figure
from commission_tui.errors import InputError, did_you_mean
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.integrity.known_before import KnownBefore
from commission_tui.logbook.judging import outcomes
from commission_tui.logbook.judging.agreed_limits import limits_of
from commission_tui.logbook.judging.doubts import holding_in_doubt, settings_now
from commission_tui.logbook.state.entry_words import (
    Record,
    body_text,
    frozen_text,
    limit_words,
)
from commission_tui.logbook.state.fault_steps import state_words
from commission_tui.logbook.state.state import NO_READINGS, State
from commission_tui.text import quoted
from commission_tui.wall.model.time_zones import at_the_wall


@dataclass(frozen=True, slots=True)
class TrailStep:
    """One entry of a trail."""

    id: str
    at: str
    by: str
    kind: str
    """The entry's kind, such as ``reading`` or ``correction``."""
    said: str
    was: str = ""
    """What stood before, where this entry changed it."""
    reason: str = ""


@dataclass(frozen=True, slots=True)
class Trail:
    """Where a figure or a fault comes from."""

    about: str
    stands: str
    """The verdict and why, or the state of the fault, now."""
    steps: tuple[TrailStep, ...]
    figures: tuple[str, ...] = ()
    limits: tuple[str, ...] = ()
    """As they are in force now."""
    settings: tuple[str, ...] = ()
    """Of those that the result rests on, as they were when it was last read."""
    doubts: tuple[str, ...] = ()


def trail(state: State, wanted: Sequence[str]) -> Trail:
    """Return the trail of a check, of a field, place, figure or limit of it, or of a fault.

    Parameters
    ----------
    state
        The job.
    wanted
        ``fault`` and a number; or a check by id, title, short name or words of its title, then any of
        its fields, places, figures or limits.

    Raises
    ------
    InputError
        When there is no such thing in this job.
    """
    if not wanted:
        raise InputError("trail: found nothing, expected a check, or fault and its number")
    if wanted[0] == "fault":
        return _fault_trail(state, wanted[1:])
    return _check_trail(state, state.checklist.find(wanted[0]), wanted[1:])


# --- a check


def _check_trail(state: State, check: CheckDefinition, names: Sequence[str]) -> Trail:
    outcome = outcomes.judged_check(state, check.id)
    chosen = _Chosen(state, check, outcome.figures, names)
    own = [entry for entry in state.in_order() if _ever(state, entry, chosen)]
    own += _meters_put_right(state, check.id, chosen)
    last = max((one.id for one in own if isinstance(one.body, e.ReadingTaken)), default="~")
    limits = limits_of(state, check.id).items()
    return Trail(
        about=", ".join((check.title, *names)),
        stands=f"{outcome.verdict}: {outcome.reason}",
        figures=tuple(
            f"{one.name} {one}" + (f": {one.verdict}" if one.verdict else "")
            for one in outcome.figures
            if chosen.shows(one.name)
        ),
        limits=tuple(
            limit_words(one.label, one.low, one.high, one.unit, one.source)
            for name, one in limits
            if chosen.shows(name)
        ),
        settings=tuple(
            f"{setting} at {place}: {value}"
            for (setting, place), value in sorted(settings_now(state, last).items())
            if setting in check.rests_on
        ),
        doubts=tuple(
            f"{check.label_of(field)} at {place}: {change.words}, "
            f"{at_the_wall(change.at, state.wall.file.wall.time_zone):%Y-%m-%d %H:%M}, {change.by}"
            for change, slots in holding_in_doubt(state, check.id)
            for field, place in sorted(slots)
            if chosen.reads(field, place)
        ),
        steps=tuple(_with_corrections(state, own)),
    )


def _meters_put_right(state: State, check: str, chosen: _Chosen) -> list[e.Entry]:
    """Return the entries of meters that were corrected: what was read with them is judged by that."""
    meters = {
        meter.id
        for slot, readings in state.readings.get(check, NO_READINGS).items()
        if chosen.reads(*slot)
        for logged in readings
        if (meter := state.meter_of(logged)) is not None
    }
    return [state.entries[one] for one in meters if one in state.corrections]


def _ever(state: State, entry: e.Entry, chosen: _Chosen) -> bool:
    """Whether an entry was ever of this trail: as written, or as a correction made it."""
    later = (c.body for c in state.corrections.get(entry.id, ()))
    made = (body.replacement for body in later if isinstance(body, e.Correction))
    return any(body is not None and chosen.takes(body) for body in (entry.body, *made))


class _Chosen:
    """What of a check was asked for; everything, when nothing is named."""

    def __init__(
        self, state: State, check: CheckDefinition, figures: Sequence[Figure], names: Sequence[str]
    ) -> None:
        self._check = check
        slots = {
            (item.field, item.place)
            for item in (entry.body for entry in state.in_order())
            if isinstance(item, e.ReadingTaken) and item.check == check.id
        }
        fields = {item.name for item in check.fields}
        places = {place for _, place in slots}
        figured = {figure.name for figure in figures} | {item.name for item in check.limits}
        for name in names:
            if name not in fields | places | figured:
                known = sorted(fields | places | figured)
                raise InputError(
                    f"trail: found {quoted(name)}, expected a field, place, figure or limit of "
                    f"{check.id}{did_you_mean(name, known)}"
                )
        self._fields = {name for name in names if name in fields}
        self._places = {name for name in names if name in places}
        self._figures = {name for name in names if name in figured}

    def reads(self, field: str, place: str) -> bool:
        """Whether a reading is asked for; a figure that is no field rests on all of them."""
        of_field = not self._fields or field in self._fields
        return of_field and (not self._places or place in self._places)

    def shows(self, figure: str) -> bool:
        return not self._figures or figure in self._figures

    def takes(self, body: e.Body) -> bool:
        """Whether an entry is part of the trail for itself, not as a correction."""
        if isinstance(body, e.ReadingTaken):
            return body.check == self._check.id and self.reads(body.field, body.place)
        if isinstance(body, e.SettingLogged):
            return body.setting in self._check.rests_on
        if isinstance(body, e.PartFitted):
            return body.replaces is not None and body.part in self._check.rests_on
        if isinstance(body, e.ResultsKept):
            return self._check.id in body.checks
        if isinstance(body, e.LimitChanged):
            return body.check == self._check.id and self.shows(body.limit.name)
        return getattr(body, "check", None) == self._check.id


# --- a fault


def _fault_trail(state: State, names: Sequence[str]) -> Trail:
    number, fault_id = _fault(state, names)
    there = next((fault for fault in state.faults if fault.id == fault_id), None)
    refused = there and there.refused
    own = [
        entry
        for entry in state.in_order()
        if entry.id == fault_id
        or (isinstance(entry.body, e.FaultWork) and entry.body.found == fault_id)
        or (isinstance(entry.body, e.Photo) and entry.body.about == fault_id)
        or (isinstance(entry.body, e.Signature) and _takes(entry.body, fault_id))
        or (refused is not None and entry.id == refused.id)
    ]
    body = state.entries[fault_id].body if there is None else there.found.body
    return Trail(
        about=f"fault {number}: {getattr(body, 'fault', '')} at {getattr(body, 'location', '')}",
        stands="withdrawn"
        if there is None
        else f"{state_words(there)}, {there.found.body.severity}",
        steps=tuple(_with_corrections(state, own)),
    )


def _takes(signature: e.Signature, fault_id: str) -> bool:
    return any(one.fault == fault_id for one in signature.taken or ())


def _fault(state: State, names: Sequence[str]) -> tuple[int, str]:
    """Return number and id of a fault, also of one that was withdrawn."""
    known = state.ever_found
    number = int(names[0]) if len(names) == 1 and names[0].isdecimal() else 0
    if not known:
        raise InputError("trail: fault: found no fault in this job")
    if not 1 <= number <= len(known):
        found = " ".join(names)[:40]
        raise InputError(f"trail: fault: found {found!r}, expected a number from 1 to {len(known)}")
    return number, known[number - 1]


# --- steps


def _with_corrections(state: State, own: Sequence[e.Entry]) -> Iterator[TrailStep]:
    """Yield every entry and every correction of one, in their order, with what its writer knew before."""
    record, known = Record(state), KnownBefore(state)
    in_order = sorted(own, key=lambda one: one.id)
    made: list[TrailStep] = []
    for entry in in_order:
        made.append(_step(record, known, entry, in_order))
        for later, said, before in known.corrections(entry):
            was = _words(record, before, entry.id)
            now = _words(record, said.replacement, later.id)
            made.append(TrailStep(later.id, later.at, later.by, said.kind, now, was, said.reason))
    yield from sorted(made, key=lambda step: step.id)


def _words(record: Record, body: e.Body | None, at_id: str) -> str:
    """Say what an entry says, of a fault on what it was seen too."""
    seen_on = body.seen_on if isinstance(body, e.FaultFound) else ""
    return body_text(record, body, at_id) + (f", seen on {seen_on}" if seen_on else "")


def _step(record: Record, known: KnownBefore, entry: e.Entry, own: Sequence[e.Entry]) -> TrailStep:
    body = entry.body
    was = reason = ""
    words = _words(record, body, entry.id)
    if isinstance(body, e.LimitChanged):
        was, apart = _limit_before(known, own, entry, body.limit.name)
        words = f"{words}, not knowing of {apart}" if apart else words
    if isinstance(body, e.NotApplicable | e.ResultsKept | e.LimitChanged):
        reason = body.reason
    return TrailStep(entry.id, entry.at, entry.by, body.kind, words, was, reason)


def _limit_before(
    known: KnownBefore, own: Sequence[e.Entry], changed: e.Entry, name: str
) -> tuple[str, str]:
    """Return a limit as it was before it was changed, and another one that its writer did not know of."""
    was = apart = ""
    for entry in own:
        if entry.id >= changed.id:
            break
        body = known.stood(entry, changed.id)
        said = body.limits if isinstance(body, e.LimitsFrozen) else ()
        said = (body.limit,) if isinstance(body, e.LimitChanged) else said
        for limit in said:
            if limit.name == name and known.knew(changed.id, entry.id):
                was = frozen_text(limit)
            elif limit.name == name and isinstance(body, e.LimitChanged):
                apart = f"{frozen_text(limit)}, agreed by {entry.by}"
    return was, apart

"""The trail of a figure: every entry behind it, who, when, with what, and what it was before.

All of it follows from the entries, so the trail of a job that was read back from its document is the
same as where it was logged.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from commission_tui.checks.model.definition import CheckDefinition
from commission_tui.checks.model.types import Figure, Limit
from commission_tui.errors import InputError, did_you_mean
from commission_tui.figures import limit_text, reading_text
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.entry_parts import FrozenLimit
from commission_tui.logbook.judging import outcomes
from commission_tui.logbook.judging.agreed_limits import limits_of
from commission_tui.logbook.judging.doubts import doubtful_readings, settings_now
from commission_tui.logbook.state.fault_steps import step_words
from commission_tui.logbook.state.state import Fault, State
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
    outcome = outcomes.outcome(state, check.id)
    chosen = _Chosen(state, check, outcome.figures, names)
    own = [entry for entry in state.in_order() if _ever(state, entry, chosen)]
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
            _limit(one.label, one.low, one.high, one.unit, one.source)
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
            for (field, place), change in sorted(doubtful_readings(state, check.id).items())
            if chosen.reads(field, place)
        ),
        steps=tuple(_with_corrections(state, own)),
    )


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
    fault = _fault(state, names)
    own = [
        entry
        for entry in state.in_order()
        if entry.id == fault.id
        or (isinstance(entry.body, e.FaultWork) and entry.body.found == fault.id)
        or (isinstance(entry.body, e.Photo) and entry.body.about == fault.id)
    ]
    body = fault.found.body
    return Trail(
        about=f"fault {fault.number}: {body.fault} at {body.location}",
        stands=f"{fault.state}, {body.severity}",
        steps=tuple(_with_corrections(state, own)),
    )


def _fault(state: State, names: Sequence[str]) -> Fault:
    faults = state.faults
    number = int(names[0]) if len(names) == 1 and names[0].isdecimal() else 0
    if not 1 <= number <= len(faults):
        found = " ".join(names)[:40]
        raise InputError(
            f"trail: fault: found {found!r}, expected a number from 1 to {len(faults)}"
        )
    return faults[number - 1]


# --- entries in words


def entry_words(state: State, body: e.Body | None, entry_id: str) -> str:
    """Say in one line what an entry says, or was corrected to."""
    return _body_text(_Record(state), body, entry_id)


def words_with_subject(state: State, entry_id: str) -> str:
    """Say an entry as it stands now in one line, with the check or the fault that it is about."""
    body = state.effective(entry_id)
    said = entry_words(state, body, entry_id)
    if isinstance(body, e.ReadingTaken | e.NotApplicable):
        known = body.check in state.checklist
        return f"{state.checklist.check(body.check).title if known else body.check}: {said}"
    for fault in state.faults:
        found = fault.found.body
        if fault.id == entry_id:
            return f"fault {fault.number}: {said}"
        if isinstance(body, e.FaultWork) and fault.id == body.found:
            return f"fault {fault.number}, {found.called} at {found.location}: {said}"
    return f"note: {said}" if isinstance(body, e.Note) else said


class _Record:
    """A job, and its instruments as they stood one after another, looked for once."""

    def __init__(self, state: State) -> None:
        self.state = state
        self.instruments: dict[str, list[tuple[str, e.Instrument]]] = {}
        logged = (x.id for x in state.entries.values() if isinstance(x.body, e.Instrument))
        for one in sorted(logged):
            known = state.effective(one)
            if isinstance(known, e.Instrument):
                self.instruments.setdefault(known.key, []).append((one, known))


def _with_corrections(state: State, own: Sequence[e.Entry]) -> Iterator[TrailStep]:
    """Yield every entry and every correction of one, in their order, with what stood before."""
    record = _Record(state)
    limits: dict[str, str] = {}
    made: list[TrailStep] = []
    for entry in sorted(own, key=lambda one: one.id):
        made.append(_step(record, entry, limits))
        before: e.Body | None = entry.body
        for later in state.corrections.get(entry.id, ()):
            if isinstance(later.body, e.Correction):
                was = _body_text(record, before, entry.id)
                before, why = later.body.replacement, later.body.reason
                now = _body_text(record, before, later.id)
                kind = later.body.kind
                made.append(TrailStep(later.id, later.at, later.by, kind, now, was, why))
    yield from sorted(made, key=lambda step: step.id)


def _step(record: _Record, entry: e.Entry, limits: dict[str, str]) -> TrailStep:
    body = entry.body
    was = reason = ""
    if isinstance(body, e.LimitsFrozen):
        limits |= {one.name: _frozen(one) for one in body.limits}
    if isinstance(body, e.LimitChanged):
        was, reason = limits.get(body.limit.name, ""), body.reason
        limits[body.limit.name] = _frozen(body.limit)
    if isinstance(body, e.NotApplicable | e.ResultsKept):
        reason = body.reason
    words = _body_text(record, body, entry.id)
    return TrailStep(entry.id, entry.at, entry.by, body.kind, words, was, reason)


def _body_text(record: _Record, body: e.Body | None, at_id: str) -> str:
    if body is None:
        return "withdrawn"
    if isinstance(body, e.ReadingTaken):
        return _reading(record, body, at_id)
    if isinstance(body, e.LimitsFrozen):
        return f"limits frozen: {'; '.join(map(_frozen, body.limits)) or 'none, recorded only'}"
    if isinstance(body, e.LimitChanged):
        return f"limit agreed with {body.agreed_by}: {_frozen(body.limit)}"
    if isinstance(body, e.SettingLogged):
        return _joined(f"{body.setting} at {body.place} set to {body.value}", body.note)
    if isinstance(body, e.PartFitted):
        fitted = f"{body.part} at {body.location}: serial {body.serial}"
        return fitted + (f" in the place of {body.replaces}" if body.replaces else "")
    if isinstance(body, e.ResultsKept):
        return f"results kept although {body.change[-12:]} changed something"
    if isinstance(body, e.NotApplicable):
        return "does not apply"
    return _fault_text(body)


def _fault_text(body: e.Body) -> str:
    if isinstance(body, e.FaultFound):
        return _joined(f"{body.fault} at {body.location}, {body.severity}", body.note)
    if isinstance(body, e.FaultWork):
        return _joined(step_words(body), body.note)
    if isinstance(body, e.Photo):
        return _joined(f"photo {body.name}, SHA-256 {body.sha256}", body.caption)
    if isinstance(body, e.FileKept):
        return _joined(f"file {body.name}, SHA-256 {body.sha256}", body.note)
    return body.text if isinstance(body, e.Note) else "an entry of another kind"


def _reading(record: _Record, body: e.ReadingTaken, at_id: str) -> str:
    known = body.check in record.state.checklist
    label = record.state.checklist.check(body.check).label_of(body.field) if known else body.field
    parts = [f"{label} at {body.place}: {reading_text(body.value, body.unit)}"]
    if body.instrument is not None:
        parts.append(f"with {_instrument(record, body.instrument, at_id)}")
    if body.photo is not None:
        parts.append(f"from a photograph, SHA-256 {body.photo}")
    if body.again:
        parts.append("to be averaged with the one before")
    if body.meter_time:
        parts.append(f"meter's time {body.meter_time}")
    if body.odd:
        parts.append(f"asked again: {body.odd}")
    return ", ".join(parts)


def _instrument(record: _Record, key: str, at_id: str) -> str:
    """Say what an instrument was when the reading was taken, not what it became."""
    logged = record.instruments.get(key, [])
    before = bisect_left(logged, at_id, key=lambda one: one[0])
    if not before:
        return key
    _, one = logged[before - 1]
    return f"{one.name}, serial {one.serial}, calibration due {one.due_words()}"


def _frozen(one: FrozenLimit) -> str:
    limit = Limit(one.name, one.unit, one.source, one.standing)
    return _limit(one.name, one.low, one.high, one.unit, f"{limit.source} ({limit.standing})")


def _limit(name: str, low: float | None, high: float | None, unit: str, source: str) -> str:
    return f"{name} {limit_text(low, high, unit)}, {source}"


def _joined(text: str, more: str) -> str:
    return f"{text}, {more}" if more else text

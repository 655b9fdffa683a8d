"""What entries speak of: those of one subject, of which only one can count, or which are two of one thing."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field

from commission_tui.figures import limit_text
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.chain import digest_of, is_contact
from commission_tui.logbook.entries.entry_parts import FrozenLimit
from commission_tui.logbook.entries.logged import Logged
from commission_tui.logbook.state.entry_words import frozen_text, words_of
from commission_tui.logbook.state.fault_steps import step_words
from commission_tui.logbook.state.meters import all_meters
from commission_tui.logbook.state.parts import inventory
from commission_tui.logbook.state.state import NO_READINGS, State


@dataclass(frozen=True, slots=True)
class Said:
    """What one person logged."""

    by: str
    value: str
    entry: str
    """Id of the entry that says it."""


@dataclass(slots=True)
class Subject:
    """One thing that entries speak of, and what each of them says of it."""

    what: str
    place: str = ""
    said: dict[str, Said] = field(default_factory=dict)
    """By id; a correction says what it replaces the entry by."""
    of: dict[str, str] = field(default_factory=dict)
    """Id of each to that of the entry that it is, or corrects."""
    stands: str = ""
    """What counts now; empty: what the latest says."""
    alike_too: bool = False
    """Whether two that say the same are two all the same."""

    def now(self) -> str:
        return self.stands or self.said[max(self.said)].value


Value = Callable[[e.Body], str]


def subjects(state: State) -> Iterator[Subject]:
    """Yield everything of which more than one entry speaks, apart from readings, designs and contacts."""
    found = _Found(state)
    for group in (_limits, _settings, _parts, _faults, _course, _instruments, _handed_over):
        group(found)
    for subject in found.subjects.values():
        if len(subject.said) > 1:
            yield subject


class _Found:
    def __init__(self, state: State) -> None:
        self.state = state
        self.subjects: dict[tuple[str, str], Subject] = {}

    def add(
        self, what: str, place: str, entries: Iterable[Logged[e.Body]], value: Value
    ) -> Subject:
        """Let entries as they stand, and what corrected them, speak of something."""
        subject = self.subjects.setdefault((what, place), Subject(what, place))
        for logged in entries:
            speak(self.state, subject, logged.id, value)
        return subject


def speak(state: State, subject: Subject, entry_id: str, value: Value) -> None:
    """Let an entry, and what corrected it, speak of something."""
    for one in state.history(entry_id):
        if is_contact(one):
            continue
        body = one.body.replacement if isinstance(one.body, e.Correction) else one.body
        words = "withdrawn" if body is None else value(body)
        subject.said[one.id] = Said(one.by, words, one.id)
        subject.of[one.id] = entry_id


def title_of(state: State, check: str) -> str:
    """Return a check's title, or its id where the checklists no longer have it."""
    known = check in state.whole_checklist
    return state.whole_checklist.check(check).title if known else check


def _limits(found: _Found) -> None:
    state = found.state
    for check, kept in state.limits.items():
        title = title_of(state, check)
        for logged in kept:
            if isinstance(logged.body, e.LimitChanged):
                name = logged.body.limit.name
                found.add(f"{title}, limit {name}", "", [logged], _limit)
        frozen = [logged for logged in kept if isinstance(logged.body, e.LimitsFrozen)]
        if len(frozen) > 1:
            subject = found.add(f"{title}, limits frozen", "", frozen, _limit)
            subject.stands = subject.said[frozen[0].id].value


def _limit(body: e.Body) -> str:
    def words(one: FrozenLimit) -> str:
        return limit_text(one.low, one.high, one.unit)

    if isinstance(body, e.LimitChanged):
        return words(body.limit)
    return "; ".join(map(frozen_text, body.limits)) if isinstance(body, e.LimitsFrozen) else ""


def _settings(found: _Found) -> None:
    for logged in found.state.settings:
        found.add(logged.body.setting, logged.body.place, [logged], _setting)


def _setting(body: e.Body) -> str:
    return body.value if isinstance(body, e.SettingLogged) else ""


def _parts(found: _Found) -> None:
    state = found.state
    now = inventory(state)
    for logged in state.parts:
        body = logged.body
        at = found.add(f"serial of the {body.part}", body.location, [logged], _serial)
        at.stands = now.fitted[body.part, body.location].serial
    moved: tuple[Logged[e.PartFitted | e.SparePut], ...] = (*state.parts, *state.spares)
    for one in moved:
        serial = one.body.serial
        where = now.where(serial)
        subject = found.add(f"where serial {serial} is", "", [one], _where)
        subject.stands = f"{where[0]} at {where[1]}" if where else "no longer fitted"
        if where is None and serial in now.shelf:
            subject.stands = "on the shelf"


def _serial(body: e.Body) -> str:
    return body.serial if isinstance(body, e.PartFitted) else ""


def _where(body: e.Body) -> str:
    return f"{body.part} at {body.location}" if isinstance(body, e.PartFitted) else "on the shelf"


def _faults(found: _Found) -> None:
    """Add the steps on each fault, and whether it was withdrawn or corrected meanwhile."""
    state = found.state
    there = {fault.id: fault for fault in state.faults}
    for number, fault_id in enumerate(state.ever_found, start=1):
        work = state.work.get(fault_id, ())
        if not work:
            continue
        written = state.entries[fault_id].body
        body = there[fault_id].found.body if fault_id in there else written
        if not isinstance(body, e.FaultFound):
            continue
        subject = found.add(f"fault {number}, {body.called}", body.location, work, _step)
        speak(state, subject, fault_id, words_of)
        del subject.said[fault_id]  # that it was found is known to whoever did something about it
        subject.stands = there[fault_id].state if fault_id in there else "withdrawn"


def _step(body: e.Body) -> str:
    return step_words(body) if isinstance(body, e.FaultWork) else ""


def _course(found: _Found) -> None:
    """Add what is agreed of the job, what does not apply of it, and its visits."""
    state = found.state

    for check, skips in state.skipped.items():
        subject = found.add(title_of(state, check), "", skips, words_of)
        for slot in state.readings.get(check, NO_READINGS).values():
            for logged in slot:
                speak(state, subject, logged.id, lambda _: "read")
        subject.stands = "does not apply"
    for feature in state.features:
        found.add(feature.body.feature, "", [feature], _feature)
    found.add("the scope", "", state.scopes, words_of)
    found.add("the checklists", "", state.checklists, _checklists)
    visits = found.add("a later visit", "", state.visits, words_of)
    visits.stands, visits.alike_too = "both are begun, the one in the other", True
    for mapping in state.mappings:
        found.add(f"columns of {mapping.body.name}", "", [mapping], _columns)


def _feature(body: e.Body) -> str:
    return body.there if isinstance(body, e.FeatureSettled) else ""


def _checklists(body: e.Body) -> str:
    return digest_of(body.files)[:8] if isinstance(body, e.ChecklistSet) else ""


def _columns(body: e.Body) -> str:
    columns = body.columns if isinstance(body, e.TableMapping) else {}
    return ", ".join(f"{heading} is {target}" for heading, target in columns.items())


def _instruments(found: _Found) -> None:
    state = found.state

    def chosen(body: e.Body) -> str:
        if isinstance(body, e.Instrument):
            return body.called
        key = body.instrument if isinstance(body, e.InstrumentChosen) else ""
        known = state.instruments.get(key)
        return known.body.called if known else key

    meters = all_meters(state)
    for logged in state.chosen:
        body = logged.body
        if isinstance(body, e.Instrument):
            of_key = found.add(f"instrument {body.key}", "", [logged], words_of)
            if sum(meter.body.key == body.key for meter in meters) > 1:
                of_key.stands = "each for what was read with it"
        for unit in body.accuracy if isinstance(body, e.Instrument) else body.units:
            found.add(f"what is read with in {unit}", "", [logged], chosen)


def _handed_over(found: _Found) -> None:
    """Add documents of one number, and signatures of one role."""
    state = found.state
    for document in state.documents:
        of = found.add(f"document {document.body.number}", "", [document], _document)
        of.stands = "both were issued"
    for signature in state.signatures:
        of = found.add(f"signature as {signature.body.role}", "", [signature], _signature)
        of.stands = "both are kept"


def _document(body: e.Body) -> str:
    return body.sha256[:12] if isinstance(body, e.DocumentIssued) else ""


def _signature(body: e.Body) -> str:
    if not isinstance(body, e.Signature):
        return ""
    return f"{body.name} {body.decision or 'signs'} record {body.fingerprint[:8]}"

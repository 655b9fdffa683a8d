"""What an entry says, in one line, as it is told wherever an entry is named: trail, merge, taking back."""

from __future__ import annotations

from bisect import bisect_left

from commission_tui.checks.model.types import Limit
from commission_tui.figures import exact, limit_text, reading_text
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.entry_parts import Accuracy, FrozenLimit
from commission_tui.logbook.state.fault_steps import step_words
from commission_tui.logbook.state.state import State
from commission_tui.text import counted


def entry_words(state: State, body: e.Body | None, entry_id: str) -> str:
    """Say in one line what an entry says, or was corrected to."""
    return body_text(Record(state), body, entry_id)


def words_with_subject(state: State, entry_id: str, was: e.Body | None = None) -> str:
    """Say an entry as it stands now in one line, with the check or the fault that it is about.

    One that was withdrawn is said as it `was`; else of a fault, or a step of one, the number at least.
    """
    body = state.effective(entry_id) or was
    said = entry_words(state, body, entry_id)
    if isinstance(body, e.ReadingTaken | e.NotApplicable | e.LimitChanged):
        known = body.check in state.checklist
        return f"{state.checklist.check(body.check).title if known else body.check}: {said}"
    if entry_id in state.ever_found:
        return f"fault {state.ever_found.index(entry_id) + 1}: {said}"
    if isinstance(body, e.FaultWork) and body.found in state.ever_found:
        of = state.effective(body.found)
        at = f", {of.called} at {of.location}" if isinstance(of, e.FaultFound) else ""
        return f"fault {state.ever_found.index(body.found) + 1}{at}: {said}"
    return f"note: {said}" if isinstance(body, e.Note) else said


class Record:
    """A job, and its instruments as they stood one after another, looked for once."""

    def __init__(self, state: State) -> None:
        self.state = state
        self.instruments: dict[str, list[tuple[str, e.Instrument]]] = {}
        logged = (x.id for x in state.entries.values() if isinstance(x.body, e.Instrument))
        for one in sorted(logged):
            known = state.effective(one)
            if isinstance(known, e.Instrument):
                self.instruments.setdefault(known.key, []).append((one, known))


def body_text(record: Record, body: e.Body | None, at_id: str) -> str:
    """Say what an entry says in one line, as it was when it was written."""
    if isinstance(body, e.ReadingTaken):
        return _reading(record, body, at_id)
    return "withdrawn" if body is None else words_of(body)


def words_of(body: e.Body) -> str:
    """Say an entry that is no reading in one line."""
    match body:
        case e.FaultFound():
            return _joined(f"{body.fault} at {body.location}, {body.severity}", body.note)
        case e.FaultWork():
            return _joined(step_words(body), body.note)
        case e.NotApplicable():
            return "does not apply"
        case e.Note():
            return body.text
        case e.Photo():
            return _joined(f"photo {body.name}, SHA-256 {body.sha256}", body.caption)
        case e.FileKept():
            return _joined(f"file {body.name}, SHA-256 {body.sha256}", body.note)
        case e.SettingLogged():
            return _joined(f"{body.setting} at {body.place} set to {body.value}", body.note)
        case e.ResultsKept():
            return f"results kept although {body.change[-12:]} changed something"
        case e.LimitsFrozen():
            return f"limits frozen: {'; '.join(map(frozen_text, body.limits)) or 'none, recorded only'}"
        case e.LimitChanged():
            return f"limit agreed with {body.agreed_by}: {frozen_text(body.limit)}"
        case e.PartFitted():
            fitted = f"{body.part} at {body.location}: serial {body.serial}"
            return fitted + (f" in the place of {body.replaces}" if body.replaces else "")
        case e.SparePut():
            return f"spare {body.part}, serial {body.serial}"
    return _of_the_job(body)


def _of_the_job(body: e.Body) -> str:
    """Say an entry of the job as a whole: its design, its scope, its instruments, its visits."""
    match body:
        case e.JobOpened():
            return f"job {body.name} opened"
        case e.Design():
            return _joined("the wall file", body.reason)
        case e.ChecklistSet():
            return f"the checklists, {counted(len(body.files), 'file')}"
        case e.ScopeAgreed():
            return f"scope agreed: {body.size}, {counted(len(body.checks), 'check')}"
        case e.FeatureSettled():
            return f"{body.feature}: {body.there}"
        case e.Instrument():
            due = _joined(f"calibration due {body.due_words()}", _certificate(body))
            units = ", ".join(_accuracy(unit, stated) for unit, stated in body.accuracy.items())
            return f"instrument {body.name}, serial {body.serial}, {due}, for {units}"
        case e.InstrumentChosen():
            return f"instrument {body.instrument} chosen for {', '.join(body.units)}"
        case e.VisitBegun():
            return f"visit {body.name} begun"
        case e.TableMapping():
            return f"columns of a table kept as {body.name}"
        case e.Person():
            return f"{body.name}, {body.role}"
        case e.DocumentIssued():
            return f"document {body.number} issued"
        case e.Signature():
            did = "refused" if body.decision == "refuses" else "signed"
            return f"{did} by {body.name} ({body.role})"
    return "an entry of another kind"


def _certificate(body: e.Instrument) -> str:
    return f"certificate {body.certificate}" if body.certificate else ""


def _accuracy(unit: str, stated: Accuracy) -> str:
    text = unit
    if stated.percent or stated.absolute:
        text += f" ± {_parts(stated.percent, stated.absolute)}"
    if stated.stated_repeatability(1.0) is not None:
        scatter = stated.repeatability_percent, stated.repeatability_absolute
        text += f" repeats {_parts(*scatter) or '0'}"
    return text + (f" step {exact(stated.resolution)}" if stated.resolution else "")


def _parts(percent: float | None, absolute: float | None) -> str:
    share = [f"{exact(percent)} %"] if percent else []
    return " + ".join(share + ([exact(absolute)] if absolute else []))


def _reading(record: Record, body: e.ReadingTaken, at_id: str) -> str:
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


def _instrument(record: Record, key: str, at_id: str) -> str:
    """Say what an instrument was when the reading was taken, not what it became."""
    made = record.state.entries.get(at_id)
    reading = made.body.corrects if made and isinstance(made.body, e.Correction) else at_id
    meter = record.state.meters.get(reading)
    if meter is not None and meter.body.key == key:
        return _meter(meter.body)
    logged = record.instruments.get(key, [])
    before = bisect_left(logged, at_id, key=lambda one: one[0])
    if not before:
        return key
    _, one = logged[before - 1]
    return _meter(one)


def _meter(one: e.Instrument) -> str:
    return f"{one.name}, serial {one.serial}, calibration due {one.due_words()}"


def frozen_text(one: FrozenLimit) -> str:
    """Say a limit as it was written down, with its source and standing."""
    limit = Limit(one.name, one.unit, one.source, one.standing)
    return limit_words(one.name, one.low, one.high, one.unit, f"{limit.source} ({limit.standing})")


def limit_words(name: str, low: float | None, high: float | None, unit: str, source: str) -> str:
    """Say a limit and where it comes from."""
    return f"{name} {limit_text(low, high, unit)}, {source}"


def _joined(text: str, more: str) -> str:
    return f"{text}, {more}" if more else text

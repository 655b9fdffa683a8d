"""How the handover stands, counted from the job's state without building the document."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from commission_tui.checks.model.types import Verdict
from commission_tui.handover.content import acceptance
from commission_tui.handover.content.acceptance import ExceptionRow, SignatureRow, VisitLine
from commission_tui.handover.content.corrections_notes_photos import correction_rows, notes_apart
from commission_tui.handover.content.document_inputs import Context
from commission_tui.handover.content.instrument_list import known_instruments
from commission_tui.handover.record import short_fingerprint
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.judging.agreed_limits import limits_of
from commission_tui.logbook.judging.doubts import changes, settings_now
from commission_tui.logbook.judging.visits import visit_names, visit_readings
from commission_tui.logbook.state.parts import inventory


@dataclass(frozen=True, slots=True)
class Outline:
    """What the document would say of the whole, and how much of each part it would hold."""

    state: str
    """One of `AcceptanceState`."""
    statement: str
    visit: VisitLine | None
    """The state of the latest later visit."""
    exceptions: Sequence[ExceptionRow]
    """As taken, or as they would be if the client signed now."""
    missing: Sequence[str]
    """The signatures that are not there."""
    counts: Mapping[str, int]
    """Part of the document to how many it lists."""
    signatures: Sequence[SignatureRow]
    fingerprint: str

    @property
    def fingerprint_short(self) -> str:
        return short_fingerprint(self.fingerprint)


def outline(job: OpenJob) -> Outline:
    context = Context(job)
    return Outline(
        str(context.stands.state),
        acceptance.statement(context),
        acceptance.visit_line(context),
        acceptance.exceptions(context),
        acceptance.missing_signatures(context),
        _counts(context),
        acceptance.signature_blocks(context),
        context.fingerprint,
    )


def _counts(context: Context) -> dict[str, int]:
    state = context.state
    faults = Counter(fault.state for fault in context.faults)
    apply = [c.id for c in state.checklist if context.verdict(c) is not Verdict.NOT_APPLICABLE]
    visits = range(len(visit_names(state)))
    return {
        "exceptions": context.stands.count,
        "open_items": len(context.faults) - faults["verified"],
        "contradictions": sum(x.severity != "note" for x in context.review.findings),
        "results": len(list(state.checklist)),
        "instruments": len(known_instruments(context)),
        "limits": sum(len(limits_of(state, check)) for check in apply),
        "settings": len(settings_now(state)) + len(changes(state)) + len(state.kept_results),
        "punch_list": len(context.faults),
        "corrections": len(correction_rows(state)),
        "parts": len(inventory(state).fitted),
        "files": len(state.files),
        "revisits": len(visits) - 1,
        "notes": len(notes_apart(context)),
        "readings": sum(
            len(visit_readings(state, check.id, visit))
            for check in state.checklist
            for visit in visits
        ),
        "photos": len(state.photos),
    }

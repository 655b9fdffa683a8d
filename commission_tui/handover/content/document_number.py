"""Which document an export is: its number, and the one that it supplements.

What is signed is frozen. As long as the record is the one of the last signed document, an export is
that document; after a change, the next export is another one, which says what it supplements.
"""

from __future__ import annotations

from dataclasses import dataclass

from commission_tui.handover.figure_text import Printing
from commission_tui.handover.record import short_fingerprint
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.logged import Logged
from commission_tui.logbook.state.state import State

_LONGEST_REFERENCE = 150


@dataclass(frozen=True, slots=True)
class EarlierDocument:
    """The document that another one supplements."""

    number: str
    date: str
    at: str
    fingerprint: str
    fingerprint_short: str
    sha256: str


@dataclass(frozen=True, slots=True)
class DocumentHead:
    """What a document says of itself, and of the one before it."""

    number: str
    supplement: EarlierDocument | None


@dataclass(frozen=True, slots=True)
class DocumentIdentity:
    """What a document calls itself."""

    number: str
    supplements: Logged[e.DocumentIssued] | None


def document_identity(state: State, fingerprint: str) -> DocumentIdentity:
    """Return what a document of a record is called, given the documents issued before."""
    issued = [logged for logged in state.documents if logged.body.fingerprint != fingerprint]
    same = [logged for logged in state.documents if logged.body.fingerprint == fingerprint]
    if same:
        named = same[-1].body.supplements
        before = [logged for logged in issued if logged.body.sha256 == named]
        return DocumentIdentity(same[-1].body.number, before[-1] if before else None)
    earlier = dict.fromkeys(logged.body.fingerprint for logged in issued)
    reference = (state.title.reference or _job_mark(state))[:_LONGEST_REFERENCE]
    return DocumentIdentity(f"{reference}/{len(earlier) + 1}", issued[-1] if issued else None)


def _job_mark(state: State) -> str:
    """Return the end of the job's id, for a job without a reference."""
    job = next(iter(state.entries.values())).job
    return job[-12:]


def document_head(state: State, fingerprint: str, printing: Printing) -> DocumentHead:
    """Return what a document says of itself, and of the one before it."""
    found = document_identity(state, fingerprint)
    before = found.supplements
    if before is None:
        return DocumentHead(number=found.number, supplement=None)
    return DocumentHead(
        number=found.number,
        supplement=EarlierDocument(
            number=before.body.number,
            date=printing.day(before.at),
            at=before.at,
            fingerprint=before.body.fingerprint,
            fingerprint_short=short_fingerprint(before.body.fingerprint),
            sha256=before.body.sha256,
        ),
    )

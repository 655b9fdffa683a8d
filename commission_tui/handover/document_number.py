"""Which document an export is: its number, and the one that it supplements.

What is signed is frozen. As long as the record is the one of the last signed document, an export is
that document; after a change, the next export is another one, which says what it supplements.
"""

from __future__ import annotations

from dataclasses import dataclass

from commission_tui.handover.content.document_inputs import Context
from commission_tui.handover.record import short_fingerprint
from commission_tui.handover.writing import file_stem
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


def document_identity(
    state: State, fingerprint: str
) -> tuple[str, Logged[e.DocumentIssued] | None]:
    """Return the number of a document of a record and what it supplements of those issued before."""
    issued = [logged for logged in state.documents if logged.body.fingerprint != fingerprint]
    same = [logged for logged in state.documents if logged.body.fingerprint == fingerprint]
    if same:
        named = same[-1].body.supplements
        before = [logged for logged in issued if logged.body.sha256 == named]
        return same[-1].body.number, before[-1] if before else None
    earlier = dict.fromkeys(logged.body.fingerprint for logged in issued)
    # A job without a reference goes by the end of its id.
    mark = state.title.reference or next(iter(state.entries.values())).job[-12:]
    number = f"{mark[:_LONGEST_REFERENCE]}/{len(earlier) + 1}"
    return number, issued[-1] if issued else None


def document_stem(state: State, fingerprint: str) -> str:
    """Return how the names of a document's files begin: each supplement has names of its own."""
    number = document_identity(state, fingerprint)[0].rpartition("/")[2]
    later = int(number) - 1 if number.isdecimal() else 0
    return file_stem(state.title.name) + (f"-supplement-{later}" if later > 0 else "")


def document_head(context: Context) -> DocumentHead:
    number, before = document_identity(context.state, context.fingerprint)
    if before is None:
        return DocumentHead(number, None)
    return DocumentHead(
        number,
        EarlierDocument(
            number=before.body.number,
            date=context.printing.day(before.at),
            at=before.at,
            fingerprint=before.body.fingerprint,
            fingerprint_short=short_fingerprint(before.body.fingerprint),
            sha256=before.body.sha256,
        ),
    )

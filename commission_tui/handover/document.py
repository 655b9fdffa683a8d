"""What the document says, as plain data: the typesetter and the page in HTML only lay it out."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from commission_tui.handover.cards import (
    content_specification,
    cover,
    one_page_summary,
    operator_card,
    trade_pages,
)
from commission_tui.handover.content import (
    acceptance,
    as_built,
    certificates,
    corrections_notes_photos,
    instrument_list,
    limits_and_settings,
    parts_and_people,
    punch_list,
    reading_tables,
    results,
    visit_chapters,
)
from commission_tui.handover.content.acceptance import SignatureRow
from commission_tui.handover.content.corrections_notes_photos import PhotoRow
from commission_tui.handover.content.document_inputs import Context
from commission_tui.handover.content.sections import Chapter, DrawingRow, Section
from commission_tui.handover.document_number import DocumentHead, document_head
from commission_tui.handover.drawings.wall_drawing import Drawing
from commission_tui.handover.record import short_fingerprint


@dataclass(frozen=True, slots=True)
class Document:
    """Everything that the document says."""

    paper: str
    fingerprint: str
    fingerprint_short: str
    document: DocumentHead
    cover: cover.Cover
    exceptions: Section
    """All of them, as the client reads them."""
    cards: Sequence[Chapter]
    """What one reader needs on a side, each to stand alone as well."""
    chapters: Sequence[Chapter]
    """The rest, in its order."""
    signatures: Sequence[SignatureRow]
    photos: Sequence[PhotoRow]


def build_from(context: Context, drawn: Iterable[tuple[str, Drawing]] = ()) -> Document:
    """Return everything that the document says, the same for the same entries.

    Parameters
    ----------
    context : Context
        The job.
    drawn : iterable of pairs
        Its drawings, each with the part of the document where it belongs.
    """
    of_part: defaultdict[str, list[DrawingRow]] = defaultdict(list)
    for part, one in drawn:
        of_part[part].append(DrawingRow(one.file, one.title, one.caption, one.alt, one.high))
    head = document_head(context)
    signatures = acceptance.signature_blocks(context)
    photos = corrections_notes_photos.photo_rows(context)
    chapters = [
        acceptance.acceptance(context),
        acceptance.exceptions_chapter(context),
        as_built.as_built(context),
        as_built.documents(context),
        as_built.wall_drawings(of_part["wall"]),
        certificates.certificates(context),
        instrument_list.instruments(context),
        limits_and_settings.limits(context),
        results.results(context, of_part["chart"], of_part["map"]),
        reading_tables.failures(context),
        *visit_chapters.visits(context, of_part["visit"]),
        punch_list.punch_list(context, of_part["punch"]),
        corrections_notes_photos.corrections(context),
        corrections_notes_photos.notes(context),
        limits_and_settings.settings(context),
        parts_and_people.parts_and_files(context),
        parts_and_people.people_and_training(context),
        operator_card.maintenance(context),
        acceptance.cautions(),
        acceptance.signatures(signatures),
        reading_tables.readings(context),
        corrections_notes_photos.photos(photos),
    ]
    return Document(
        paper=context.printing.paper,
        fingerprint=context.fingerprint,
        fingerprint_short=short_fingerprint(context.fingerprint),
        document=head,
        cover=cover.cover(context, head),
        exceptions=acceptance.numbered_exceptions(context),
        cards=[
            one_page_summary.summary(context),
            operator_card.operator_card(context),
            trade_pages.electrician_page(context),
            trade_pages.rigger_page(context),
            content_specification.content_specification(context),
        ],
        chapters=[one for one in chapters if one.sections],
        signatures=signatures,
        photos=photos,
    )

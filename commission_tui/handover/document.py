"""What the document says, as plain data: the typesetter and the page in HTML only lay it out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from commission_tui.handover.cards import (
    client_page,
    content_specification,
    operator_card,
    trade_pages,
)
from commission_tui.handover.cards.operator_card import Maintenance, OperatorCard
from commission_tui.handover.content import (
    acceptance,
    as_built,
    certificates,
    document_number,
    front_summary,
    history,
    limits_and_settings,
    parts_and_people,
    reading_tables,
    results,
)
from commission_tui.handover.content.acceptance import (
    CAUTIONS,
    AcceptanceText,
    Cover,
    ExceptionRow,
    PunchItem,
    SignatureRow,
)
from commission_tui.handover.content.as_built import AsBuilt, Contradiction
from commission_tui.handover.content.certificates import Paper
from commission_tui.handover.content.document_inputs import Context
from commission_tui.handover.content.printed_rows import Event, Fact, Listing
from commission_tui.handover.content.results import Results
from commission_tui.handover.record import short_fingerprint


@dataclass(frozen=True, slots=True)
class Document:
    """Everything that the document says, part by part."""

    paper: str
    fingerprint: str
    fingerprint_short: str
    document: document_number.DocumentHead
    cover: Cover
    client: Sequence[Fact]
    """The first page, in plain words."""
    summary: front_summary.Summary
    acceptance: AcceptanceText
    exceptions: Sequence[ExceptionRow]
    open_items: Sequence[PunchItem]
    exceptions_read: Sequence[Fact]
    limits: limits_and_settings.Limits
    settings: limits_and_settings.Settings
    as_built: AsBuilt
    documents: Listing
    contradictions: Sequence[Contradiction]
    certificates: Sequence[Paper]
    method: Sequence[Fact]
    failures: Sequence[reading_tables.Table]
    failure_photos: Sequence[str]
    results: Results
    instruments: Listing
    punch_list: Sequence[PunchItem]
    corrections: Listing
    notes: Sequence[Event]
    parts: parts_and_people.Parts
    spares: Listing
    spares_logic: parts_and_people.SparesLogic
    backups: Sequence[Fact]
    files: Listing
    people: Listing
    training: parts_and_people.Training
    revisits: Sequence[history.LaterVisit]
    content_sheet: content_specification.ContentSheet
    operator_card: OperatorCard
    electrician: trade_pages.ElectricianPage
    rigger: trade_pages.RiggerPage
    maintenance: Maintenance
    warranty: Sequence[Fact]
    signatures: Sequence[SignatureRow]
    readings: Sequence[reading_tables.Table]
    photos: Sequence[history.PhotoRow]
    cautions: Sequence[str] = CAUTIONS


def build_from(context: Context) -> Document:
    """Return everything that the document says, the same for the same entries."""
    built = as_built.as_built(context)
    return Document(
        paper=context.printing.paper,
        fingerprint=context.fingerprint,
        fingerprint_short=short_fingerprint(context.fingerprint),
        document=document_number.document_head(context),
        cover=acceptance.cover(context),
        client=client_page.client_facts(context),
        summary=front_summary.summary(context),
        acceptance=acceptance.acceptance(context),
        exceptions=acceptance.exceptions(context),
        open_items=acceptance.open_items(context),
        exceptions_read=reading_tables.facts_of_role(context, "exceptions"),
        limits=limits_and_settings.limits(context),
        settings=limits_and_settings.settings(context),
        as_built=built,
        documents=as_built.documents(context),
        contradictions=as_built.contradictions(context),
        certificates=certificates.certificates(context),
        method=reading_tables.facts_of_role(context, "metering"),
        failures=reading_tables.tables_of_role(context, "failure"),
        failure_photos=certificates.failure_photos(context),
        results=results.results(context),
        instruments=certificates.instruments(context),
        punch_list=history.punch_list(context),
        corrections=history.corrections(context),
        notes=history.notes(context),
        parts=parts_and_people.parts(context),
        spares=parts_and_people.spares(context),
        spares_logic=parts_and_people.spares_logic(context),
        backups=reading_tables.facts_of_role(context, "backups"),
        files=parts_and_people.files(context),
        people=parts_and_people.people(context),
        training=parts_and_people.training(context),
        revisits=history.visit_comparisons(context),
        content_sheet=content_specification.content_sheet(context),
        operator_card=operator_card.operator_card(context),
        electrician=trade_pages.electrician_page(context, built),
        rigger=trade_pages.rigger_page(context, built),
        maintenance=operator_card.maintenance(context),
        warranty=reading_tables.facts_of_role(context, "warranty"),
        signatures=acceptance.signature_blocks(context),
        readings=reading_tables.readings(context),
        photos=history.photos(context),
    )

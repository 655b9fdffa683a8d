"""What the document says, as plain data: the typesetter and the page in HTML only lay it out."""

from __future__ import annotations

from typing import Any

from commission_tui.handover.cards import content_specification, operator_card
from commission_tui.handover.content import (
    acceptance,
    as_built,
    certificates,
    document_number,
    front_summary,
    history,
    later_visits,
    limits_and_settings,
    parts_and_people,
    reading_tables,
    results,
)
from commission_tui.handover.content.document_inputs import Context
from commission_tui.handover.record import short_fingerprint
from commission_tui.logbook.job import OpenJob


def build_document(job: OpenJob, *, draft: bool = False) -> dict[str, Any]:
    """Return everything that the document says, JSON-able and the same for the same entries.

    Parameters
    ----------
    job : OpenJob
        The job as it stands.
    draft : bool
        Call it a draft whatever its state.
    """
    return build_from(Context(job), draft=draft)


def build_from(context: Context, *, draft: bool = False) -> dict[str, Any]:
    """Return the same from a context that is there already."""
    state = acceptance.DRAFT if draft else acceptance.document_state(context)
    return {
        "paper": context.printing.paper,
        "fingerprint": context.fingerprint,
        "fingerprint_short": short_fingerprint(context.fingerprint),
        "document": document_number.said(context.state, context.fingerprint, context.printing),
        "cover": acceptance.cover(context, state),
        "summary": front_summary.summary(context),
        "acceptance": acceptance.acceptance(context),
        "exceptions": acceptance.exceptions(context),
        "open_items": acceptance.open_items(context),
        "exceptions_read": reading_tables.said(context, "exceptions"),
        "limits": limits_and_settings.limits(context),
        "settings": limits_and_settings.settings(context),
        "as_built": as_built.as_built(context),
        "documents": as_built.documents(context),
        "contradictions": as_built.contradictions(context),
        "certificates": certificates.certificates(context),
        "method": certificates.method(context),
        "failures": certificates.failures(context),
        "failure_photos": certificates.failure_photos(context),
        "results": results.results(context),
        "instruments": results.instruments(context),
        "punch_list": history.punch_list(context),
        "corrections": history.corrections(context),
        "notes": history.notes(context),
        "parts": parts_and_people.parts(context),
        "spares": parts_and_people.spares(context),
        "spares_logic": parts_and_people.spares_logic(context),
        "backups": reading_tables.said(context, "backups"),
        "files": parts_and_people.files(context),
        "people": parts_and_people.people(context),
        "training": parts_and_people.training(context),
        "revisits": later_visits.revisits(context),
        "content_sheet": content_specification.content_sheet(context),
        "operator_card": operator_card.operator_card(context),
        "maintenance": operator_card.maintenance(context),
        "warranty": operator_card.warranty(context),
        "cautions": list(acceptance.CAUTIONS),
        "signatures": acceptance.signature_blocks(context),
        "readings": reading_tables.readings(context),
        "photos": history.photos(context),
    }


def missing_for_handover(job: OpenJob) -> list[str]:
    """Say, one line each, what is not yet there for a handover that both sides can sign."""
    return acceptance.missing_lines(Context(job))

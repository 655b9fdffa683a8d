"""What the document says, as plain data: the typesetter and the page in HTML only lay it out."""

from __future__ import annotations

from typing import Any

from commission_tui.handover import (
    acceptance,
    agreed,
    as_built,
    belongings,
    evidence,
    history,
    issuing,
    operating,
    recorded,
    results,
    revisits,
    sheet,
    summary,
)
from commission_tui.handover.context import Context
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
        "document": issuing.said(context.state, context.fingerprint, context.printing),
        "cover": acceptance.cover(context, state),
        "summary": summary.summary(context),
        "acceptance": acceptance.acceptance(context),
        "exceptions": acceptance.exceptions(context),
        "open_items": acceptance.open_items(context),
        "exceptions_read": recorded.said(context, "Z3"),
        "limits": agreed.limits(context),
        "settings": agreed.settings(context),
        "as_built": as_built.as_built(context),
        "documents": as_built.documents(context),
        "contradictions": as_built.contradictions(context),
        "certificates": evidence.certificates(context),
        "method": evidence.method(context),
        "failures": evidence.failures(context),
        "failure_photos": evidence.failure_photos(context),
        "results": results.results(context),
        "instruments": results.instruments(context),
        "punch_list": history.punch_list(context),
        "corrections": history.corrections(context),
        "notes": history.notes(context),
        "parts": belongings.parts(context),
        "spares": belongings.spares(context),
        "spares_logic": belongings.spares_logic(context),
        "backups": recorded.said(context, "W3"),
        "files": belongings.files(context),
        "people": belongings.people(context),
        "training": belongings.training(context),
        "revisits": revisits.revisits(context),
        "content_sheet": sheet.content_sheet(context),
        "operator_card": operating.operator_card(context),
        "maintenance": operating.maintenance(context),
        "warranty": operating.warranty(context),
        "cautions": list(acceptance.CAUTIONS),
        "signatures": acceptance.signature_blocks(context),
        "readings": recorded.readings(context),
        "photos": history.photos(context),
    }


def missing_for_handover(job: OpenJob) -> list[str]:
    """Say, one line each, what is not yet there for a handover that both sides can sign."""
    return acceptance.missing_lines(Context(job))

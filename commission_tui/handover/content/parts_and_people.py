"""What goes with the wall: parts and their serials, spares, files, certificates, people, training."""

from __future__ import annotations

from collections import Counter
from typing import Any

from commission_tui.handover.content.document_inputs import Context
from commission_tui.handover.content.reading_tables import said
from commission_tui.handover.figure_text import sentence
from commission_tui.logbook.entries.models import FileKept
from commission_tui.logbook.state.parts import inventory, is_exchange
from commission_tui.logbook.state.state import Logged
from commission_tui.text import counted

_KINDS = ("cabinet", "module", "receiving card", "power supply")


def parts(context: Context) -> dict[str, Any]:
    """Return what is fitted where, every exchange, and how many of each batch there are."""
    fitted = inventory(context.state).fitted
    batches = Counter((part, entry.batch or "not marked") for (part, _), entry in fitted.items())
    return {
        "fitted": [
            {
                "part": part,
                "location": location,
                "serial": entry.serial,
                "batch": entry.batch or "",
            }
            for (part, location), entry in sorted(
                fitted.items(), key=lambda item: (_KINDS.index(item[0][0]), _by_place(item[0][1]))
            )
        ],
        "batches": [
            {"part": part, "batch": batch, "count": count}
            for (part, batch), count in sorted(batches.items())
        ],
        "exchanges": [
            {
                "at": context.printing.moment(logged.at),
                "by": logged.by,
                "what": f"{logged.body.part} at {logged.body.location}",
                "old": logged.body.replaces or "not recorded",
                "new": logged.body.serial
                + (" (from the spares)" if logged.body.from_spares else ""),
            }
            for logged in context.state.parts
            if is_exchange(logged.body)
        ],
    }


def _by_place(location: str) -> tuple[object, ...]:
    """Sort R2C10 after R2C9."""
    digits = "".join(c if c.isdigit() else " " for c in location).split()
    return (*(int(number) for number in digits), location)


def spares(context: Context) -> list[dict[str, Any]]:
    """Return the spares that are left on the shelf."""
    return [
        {
            "part": spare.part,
            "serial": spare.serial,
            "batch": spare.batch or "",
            "kept_at": spare.kept_at or "not recorded",
        }
        for spare in inventory(context.state).shelf.values()
    ]


def spares_logic(context: Context) -> dict[str, Any]:
    """Return what was counted, and how long the stock lasts with how much certainty."""
    reasons = [sentence(context.outcomes[check.id].reason) for check in context.in_role("spares")]
    counted = said(context, "spares")
    return {"facts": counted, "reason": " ".join(reasons) if counted else ""}


def files(context: Context) -> list[dict[str, str]]:
    """Return every file of the job with its hash, certificates first."""
    order = ("certificate", "configuration", "measurement", "EDID", "drawing", "other")
    listed = sorted(context.state.files, key=lambda x: (order.index(x.body.what), x.id))
    return [_file(context, logged) for logged in listed]


def _file(context: Context, logged: Logged[FileKept]) -> dict[str, str]:
    body = logged.body
    check = ""
    if body.check is not None and body.check in context.state.checklist:
        check = context.state.checklist.check(body.check).title
    return {
        "what": body.what,
        "name": body.name,
        "size": counted(body.size, "byte"),
        "at": context.printing.moment(logged.at),
        "by": logged.by,
        "about": "; ".join(text for text in (check, body.note) if text),
        "sha256": body.sha256,
    }


def people(context: Context) -> list[dict[str, str]]:
    """Return who was there and how to reach them; nobody in a document without contacts."""
    return [
        {
            "name": logged.body.name,
            "role": logged.body.role,
            "organisation": logged.body.organisation or "",
            "reach": ", ".join(x for x in (logged.body.phone, logged.body.mail) if x),
        }
        for logged in context.state.people
    ]


def training(context: Context) -> dict[str, Any]:
    """Return topic by topic how many people did it unaided, and who they are."""
    able = context.numbers("training", "people_able")
    return {
        "rows": [{"topic": topic, "able": f"{count:g}"} for topic, count in able.items()],
        "names": context.text("training", "names", "wall"),
    }

"""What goes with the wall: parts and their serials, spares, files, certificates, people, training."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from commission_tui.handover.content.document_inputs import Context
from commission_tui.handover.content.printed_rows import Fact, Listing
from commission_tui.handover.content.reading_tables import facts_of_role
from commission_tui.handover.figure_text import as_sentence
from commission_tui.logbook.entries.models import Person
from commission_tui.logbook.state.parts import inventory, is_exchange
from commission_tui.text import counted

_SERVICE = re.compile(r"service|support|hotline", re.IGNORECASE)
_KINDS = ("cabinet", "module", "receiving card", "power supply")


@dataclass(frozen=True, slots=True)
class Parts:
    """What is fitted, every exchange, and how many of each batch there are."""

    fitted: Listing
    batches: Listing
    exchanges: Listing


@dataclass(frozen=True, slots=True)
class SparesLogic:
    """What was counted, and how long the stock lasts."""

    facts: Sequence[Fact]
    reason: str


@dataclass(frozen=True, slots=True)
class Training:
    """Topic by topic, and who they are."""

    topics: Listing
    names: str


def parts(context: Context) -> Parts:
    fitted = inventory(context.state).fitted
    batches = Counter((part, entry.batch or "not marked") for (part, _), entry in fitted.items())
    places = sorted(fitted, key=lambda at: (_KINDS.index(at[0]), _by_place(at[1])))
    return Parts(
        fitted=Listing(
            ("Part", "Where", "Serial", "Batch"),
            [(*at, fitted[at].serial, fitted[at].batch or "") for at in places],
        ),
        batches=Listing(
            ("Part", "Batch", "Fitted"),
            [(*batch, str(count)) for batch, count in sorted(batches.items())],
        ),
        exchanges=Listing(
            ("When", "Who", "Part", "Taken out", "Put in"),
            [
                (
                    *(context.printing.moment(logged.at), logged.by),
                    f"{logged.body.part} at {logged.body.location}",
                    logged.body.replaces or "not recorded",
                    logged.body.serial + (" (from the spares)" if logged.body.from_spares else ""),
                )
                for logged in context.state.parts
                if is_exchange(logged.body)
            ],
        ),
    )


def _by_place(location: str) -> tuple[object, ...]:
    """Sort R2C10 after R2C9."""
    digits = "".join(c if c.isdigit() else " " for c in location).split()
    return (*(int(number) for number in digits), location)


def spares(context: Context) -> Listing:
    return Listing(
        ("Part", "Serial", "Batch", "Kept at"),
        [
            (spare.part, spare.serial, spare.batch or "", spare.kept_at or "not recorded")
            for spare in inventory(context.state).shelf.values()
        ],
    )


def spares_logic(context: Context) -> SparesLogic:
    """Return what was counted, and how long the stock lasts with how much certainty."""
    reasons = [as_sentence(context.printed[check.id].reason) for check in context.in_role("spares")]
    counted = facts_of_role(context, "spares")
    return SparesLogic(facts=counted, reason=" ".join(reasons) if counted else "")


def files(context: Context) -> Listing:
    """Return every file of the job with its hash, certificates first."""
    order = ("certificate", "configuration", "measurement", "EDID", "drawing", "other")
    rows = []
    for logged in sorted(context.state.files, key=lambda x: (order.index(x.body.what), x.id)):
        body = logged.body
        known = body.check is not None and body.check in context.state.checklist
        about = (context.title_of(body.check) if body.check and known else "", body.note)
        rows.append(
            (
                *(body.what, body.name, counted(body.size, "byte")),
                *(context.printing.moment(logged.at), logged.by),
                *("; ".join(text for text in about if text), body.sha256),
            )
        )
    return Listing(("What", "Name", "Size", "When", "Who", "About", "SHA-256"), rows)


def people(context: Context) -> Listing:
    """Return who was there and how to reach them; nobody in a document without contacts."""
    return Listing(
        ("Name", "Role", "Of", "Reached at"),
        [
            (one.name, one.role, one.organisation or "", _reach(one))
            for one in (logged.body for logged in context.state.people)
        ],
    )


def _reach(one: Person) -> str:
    return ", ".join(x for x in (one.phone, one.mail) if x)


def people_to_call(context: Context) -> list[str]:
    """Say who can be reached: those who answer for the wall before the client's own people."""
    client = context.state.title.client.strip().lower()
    reached = [logged.body for logged in context.state.people if _reach(logged.body)]
    reached.sort(
        key=lambda one: (
            (one.organisation or "").strip().lower() == client,
            not _SERVICE.search(one.role),
        )
    )
    return [", ".join(x for x in (one.name, one.role, _reach(one)) if x) for one in reached]


def training(context: Context) -> Training:
    able = context.numbers("training", "people_able")
    return Training(
        topics=Listing(
            ("Topic", "People who did it unaided"),
            [(topic, f"{count:g}") for topic, count in able.items()],
        ),
        names=context.text("training", "names", "wall"),
    )

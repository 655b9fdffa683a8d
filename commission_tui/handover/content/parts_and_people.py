"""What goes with the wall: parts and their serials, spares, settings saved, files; people, training."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable

from commission_tui.handover.content.document_inputs import NOT_RECORDED, Context
from commission_tui.handover.content.reading_tables import facts_of_role
from commission_tui.handover.content.sections import Chapter, Listing, Section, chapter
from commission_tui.handover.figure_text import as_sentence
from commission_tui.logbook.entries.models import Person
from commission_tui.logbook.state.parts import inventory, is_exchange
from commission_tui.text import counted

_SERVICE = re.compile(r"service|support|hotline", re.IGNORECASE)
CERTIFICATE = "certificate"
_FILES = (CERTIFICATE, "configuration", "measurement", "EDID", "drawing", "other")
_KINDS = ("cabinet", "module", "receiving card", "power supply")


def parts_and_files(context: Context) -> Chapter:
    fitted = inventory(context.state).fitted
    batches = Counter((part, entry.batch or "not marked") for (part, _), entry in fitted.items())
    places = sorted(fitted, key=lambda at: (_KINDS.index(at[0]), _by_place(at[1])))
    counted_spares = facts_of_role(context, "spares")
    return chapter(
        "Parts, spares and files",
        Section(
            "batches",
            Listing(
                ("Part", "Batch", "Fitted"),
                [(*batch, str(count)) for batch, count in sorted(batches.items())],
            ),
        ),
        Section("exchanges", _exchanges(context), "Parts exchanged", none="None."),
        Section(
            "fitted",
            Listing(
                ("Part", "Where", "Serial", "Batch"),
                [(*at, fitted[at].serial, fitted[at].batch or "") for at in places],
            ),
            "What is fitted where",
            on_paper=False,
        ),
        Section(
            "spares",
            _spares(context),
            "Spares on the shelf",
            none="None was registered by serial.",
        ),
        Section(
            "words",
            _stock_words(context) if counted_spares else "",
            "How long the spares last",
        ),
        Section("facts-wide", counted_spares),
        Section(
            "facts-wide",
            facts_of_role(context, "backups"),
            "Settings saved, and restored once",
            none="None was recorded.",
        ),
        Section(
            "files",
            files(context, lambda what: what != CERTIFICATE),
            "Files kept in the record",
            none="None besides the certificates.",
        ),
    )


def _exchanges(context: Context) -> Listing:
    return Listing(
        ("When", "Who", "Part", "Taken out", "Put in"),
        [
            (
                *(context.printing.moment(logged.at), logged.by),
                f"{logged.body.part} at {logged.body.location}",
                logged.body.replaces or NOT_RECORDED,
                logged.body.serial + (" (from the spares)" if logged.body.from_spares else ""),
            )
            for logged in context.state.parts
            if is_exchange(logged.body)
        ],
    )


def _by_place(location: str) -> tuple[object, ...]:
    """Sort R2C10 after R2C9."""
    digits = "".join(c if c.isdigit() else " " for c in location).split()
    return (*(int(number) for number in digits), location)


def _spares(context: Context) -> Listing:
    return Listing(
        ("Part", "Serial", "Batch", "Kept at"),
        [
            (spare.part, spare.serial, spare.batch or "", spare.kept_at or NOT_RECORDED)
            for spare in inventory(context.state).shelf.values()
        ],
    )


def _stock_words(context: Context) -> str:
    """Say how long the stock lasts, with how much certainty."""
    return " ".join(
        as_sentence(context.printed[check.id].reason) for check in context.in_role("spares")
    )


def files(context: Context, keep: Callable[[str], bool]) -> Listing:
    """Return the files of the job that are of some kinds, each with its hash."""
    rows = []
    for logged in sorted(context.state.files, key=lambda x: (_FILES.index(x.body.what), x.id)):
        body = logged.body
        if keep(body.what):
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


def people_and_training(context: Context) -> Chapter:
    """Return who was there and how to reach them, nobody without contacts; and who learnt what."""
    able = context.numbers("training", "people_able")
    names = context.text("training", "names", "wall")
    return chapter(
        "People and training",
        Section(
            "people",
            Listing(
                ("Name", "Role", "Of", "Reached at"),
                [
                    (one.name, one.role, one.organisation or "", _reach(one))
                    for one in (logged.body for logged in context.state.people)
                ],
            ),
        ),
        Section(
            "training",
            Listing(
                ("Topic", "People who did it unaided"),
                [(topic, f"{count:g}") for topic, count in able.items()],
            ),
            none="No training was recorded.",
        ),
        Section("words", f"They are: {names}." if able and names else ""),
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

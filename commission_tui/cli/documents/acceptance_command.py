"""What the client decides, without the screens: take the wall with its exceptions, or refuse it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from commission_tui.cli.options import json_option, on_job
from commission_tui.cli.output import answer
from commission_tui.errors import InputError
from commission_tui.text import counted, quoted

if TYPE_CHECKING:
    from commission_tui.logbook.actions.signature_entry import Consent
    from commission_tui.logbook.job import OpenJob
    from commission_tui.logbook.judging.acceptance_state import Item


@click.command()
@on_job
@click.option("--name", required=True, help="Who decides for the client.")
@click.option("--organisation", default="", help="For whom.")
@click.option(
    "--take",
    "taken",
    multiple=True,
    metavar="'WHICH: OWNER; DATE; WORDS'",
    help="An exception by its number, or all: who puts it right, until when, the client's initials "
    "or words. May be given again; a number counts more than all.",
)
@click.option("--refuse", metavar="REASON", help="Refuse the wall, and why.")
@click.option("--statement", default="Taken as described in this record.", show_default=True)
@json_option
def accept(
    opened: OpenJob,
    name: str,
    organisation: str,
    taken: tuple[str, ...],
    refuse: str | None,
    statement: str,
) -> None:
    """Log the client's decision; without --take it lists what there is to take (see job show)."""
    from commission_tui.logbook.actions.signature_entry import signature_body

    left = opened.acceptance().left
    consents: dict[str, Consent] = {}
    for text in sorted(taken, key=lambda text: not text.lower().startswith("all")):
        items, consent = _consent(text, left)
        consents |= dict.fromkeys((item.key for item in items), consent)
    decision = signature_body(
        opened,
        role="client",
        name=name,
        organisation=organisation or None,
        statement=refuse or statement,
        taken=consents,
        refuses=refuse is not None,
    )
    opened.record(decision)
    stands = opened.acceptance()
    told = f"{stands.state}: {counted(stands.count, 'exception')}"
    answer({"state": str(stands.state), "exceptions": stands.count}, told)


def _consent(text: str, left: tuple[Item, ...]) -> tuple[tuple[Item, ...], Consent]:
    """Read which exceptions are taken, and how."""
    from commission_tui.checks.model.calendar_days import typed_day
    from commission_tui.logbook.actions.signature_entry import Consent

    which, _, rest = text.partition(":")
    parts = [part.strip() for part in rest.split(";", 2)]
    if len(parts) != 3 or not all(parts):
        raise InputError(
            f"--take: found {quoted(text)}, expected such as '3: Our firm; 2026-11-28; M. H.'"
        )
    consent = Consent(parts[0], typed_day(parts[1], "--take"), parts[2])
    word = which.strip().lower()
    if word == "all":
        return left, consent
    if not (word.isascii() and word.isdigit() and 1 <= int(word[:6]) <= len(left)):
        raise InputError(f"--take: found {quoted(which)}, expected 1 to {len(left)}, or all")
    return (left[int(word) - 1],), consent

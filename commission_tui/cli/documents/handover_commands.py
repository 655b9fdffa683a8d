"""The handover: written as a document and in open formats; and taken by the client, or refused."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from commission_tui.cli.options import json_option, on_job
from commission_tui.cli.output import Session, answer, message
from commission_tui.errors import DocumentError, InputError
from commission_tui.handover.progress_steps import FORMATS
from commission_tui.text import counted, quoted

if TYPE_CHECKING:
    from datetime import date

    from commission_tui.logbook.actions.signature_entry import Consent
    from commission_tui.logbook.job import OpenJob
    from commission_tui.logbook.judging.acceptance_state import Item


@click.command()
@click.argument("job")
@click.option(
    *("--format", "formats"),
    type=click.Choice(FORMATS),
    multiple=True,
    default=("pdf",),
    show_default=True,
)
@click.option(
    *("-o", "--output"),
    type=click.Path(file_okay=False, path_type=Path),
    default=Path(),
    help="Folder to write to. Default: here.",
)
@click.option(
    "--without-contacts",
    is_flag=True,
    help="Leave out the people that were written down with phone and mail, also from the record. "
    "The names of those who logged or signed stay: they answer for what they measured.",
)
@json_option
@click.pass_obj
def export(
    session: Session, job: str, formats: tuple[str, ...], output: Path, without_contacts: bool
) -> None:
    """Write the handover document (pdf, or png pictures of its pages) or the record in an open form."""
    from commission_tui.handover.writing import write_files
    from commission_tui.logbook.store.backup import copies_while_running
    from commission_tui.subprocess_job import SubprocessJob

    asked = {
        "database": str(session.path),
        "job": job,
        "by": session.person,
        "formats": formats,
        "without_contacts": without_contacts,
        "folder": str(output.absolute()),
    }
    work = SubprocessJob("commission_tui.handover.export_process:export", asked)
    with copies_while_running(session.path):
        # In a process of its own, which an interrupt ends however deep in typesetting it is.
        files = work.run(lambda step: message(step.says), DocumentError)
        paths = write_files(output, files, session.path)
    names = [str(path) for path in paths]
    answer({"files": names}, *names)


@click.command()
@on_job
@click.option("--name", help="Who decides for the client.")
@click.option("--list", "lists", is_flag=True, help="Only list every exception, by its number.")
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
    name: str | None,
    lists: bool,
    organisation: str,
    taken: tuple[str, ...],
    refuse: str | None,
    statement: str,
) -> None:
    """Log the client's decision on the wall and on each exception; --list says which there are."""
    from commission_tui.logbook.actions.signature_entry import signature_body
    from commission_tui.logbook.state.agreed_checks import unsettled_words

    left = opened.acceptance().left
    if lists:
        _list_exceptions(opened, left)
        return
    if name is None:
        raise InputError("--name: found nothing, expected who decides for the client")
    consents: dict[str, Consent] = {}
    for text in sorted(taken, key=lambda text: not text.lower().startswith("all")):
        items, consent = _consent(text, left, opened.today())
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
    told = [f"{stands.state}: {counted(stands.count, 'exception')}"]
    if refuse is not None:
        told = [f"{stands.state}: {refuse}"]
    past = stands.past(lambda at: opened.state.day(at).isoformat())
    answer(
        {"state": str(stands.state), "exceptions": stands.count, "before": past},
        *told,
        *([past] if past else []),
    )
    if unsettled := unsettled_words(opened.state):
        message(unsettled)


def _list_exceptions(opened: OpenJob, left: tuple[Item, ...]) -> None:
    """Say every exception by the number that --take knows it by, and how it was taken on the punch list."""
    from commission_tui.logbook.actions.signature_entry import exceptions_taken

    rows, lines = [], []
    taken = exceptions_taken(opened)
    for number, item in enumerate(left, start=1):
        by = taken.get(item.key)
        rows.append({"number": number, "what": item.what, "taken": by})
        how = f"  taken: {by.owner}; {by.due}; {by.words}" if by else ""
        lines.append(f"{number:>3}. {item.what}{how}")
    answer(rows, *(lines or ["no exception: everything is as agreed"]))


def _consent(text: str, left: tuple[Item, ...], today: date) -> tuple[tuple[Item, ...], Consent]:
    """Read which exceptions are taken, and how."""
    from commission_tui.logbook.actions.signature_entry import Consent
    from commission_tui.logbook.state.fault_steps import due_day

    which, _, rest = text.partition(":")
    parts = [part.strip() for part in rest.split(";", 2)]
    if len(parts) != 3 or not all(parts):
        raise InputError(
            f"--take: found {quoted(text)}, expected such as '3: Our firm; 2026-11-28; M. H.'"
        )
    consent = Consent(parts[0], due_day(parts[1], today, "--take"), parts[2])
    word = which.strip().lower()
    if word == "all":
        return left, consent
    if not (word.isascii() and word.isdigit() and 1 <= int(word[:6]) <= len(left)):
        raise InputError(f"--take: found {quoted(which)}, expected 1 to {len(left)}, or all")
    return (left[int(word) - 1],), consent

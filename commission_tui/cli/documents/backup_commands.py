"""Keeping what was logged: copies, putting one back, and bringing laptops together."""

from __future__ import annotations

import contextlib
import os
from pathlib import Path
from typing import TYPE_CHECKING

import click

from commission_tui.cli.options import any_file, json_option
from commission_tui.cli.output import Session, answer, emitted, message, new_entries, say
from commission_tui.errors import InputError
from commission_tui.text import counted

if TYPE_CHECKING:
    from commission_tui.logbook.integrity.merge import Source


@click.command()
@click.argument("to", required=False, type=click.Path())
@json_option
@click.pass_obj
def backup(session: Session, to: str | None) -> None:
    """Copy the logbook while it is in use: to a file or folder, or beside it with the rolling copies.

    A name that ends in / is a folder, made when it is not there.

    Copies are also made by themselves, every four hours of use and before every migration.
    """
    from commission_tui.logbook.store import backup as copies
    from commission_tui.logbook.store.ends_left import keep_end

    made = copies.copy_database(session.path, _target(session.path, to))
    keep_end(session.path, str(made.absolute()))
    answer({"copy": str(made), "bytes": made.stat().st_size}, str(made))


def _target(database: Path, to: str | None) -> Path:
    from commission_tui.logbook.store import backup as copies
    from commission_tui.logbook.store.sqlite_errors import as_store_errors

    if to is None:
        return copies.next_name(database)
    folder = to.endswith(("/", os.sep)) or Path(to).is_dir()
    target = Path(to) / copies.next_name(database).name if folder else Path(to)
    if target.exists():
        raise InputError(f"{target}: found a file, expected a name that is free")
    if folder:
        with as_store_errors(target.parent):
            target.parent.mkdir(parents=True, exist_ok=True)
    return target


@click.command()
@click.argument("source", metavar="FROM", type=any_file)
@json_option
@click.pass_obj
def restore(session: Session, source: Path) -> None:
    """Put a copy in the place of the logbook; the logbook that it replaces is kept."""
    from commission_tui.logbook.store import backup as copies

    kept = copies.restore(session.path, source)
    if emitted({"logbook": str(session.path), "replaced": str(kept) if kept else None}):
        return
    message(f"restored {session.path} from {source}")
    if kept:
        say(str(kept))
        message("that is what it replaced")


@click.command()
@click.argument("others", metavar="OTHER...", nargs=-1, required=True, type=any_file)
@json_option
@click.pass_obj
def merge(session: Session, others: tuple[Path, ...]) -> None:
    """Bring other logbooks, documents or records into this logbook; the others are only read."""
    from commission_tui.logbook.integrity.merge import merge as bring_in

    with contextlib.ExitStack() as stack:
        sources = [_source(stack, path) for path in others]
        book = stack.enter_context(session.logbook())
        done = bring_in(book, sources)
    for line in done.told:
        message(line)
    told = f"{new_entries(done.added)}, {done.known} known already, in {counted(done.jobs, 'job')}"
    answer(done, told)


def _source(stack: contextlib.ExitStack, path: Path) -> Source:
    from commission_tui.logbook.integrity.merge import database_source, document_source
    from commission_tui.logbook.store.database_check import is_database

    if is_database(path):
        return stack.enter_context(database_source(path))
    from commission_tui.handover.verify.parse_document import read_back
    from commission_tui.handover.verify.pdf_reading import read_file

    read = read_back(read_file(path), str(path))
    return document_source(str(path), read.entries, read.files)

"""The handover, as a document and in open formats."""

from __future__ import annotations

from pathlib import Path

import click

from commission_tui.cli.options import json_option
from commission_tui.cli.output import Session, answer, message
from commission_tui.errors import DocumentError

FORMATS = (
    *("pdf", "png", "json", "record", "schema", "csv", "html", "xlsx", "dxf"),
    *("client", "sheet", "card", "electrician", "rigger"),
)


@click.command()
@click.argument("job")
@click.option(
    "--format",
    "formats",
    type=click.Choice(FORMATS),
    multiple=True,
    default=("pdf",),
    show_default=True,
)
@click.option(
    "-o",
    "--output",
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
    session: Session,
    job: str,
    formats: tuple[str, ...],
    output: Path,
    without_contacts: bool,
) -> None:
    """Write the handover document (pdf, or png pictures of its pages) or the record in an open form."""
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
        from commission_tui.handover.writing import write_files

        paths = write_files(output, files, session.path)
    names = [str(path) for path in paths]
    answer({"files": names}, *names)

"""The handover, as a document and in open formats."""

from __future__ import annotations

from pathlib import Path

import click

from commission_tui.cli.output import Session, emit, json_option, message, say

FORMATS = (
    *("pdf", "png", "json", "record", "schema", "csv", "html", "xlsx", "dxf"),
    *("sheet", "card"),
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
    as_json: bool,
) -> None:
    """Write the handover document (pdf, or png pictures of its pages) or the record in an open form."""
    from commission_tui.handover import export as write

    with session.job(job) as opened:
        paths = write(opened, output, formats, message, without_contacts=without_contacts)
    if as_json:
        emit({"files": [str(path) for path in paths]})
    else:
        for path in paths:
            say(str(path))

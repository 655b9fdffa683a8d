"""The demo job: opened on the screens, or walked without them."""

from __future__ import annotations

from pathlib import Path

import click

from commission_tui.cli.output import Session, emit, json_option, message, say, terminal


@click.command()
@click.option(
    "--unattended", is_flag=True, help="Walk the job without screens, write the handover."
)
@click.option(
    "-o",
    "--output",
    type=click.Path(file_okay=False, path_type=Path),
    default=Path("exports"),
    show_default=True,
    help="Folder for the handover.",
)
@json_option
@click.pass_obj
def demo(session: Session, unattended: bool, output: Path, as_json: bool) -> None:
    """Make the invented job Fellmoor Town Hall and open it."""
    from commission_tui.demo.walk import make_demo, walk_unattended

    if unattended or not terminal():
        result = walk_unattended(output, on_progress=message)
        if as_json:
            emit({"files": [str(path) for path in result.files], "verdicts": result.verdicts})
        else:
            for path in result.files:
                say(str(path))
        return
    with session.logbook() as book:
        job_id = make_demo(book, on_progress=message)
    session.open_screens(job_id)

"""The demo job: opened on the screens, or walked without them."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from commission_tui.cli.options import json_option
from commission_tui.cli.output import Session, answer, message, terminal

if TYPE_CHECKING:
    from commission_tui.logbook.logbook import Logbook


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
def demo(session: Session, unattended: bool, output: Path) -> None:
    """Make the invented job Fellmoor Town Hall and open it."""
    if unattended or not terminal():
        from commission_tui.demo.demo_walk import walk_unattended

        if session.database is not None:
            message(
                f"{session.database}: left as it is; the demo is walked in a logbook of its own"
            )
        result = walk_unattended(output, on_step=message)
        files = [str(path) for path in result.files]
        answer({"files": files, "verdicts": result.verdicts}, *files)
        return
    from commission_tui.demo.clock import demo_id

    session.open_screens(demo_id(), first=_made)


def _made(book: Logbook) -> None:
    """Make the demo job, unless it is there."""
    from commission_tui.demo.clock import demo_id

    if demo_id() not in {job for job, _ in book.store.jobs()}:
        # Here, not at the top: it brings in the document, which no later start needs.
        from commission_tui.demo.demo_walk import make_demo

        make_demo(book, on_step=message)

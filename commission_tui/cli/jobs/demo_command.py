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
    if unattended or not terminal():
        from commission_tui.demo.demo_walk import walk_unattended

        result = walk_unattended(output, on_progress=message)
        if as_json:
            emit({"files": [str(path) for path in result.files], "verdicts": result.verdicts})
        else:
            for path in result.files:
                say(str(path))
        return
    session.open_screens(_made(session))


def _made(session: Session) -> str:
    """Return the id of the demo job; where it is there already nothing is read to make it."""
    from commission_tui.demo.demo_ids import demo_id
    from commission_tui.logbook.store.splash_cache import facts

    job_id = demo_id()
    if facts(session.path, job_id) is None:
        from commission_tui.demo.demo_walk import make_demo

        with session.logbook() as book:
            make_demo(book, on_progress=message)
    return job_id

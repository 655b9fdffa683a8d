"""Who logs: asked once at the terminal, shown and changed by a command."""

from __future__ import annotations

import click

from commission_tui.cli.output import message, say
from commission_tui.errors import InputError
from commission_tui.screens.host.kept_name import keep_name, kept_name, proper_name

_NOT_KEPT = "The name cannot be kept here; it is asked again next time."


def asked_name() -> str:
    """Ask for the name at the terminal, and keep it for the next time."""
    click.echo("Whose name stands beside what is logged? It is asked once on this computer.")
    click.echo(
        "Later: 'commission-tui name' shows and changes it, i on the screens, --as for once."
    )
    while True:
        try:
            name = proper_name(click.prompt("Your name", prompt_suffix=": "))
            break
        except InputError:
            continue
    if not keep_name(name):
        click.echo(_NOT_KEPT)
    return name


@click.command("name")
@click.argument("new", metavar="[NAME]", required=False)
def name(new: str | None) -> None:
    """Show whose name signs what is logged on this computer, or change it to NAME.

    What was logged before keeps the name that it was logged by.
    """
    if new is not None and not keep_name(proper_name(new)):
        raise InputError(f"name: {_NOT_KEPT[0].lower()}{_NOT_KEPT[1:]}")
    if kept := kept_name():
        say(kept)
    else:
        message("no name is kept yet: it is asked when something is to be logged")

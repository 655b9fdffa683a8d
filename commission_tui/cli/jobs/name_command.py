"""Whose name signs what is logged: shown, changed."""

from __future__ import annotations

import click

from commission_tui.cli.output import message, say
from commission_tui.errors import InputError
from commission_tui.screens.host.kept_name import keep_name, kept_name, proper_name


@click.command("name")
@click.argument("new", metavar="[NAME]", required=False)
def name(new: str | None) -> None:
    """Show whose name signs what is logged on this computer, or change it to NAME.

    What was logged before keeps the name that it was logged by.
    """
    if new is not None and not keep_name(proper_name(new)):
        raise InputError("name: it cannot be kept here; say --as NAME with each command")
    if kept := kept_name():
        say(kept)
    else:
        message("no name is kept yet: it is asked when something is to be logged")

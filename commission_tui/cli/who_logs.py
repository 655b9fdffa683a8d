"""Who logs: asked once at the terminal, and kept."""

from __future__ import annotations

import click

from commission_tui.errors import InputError
from commission_tui.screens.host.kept_name import keep_name, proper_name


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
        click.echo("The name cannot be kept here; it is asked again next time.")
    return name

"""Who logs: asked once at the terminal, and kept."""

from __future__ import annotations

import select
import sys

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
        early = _is_typed_ahead()
        try:
            name = proper_name(click.prompt("Your name", prompt_suffix=": "))
            if not early or click.confirm(f"Typed before it was asked: is {name!r} your name"):
                break
        except InputError as refusal:
            click.echo(f"  {refusal}; again, please")
    if not keep_name(name):
        click.echo("The name cannot be kept here; it is asked again next time.")
    return name


def _is_typed_ahead() -> bool:
    """Whether something was typed before the question was there: it was meant for another one."""
    try:
        return bool(select.select([sys.stdin], [], [], 0)[0])
    except (OSError, ValueError):  # no terminal that can be asked
        return False

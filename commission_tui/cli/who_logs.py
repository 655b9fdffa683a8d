"""The name of the person who logs, asked once and kept for this user of the computer."""

from __future__ import annotations

from pathlib import Path

import click

from commission_tui.errors import CommissionError, InputError
from commission_tui.files import read_text, write_whole
from commission_tui.text import escaped

_LONGEST = 200


def _path() -> Path | None:
    from platformdirs import user_config_path

    try:
        return user_config_path("commission_tui") / "who-logs.txt"
    except RuntimeError:  # no home folder
        return None


def kept_name() -> str:
    """Return the name that was given before, or nothing."""
    path = _path()
    if path is None or not path.is_file():
        return ""
    try:
        return escaped(read_text(path, 4 * _LONGEST, "a name", InputError).strip())[:_LONGEST]
    except CommissionError:
        return ""


def asked_name() -> str:
    """Ask for the name at the terminal, and keep it for the next time."""
    click.echo("Everything that is logged has a name beside it; --as NAME logs as somebody else.")
    name = ""
    while not name:
        name = escaped(click.prompt("Your name", prompt_suffix=": ").strip())[:_LONGEST]
    path = _path()
    if path is not None:
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            write_whole(path, (name + "\n").encode(), InputError)
        except (CommissionError, OSError):
            click.echo("The name cannot be kept here; it is asked again next time.")
    return name

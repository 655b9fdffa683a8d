"""What is answered to a command's questions, kept until all are: a lamp that goes out costs no answer."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path

import click

from commission_tui.cli.output import plain, terminal
from commission_tui.errors import InputError
from commission_tui.files import write_whole


class KeptAnswers:
    """What was typed so far, beside the file that it makes or goes into; only a terminal leaves one."""

    def __init__(self, file: Path) -> None:
        """Keep it under the name of a file with ``.draft`` behind."""
        self._path = file.with_name(file.name + ".draft")
        self._kept = terminal()

    def read(self) -> dict[str, str]:
        """Return what an evening that ended early had typed, by question."""
        if not self._kept:
            return {}
        try:
            found = json.loads(self._path.read_text(encoding="utf-8"))
        except (OSError, ValueError):
            return {}
        if not isinstance(found, dict):
            return {}
        click.echo(
            f"The answers of last time stand in [ ]; they are kept in {plain(str(self._path))}."
        )
        return {key: text for key, text in found.items() if isinstance(text, str)}

    def write(self, typed: Mapping[str, str]) -> None:
        """Keep what was typed so far."""
        if self._kept:
            write_whole(self._path, json.dumps(typed, indent=1).encode(), InputError)

    def remove(self) -> None:
        """Forget it: the file holds the answers now."""
        if self._kept:
            self._path.unlink(missing_ok=True)

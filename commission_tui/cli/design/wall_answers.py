"""What becomes of the answers of `wall new`: refused by name of the question, and kept until the file is."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from pathlib import Path

import click

from commission_tui.cli.design.interview import Refused
from commission_tui.cli.design.wall_questions import about
from commission_tui.cli.output import plain, terminal
from commission_tui.errors import CommissionError, InputError
from commission_tui.files import write_whole


def checked(write: Callable[[], object]) -> None:
    """Try to write the file, and say what stands against it in the words of a question.

    Raises
    ------
    Refused
        When the answers make no wall file.
    """
    try:
        write()
    except CommissionError as error:
        problem = str(error)
        question = about(problem)
        if question is None:
            raise Refused(problem, None) from None
        rest = problem.removeprefix("wall new: ").partition(": ")[2]
        raise Refused(f"{question.words}: {rest}", question.key) from None


class Draft:
    """What was typed so far, beside the file that is to be written; only a terminal leaves one."""

    def __init__(self, file: Path) -> None:
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

"""Types an evening's lines at the program, one line at once, and counts the keys."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path

from tests.cli.helping import typed_at_a_terminal
from tests.screens.host.bursts import KEYS, Player


@dataclass
class Count:
    """Keys that were pressed for one thing."""

    keys: int = 0
    digits: int = 0

    @property
    def besides(self) -> int:
        """Keys besides digits."""
        return self.keys - self.digits

    def add(self, keys: Sequence[str]) -> None:
        self.keys += len(keys)
        self.digits += sum(key.isdecimal() for key in keys)


@dataclass
class Tally:
    """Keys by what they were pressed for, in order."""

    of: dict[str, Count] = field(default_factory=dict)

    def add(self, what: str, keys: Sequence[str]) -> None:
        self.of.setdefault(what, Count()).add(keys)

    @property
    def all(self) -> Count:
        return Count(
            sum(count.keys for count in self.of.values()),
            sum(count.digits for count in self.of.values()),
        )


def answered(tally: Tally, what: str, arguments: Sequence[str], lines: Sequence[str]) -> None:
    """Run a command at a terminal and type every answer at once."""
    keys = [key for line in lines for key in (*line, "\r")]
    tally.add(what, keys)
    typed_at_a_terminal(["--as", "A. Technician", *arguments], "".join(keys))


class Counted(Player):
    """The screens on one job; a line is typed in one write, a word in it is a key by its name."""

    def __init__(self, tally: Tally, book: Path, job: str, **environment: str) -> None:
        super().__init__(book, job, **environment)
        self._tally = tally
        self.doing = ""

    def line(self, *parts: str) -> None:
        """Type names of keys and, each in full, texts; wait until all of it is done."""
        keys = [key for part in parts for key in ([part] if part in KEYS else part)]
        self._tally.add(self.doing, keys)
        self._send(keys)

    def answer(self, *parts: str) -> None:
        """Type at a question that stands; fail when none does."""
        if not self.last["asks"]:
            raise AssertionError(f"nothing is asked after {self.doing}: {self.last}")
        self.line(*parts)

"""What reading a table found: its rows as readings, the rows that are none, and how many of each."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Literal

from commission_tui.logbook.entries.models import ReadingTaken
from commission_tui.text import counted, listed

_FOUND = re.compile(r"(?P<before>.*?found )(?P<found>'.*?')(?P<after>\W.*)?")
_MOST_NAMED = 3


@dataclass(frozen=True, slots=True)
class RowCount:
    """How the rows under the headings divide: each was read, or refused, or has no value."""

    read: int = 0
    refused: int = 0
    empty: int = 0
    partly: int = 0
    """Of those that are read, the ones in which some of the values are blank."""

    @property
    def text(self) -> str:
        of = counted(self.read + self.refused + self.empty, "row")
        partly = f", {self.partly} of them without some values" if self.partly else ""
        return (
            f"{of}: {self.read} read{partly}, {self.refused} refused, {self.empty} without a value"
        )


@dataclass(slots=True)
class TableRows:
    """The rows of a table as readings, and one line for each value that is none."""

    good: list[ReadingTaken]
    bad: list[str]
    odd: list[str] = field(default_factory=list)
    """One line for each good row that needs a second look before it is taken."""
    notes: list[str] = field(default_factory=list)
    """What was done to the table on the way: units converted, formulas read as values."""
    count: RowCount = RowCount()
    told: list[str] = field(default_factory=list)
    """What is wrong with the refused ones, each sentence once, with all lines that it is said of."""
    unclear: bool = False
    """Whether somebody must say which sign begins the decimals."""


def why_withheld(
    rows: TableRows, *, skip_bad: bool, confirm: bool
) -> Literal["nothing", "refused", "odd"] | None:
    """Say what keeps a table from being logged: rows refused and not left out, odd and not confirmed."""
    if rows.bad and not skip_bad:
        return "refused"
    if rows.odd and not confirm:
        return "odd"
    return None if rows.good else "nothing"


def told_once(unit: str, bad: Sequence[tuple[int, str]]) -> list[str]:
    """Say each sentence once, however many lines or rows it holds for."""
    alike: dict[tuple[str, str], list[tuple[int, str]]] = {}
    for where, why in bad:
        parts = _FOUND.fullmatch(why)
        key = (parts["before"], parts["after"] or "") if parts else (why, "")
        alike.setdefault(key, []).append((where, parts["found"] if parts else ""))
    lines = []
    for (before, after), told in alike.items():
        at = list(dict.fromkeys(str(where) for where, _ in told))
        named = listed(at, _MOST_NAMED * 2) if len(at) > 1 else at[0]
        found = listed(list(dict.fromkeys(what for _, what in told)), _MOST_NAMED)
        lines.append(f"{unit if len(at) == 1 else f'{unit}s'} {named}: {before}{found}{after}")
    return lines

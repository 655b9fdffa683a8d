"""A terminal as far as our screens need one: which character with which colours stands on each cell."""

from __future__ import annotations

import re

_TOKEN = re.compile(r"\x1b\[([0-9;?<>=$]*)([a-zA-Z])|\x1b\][^\x07]*\x07|([\s\S])")


class Emulated:
    """Takes what a program writes; remembers every cell that was painted otherwise than before."""

    def __init__(self) -> None:
        self.cells: dict[tuple[int, int], tuple[str, str]] = {}
        self.changed: set[tuple[int, int]] = set()
        self.emptied = 0
        self._row = self._column = 1
        self._style = ""

    def take(self, written: str) -> None:
        for token in _TOKEN.finditer(written):
            numbers, last, char = token.groups()
            if last == "H":
                row, _, column = numbers.partition(";")
                self._row, self._column = int(row or 1), int(column or 1)
            elif last == "m":
                self._style = "" if numbers in {"", "0"} else self._style + f"[{numbers}]"
            elif last == "J" or (last == "h" and numbers == "?1049"):
                self.emptied += 1
                self.cells.clear()
            elif char == "\n":
                self._row += 1
            elif char is not None and char >= " ":
                self._put(char)

    def _put(self, char: str) -> None:
        at, now = (self._row, self._column), (char, self._style)
        if self.cells.get(at, now) != now:
            self.changed.add(at)
        self.cells[at] = now
        self._column += 1

    @property
    def text(self) -> str:
        rows = max((row for row, _ in self.cells), default=0)
        width = max((column for _, column in self.cells), default=0)
        lines = (
            "".join(self.cells.get((row, column), (" ", ""))[0] for column in range(1, width + 1))
            for row in range(1, rows + 1)
        )
        return "\n".join(line.rstrip() for line in lines)

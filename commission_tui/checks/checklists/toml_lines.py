"""On which line of a TOML file a key stands, which its reader does not say."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from functools import cached_property

Where = tuple[int | str, ...]
_HEADER = re.compile(r"\s*\[\[\s*([\w.-]+)\s*\]\]")


class TomlLines:
    """Where the keys of one text stand; the text is gone through once, however often is asked."""

    def __init__(self, text: str) -> None:
        self._text = text

    @cached_property
    def _first(self) -> dict[Where, int]:
        """Each table and key to the line on which it first stands."""
        first: dict[Where, int] = {}
        if not any(quotes in self._text for quotes in ('"""', "'''")):
            for number, where in enumerate(_keys(self._text), start=1):
                first.setdefault(where, number)
        return first

    def line_of(self, at: Sequence[int | str]) -> int | None:
        """Return the line of a key, or of the table in which it is missing.

        `at` counts from 0, such as ``("checks", 0, "limits", 2, "label")``. None where no table of
        arrays holds it, and in a text with strings of several lines.
        """
        outwards = (tuple(at[:length]) for length in range(len(at), 0, -1))
        return next((self._first[where] for where in outwards if where in self._first), None)


def _keys(text: str) -> Iterator[Where]:
    """Yield for each line the table or the key that begins on it, else nothing."""
    counts: dict[Where, int] = {}
    table: Where = ()
    for line in text.split("\n"):
        if header := _HEADER.match(line):
            table = _table(header[1], counts)
            yield table
        else:
            key, equals, _ = line.partition("=")
            yield (*table, key.strip()) if equals else ()


def _table(name: str, counts: dict[Where, int]) -> Where:
    """Return where an array's next table stands, and count it."""
    *outer, last = name.split(".")
    here: Where = ()
    for part in outer:
        here = (*here, part)
        here = (*here, counts.get(here, 1) - 1)
    here = (*here, last)
    counts[here] = counts.get(here, 0) + 1
    return (*here, counts[here] - 1)

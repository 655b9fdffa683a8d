"""On which line of a TOML file a key stands, which its reader does not say."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

Where = tuple[int | str, ...]
_HEADER = re.compile(r"\s*\[\[\s*([\w.-]+)\s*\]\]")


def line_of(text: str, at: Sequence[int | str]) -> int | None:
    """Return the line of a key, or of the table in which it is missing.

    `at` counts from 0, such as ``("checks", 0, "limits", 2, "label")``. None where no table of
    arrays holds it, and in a text with strings of several lines.
    """
    if any(quotes in text for quotes in ('"""', "'''")):
        return None
    best, found = 0, None
    for number, where in enumerate(_keys(text), start=1):
        if len(where) > best and tuple(at[: len(where)]) == where:
            best, found = len(where), number
    return found


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

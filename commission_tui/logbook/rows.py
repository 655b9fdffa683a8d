"""Entries as rows of the database, and rows read back into entries, many at a time."""

from __future__ import annotations

import json
from collections.abc import Iterable
from itertools import islice
from pathlib import Path

from pydantic import TypeAdapter, ValidationError

from commission_tui.errors import StoreError
from commission_tui.logbook.entries import ENTRY, Entry

TEXT_BEFORE_CHAIN = (
    """'{"id":"' || id || '","job":"' || job || '","at":"' || at || '","by":' || json_quote(by)"""
    """ || ',"body":' || body || '}'"""
)
TEXT = TEXT_BEFORE_CHAIN.replace(
    """ || ',"body":'""",
    """ || iif(previous IS NULL, '', ',"previous":"' || previous || '"')"""
    """ || iif(joins IS NULL, '', ',"joins":' || joins) || ',"body":'""",
)
"""An entry as JSON, in SQL: SQLite puts a hundred thousand together faster than Python does."""
_ENTRIES: TypeAdapter[list[Entry]] = TypeAdapter(list[Entry])


def row_of(entry: Entry, digest: str) -> dict[str, str | None]:
    """Return an entry as the row of it."""
    return {
        "id": entry.id,
        "job": entry.job,
        "at": entry.at,
        "by": entry.by,
        "kind": entry.body.kind,
        "previous": entry.previous,
        "joins": None if entry.joins is None else json.dumps(entry.joins),
        "digest": digest,
        "body": entry.body.model_dump_json(),
    }


def read_all(path: Path, texts: Iterable[tuple[str]]) -> list[Entry]:
    """Return entries, validated in one go, from rows that hold the `TEXT` of each.

    Raises
    ------
    StoreError
        Names the first row that is no sound entry.
    """
    found: list[Entry] = []
    rows = iter(texts)
    while some := [str(text) for (text,) in islice(rows, _AT_ONCE)]:
        try:
            read = _ENTRIES.validate_json(f"[{','.join(some)}]")
        except ValidationError:
            raise _first_damaged(path, some) from None
        for entry in read:
            _slim(entry)
        found += read
    return found


_AT_ONCE = 500
"""Rows validated together: many, since each call costs; not all, since their texts are kept twice."""
_given: dict[type, set[str]] = {}


def _slim(entry: Entry) -> None:
    """Let entries that were given the same fields share the set that says so.

    It is the larger part of what an entry holds in memory, and nobody changes it.
    """
    for part in (entry, entry.body):
        fields = part.__pydantic_fields_set__
        if fields == _given.get(part.__class__):
            object.__setattr__(part, "__pydantic_fields_set__", _given[part.__class__])
        else:
            _given[part.__class__] = fields


def _first_damaged(path: Path, listed: Iterable[str]) -> StoreError:
    for text in listed:
        try:
            ENTRY.validate_json(text)
        except ValidationError as error:
            first = error.errors(include_url=False)[0]
            return StoreError(
                f"{path}: entry {text[7:43]} is damaged: {first['msg'][:200]}; restore a backup"
            )
    return StoreError(f"{path}: damaged; restore a backup")

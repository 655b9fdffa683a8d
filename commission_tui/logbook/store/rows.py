"""Entries as rows of the database, and rows read back into entries, many at a time."""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from itertools import islice
from pathlib import Path

from pydantic import TypeAdapter, ValidationError

from commission_tui.errors import StoreError
from commission_tui.logbook.entries.models import BODY, ENTRY, Entry

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
_AT_ONCE = 256
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
        "body": BODY.dump_json(entry.body).decode(),
    }


def read_all(path: Path, texts: Iterable[tuple[str]]) -> list[Entry]:
    """Return entries from rows that hold the `TEXT` of each; many are validated in one go.

    Raises
    ------
    StoreError
        Names the first row that is no sound entry.
    """
    rows = iter(texts)
    found: list[Entry] = []
    while some := [str(text) for (text,) in islice(rows, _AT_ONCE)]:
        found += _validated(path, some)
    return found


def _validated(path: Path, texts: Sequence[str]) -> list[Entry]:
    try:
        return _ENTRIES.validate_json(f"[{','.join(texts)}]")
    except ValidationError:
        raise _first_damaged(path, texts) from None


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

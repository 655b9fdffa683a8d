"""Entries as rows of the database, and rows read back into entries, many at a time."""

from __future__ import annotations

import json
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from pydantic import TypeAdapter, ValidationError

from commission_tui.errors import StoreError
from commission_tui.logbook.entries import ENTRY, Entry
from commission_tui.logbook.quiet import no_collecting

COLUMNS = "id, job, at, by, previous, joins, body"
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


def read_all(path: Path, rows: Iterable[tuple[Any, ...]]) -> list[Entry]:
    """Return rows of `COLUMNS` as entries, validated in one go.

    Raises
    ------
    StoreError
        Names the first row that is no sound entry.
    """
    texts = [text_of(*row) for row in rows]
    try:
        with no_collecting():
            return _ENTRIES.validate_json(f"[{','.join(texts)}]")
    except ValidationError:
        pass
    for text in texts:
        try:
            ENTRY.validate_json(text)
        except ValidationError as error:
            first = error.errors(include_url=False)[0]
            raise StoreError(
                f"{path}: entry {text[7:43]} is damaged: {first['msg'][:200]}; restore a backup"
            ) from None
    raise StoreError(f"{path}: damaged; restore a backup")


def text_of(
    entry_id: str, job: str, at: str, by: str, previous: str | None, joins: str | None, body: str
) -> str:
    named = "" if previous is None else f'"previous":"{previous}",'
    also = "" if joins is None else f'"joins":{joins},'
    return (
        f'{{"id":"{entry_id}","job":"{job}","at":"{at}","by":{json.dumps(str(by))},'
        f'{named}{also}"body":{body}}}'
    )

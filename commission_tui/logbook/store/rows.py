"""Entries as rows of the database, and rows read back into entries, many at a time."""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterable, Sequence
from itertools import islice
from pathlib import Path
from typing import Any

from pydantic import TypeAdapter, ValidationError

from commission_tui.errors import StoreError
from commission_tui.logbook.entries.chain import without_none
from commission_tui.logbook.entries.entry_factory import refusal
from commission_tui.logbook.entries.models import ENTRY, Entry

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
_BODY = ',"body":'
# One encoder for all: `json.dumps` makes one for each text (`tests/benchmarks/bench_scale`).
_quoted: Callable[[str], str] = json.JSONEncoder(ensure_ascii=False).encode
_QUOTED = re.compile(r'"(?:[^"\\]|\\.)*"', re.DOTALL)
_NEEDLESS = re.compile(r"\\(?:/|u(?!00[01]))")
"""An escape that nothing asks for: another spelling of the same text."""


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
        "body": _body_text(entry),
    }


def _body_text(entry: Entry) -> str:
    return ENTRY.dump_json(entry, include={"body"}).decode()[len('{"body":') : -1]


def entries_from_rows(path: Path, texts: Iterable[tuple[str]]) -> list[Entry]:
    """Return entries from rows that hold the `TEXT` of each; many are validated in one go.

    Raises
    ------
    StoreError
        Names the first row that is no sound entry.
    """
    rows = iter(texts)
    found: list[Entry] = []
    last = ""
    while some := [str(text) for (text,) in islice(rows, _AT_ONCE)]:
        for entry in _validated(path, some):
            if entry.id <= last:  # pages that name each other have the same rows without an end
                raise StoreError(f"{path}: damaged: entry {entry.id} twice; restore a backup")
            last = entry.id
            found.append(entry)
    return found


def _validated(path: Path, texts: Sequence[str]) -> list[Entry]:
    try:
        found = _ENTRIES.validate_json(f"[{','.join(texts)}]")
    except ValidationError:
        raise _first_damaged(path, texts) from None
    if not _all_as_written(texts, found):
        for text, entry in zip(texts, found, strict=True):
            if oddity := odd_text(text, entry):
                raise StoreError(f"{path}: entry {entry.id} is damaged: {oddity}; restore a backup")
    return found


def _all_as_written(texts: Sequence[str], entries: list[Entry]) -> bool:
    """Whether rows are the very text that their entries are written as, many at once."""
    parts = [text.partition(_BODY) for text in texts]
    bodies = ",".join(f'{{"body":{body}' for _, _, body in parts)
    written = _ENTRIES.dump_json(entries, include={"__all__": {"body"}})
    heads = all(head == _head(entry) for (head, _, _), entry in zip(parts, entries, strict=True))
    return heads and f"[{bodies}]".encode("utf-8", "surrogatepass") == written


def _head(entry: Entry) -> str:
    previous = "" if entry.previous is None else f',"previous":"{entry.previous}"'
    joins = "" if entry.joins is None else f',"joins":{json.dumps(entry.joins)}'
    by = _quoted(entry.by)
    return f'{{"id":"{entry.id}","job":"{entry.job}","at":"{entry.at}","by":{by}{previous}{joins}'


def odd_text(text: str, entry: Entry) -> str:
    """Say why a row's text is not one that an entry is written as; nothing when it is.

    What reads a row in SQL takes its text as it stands: it must say one thing only, in one spelling. A
    key without a value may be left out, as an older version did that did not know the key.
    """
    head, _, body = text.partition(_BODY)
    if head != _head(entry):
        return "who, when or what it names is not written as this program writes it"
    written = _body_text(entry)
    if body == f"{written}}}":  # the very text: nothing more to look for
        return ""
    try:
        values = json.loads(body[:-1], object_pairs_hook=each_key_once)
    except ValueError as error:
        return str(error)
    if without_none(values) != without_none(json.loads(written)):
        return "its text is read otherwise than it is written"
    if re.search(r"\s", _QUOTED.sub("", body)) or _NEEDLESS.search(body.replace("\\\\", "")):
        return "its text is spelled otherwise than this program writes it"
    return ""


class SaidTwiceError(ValueError):
    """One key of an object comes twice: one reader takes the first, another one the last."""


def each_key_once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    """Make a dictionary of JSON as it is read; raise SaidTwiceError when a key comes twice."""
    found = dict(pairs)
    if len(found) < len(pairs):
        names = [key for key, _ in pairs]
        twice = next(key for key in names if names.count(key) > 1)
        raise SaidTwiceError(f"it says {twice[:40]!r} twice")
    return found


def _first_damaged(path: Path, listed: Iterable[str]) -> StoreError:
    for text in listed:
        try:
            ENTRY.validate_json(text)
        except ValidationError as error:
            what = refusal(error, Entry)
            return StoreError(f"{path}: entry {text[7:43]} is damaged: {what}; restore a backup")
    return StoreError(f"{path}: damaged; restore a backup")

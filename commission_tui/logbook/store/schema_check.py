"""The schema as a database has it, held against the one that this program makes, word by word.

A trigger more, a view that says another value, a constraint less: each changes what is read or written,
and none of it is seen in a row.
"""

from __future__ import annotations

import hashlib
import json
import sqlite3
from collections.abc import Iterator, Mapping, Set

from commission_tui.logbook.store.schema_version import ORDER
from commission_tui.text import quoted

SHIPPED: Mapping[str, str] = {
    "m001_entries": "4061fde20fd83b9db7a57149b1aeb2172bbc2feaca8bd4f21ad532050137004f",
    "m002_views": "ecbe29fac4371ef081c17f67d0a4986fd74aa782d0b83a6d0df5d01bdb0b04cf",
    "m003_no_replacing": "4659150a6ec8c31f33b0c5a770a8280f8b4122d61a5c860bdda0184be7fb930b",
    "m004_chain": "ca60e6d67312ed08bd928ca06bb9811bf33f486f3cb4d60d1b7f97f763091cb2",
    "m005_ends_seen": "c4d5a406439006c92a17999ef11994d7b072824dd5805e2d928d8e7daa41c606",
    "m006_views_of_many": "b2f9cdf2babd3df129953d338ce1907d415a604432829aafa6977b51b1c56317",
}
"""Of each migration, the SHA-256 of the schema that it leaves."""
_DECIDING = frozenset({"table", "trigger"})
"""What decides what is read and written; a view or an index more takes nothing away."""
_USED_VIEW = "standing"
_LISTED = """
SELECT type, name, sql FROM sqlite_master
WHERE sql IS NOT NULL AND tbl_name <> '_sqlite_migrations' AND name NOT LIKE 'sqlite\\_stat%' ESCAPE '\\'
ORDER BY type, name
"""

Schema = Mapping[tuple[str, str], str]
"""Type and name to the words that made it."""


class Oddity:
    """One thing that is not as it was made, and whether it decides what is read or written."""

    __slots__ = ("deciding", "words")

    def __init__(self, words: str, *, deciding: bool) -> None:
        self.words = words
        self.deciding = deciding


def oddities(connection: sqlite3.Connection, applied: Set[str]) -> list[Oddity]:
    """Name what a database's schema has otherwise than the migrations that it says it applied leave it."""
    last = ORDER[len(applied) - 1] if applied else ""
    if set(ORDER[: len(applied)]) != set(applied):
        missing = next(name for name in ORDER if name not in applied)
        return [Oddity(f"its list of migrations lacks {missing}", deciding=True)]
    found = schema_of(connection)
    if schema_digest(found) == SHIPPED.get(last):
        return []
    return [*_differences(found, schema_made_by(last))]


def schema_of(connection: sqlite3.Connection) -> Schema:
    return {(kind, name): sql for kind, name, sql in connection.execute(_LISTED)}


def schema_digest(schema: Schema) -> str:
    """Return the SHA-256 of a schema, whatever the order of its parts."""
    listed = sorted([kind, name, sql] for (kind, name), sql in schema.items())
    return hashlib.sha256(json.dumps(listed).encode("utf-8", "surrogatepass")).hexdigest()


def schema_made_by(last: str) -> Schema:
    """Return the schema that the migrations up to one leave."""
    # Here, not at the top: only a schema that is not as it should be needs it.
    from sqlite_utils import Database

    from commission_tui.logbook.store.schema import MIGRATIONS

    after = [*ORDER, None][ORDER.index(last) + 1]
    made = Database(memory=True)
    MIGRATIONS.apply(made, stop_before=after)
    try:
        return schema_of(made.conn)
    finally:
        made.close()


def _differences(found: Schema, wanted: Schema) -> Iterator[Oddity]:
    for key in sorted({*found, *wanted}):
        kind, name = key
        if found.get(key) == wanted.get(key):
            continue
        deciding = kind in _DECIDING or name == _USED_VIEW
        what = f"{kind} {quoted(name, 60)}"
        if key not in wanted:
            yield Oddity(f"{what} is not of this program", deciding=deciding)
        elif key not in found:
            # A trigger that is gone lets rows be changed; what is there is still read as it is.
            yield Oddity(f"{what} was taken out", deciding=deciding and kind != "trigger")
        else:
            yield Oddity(f"{what} is not as this program makes it", deciding=deciding)

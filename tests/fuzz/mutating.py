"""Damage done to a sound file: blind, byte by byte, and knowing, inside of what packs or quotes."""

from __future__ import annotations

import contextlib
import io
import json
import re
import sqlite3
import tomllib
import zipfile
import zlib
from collections.abc import Callable, Sequence
from random import Random
from typing import Any

from commission_tui.logbook.entries.chain import canonical_json

NASTY = (
    *("", "\x00", "\x1b[2J\x1b]0;owned\x07", "\x9b31m", "\u202egnp.exe", "\u2028", "\ud800"),
    *("\\ud800", "../../../../tmp/escaped", "/etc/passwd", "C:\\..\\x", "=cmd|' /C calc'!A0"),
    *("{{7*7}}", "#panic()", "<script>", "%s%n", "' OR 1=1 --", "R99999999C99999999", "R1C1" * 99),
    *("1e308", "-1e309", "nan", "inf", "9" * 5000, "-0", "0x7fffffffffffffff", "1_0", "½", "١٢"),
    *(
        "[" * 3000,
        "{" * 3000,
        "a" * 70_000,
        "é\u0301" * 500,
        ",",
        ";",
        "\t",
        '"',
        "'''",
        "\r",
        "\n",
    ),
)
NUMBERS = (0, -1, 1, 2**31, 2**63, 2**64, -(2**63), 10**30, 1e308, -1e-308, 0.1, True, None)
_TOKEN = re.compile(rb'"[^"\n]*"|[-+]?\d[\d_.eE]*|\w+')
_STREAM = re.compile(rb"(stream\r?\n)(.*?)(\r?\nendstream)", re.DOTALL)
_MOST = 4_000_000


def mutated(rng: Random, seeds: Sequence[bytes]) -> bytes:
    """Return a file that was sound once; now and then one with the damage inside a packing."""
    content = rng.choice(seeds)
    for _ in range(rng.choice((1, 1, 1, 2, 3, 6))):
        with contextlib.suppress(RecursionError):  # nested by an earlier turn
            content = rng.choice(_known_ways(content))(rng, content, seeds)[:_MOST]
    return content


Way = Callable[[Random, bytes, Sequence[bytes]], bytes]


def _known_ways(content: bytes) -> Sequence[Way]:
    if content.startswith(b"PK"):
        return (*_BLIND, _in_zip, _in_zip, _in_zip, _in_zip, _in_zip, _in_zip)
    if content.startswith(b"%PDF"):
        return (*_BLIND, *([_in_stream] * 6), *([_token] * 4))
    if content.startswith(b"\x89PNG"):
        return (*_BLIND, *([_in_png] * 6))
    if content.startswith(b'{"entries"'):
        return (*_BLIND, *([_in_record] * 10))
    if content.startswith(b"SQLite format 3"):
        return (*_BLIND, *([_in_database] * 10))
    if content[:1] in b"{[":
        return (*_BLIND, *([_in_json] * 6))
    if b" = " in content:
        return (*_BLIND, *([_token] * 6), *([_in_toml] * 6))
    return (*_BLIND, *([_token] * 6))


def _flip(rng: Random, content: bytes, _: Sequence[bytes]) -> bytes:
    made = bytearray(content)
    for _n in range(rng.choice((1, 2, 8)) if made else 0):
        made[rng.randrange(len(made))] = rng.choice((rng.randrange(256), 0, 255, 0x1B, 0x22))
    return bytes(made)


def _span(rng: Random, content: bytes, longest: int = 2000) -> tuple[int, int]:
    start = rng.randrange(len(content) + 1)
    return start, min(len(content), start + rng.choice((1, 4, 40, rng.randrange(1, longest))))


def _cut(rng: Random, content: bytes, _: Sequence[bytes]) -> bytes:
    start, end = _span(rng, content)
    return content[:start] + (content[end:] if rng.random() < 0.7 else b"")


def _insert(rng: Random, content: bytes, _: Sequence[bytes]) -> bytes:
    at, _end = _span(rng, content)
    return content[:at] + _nasty(rng) + content[at:]


def _repeat(rng: Random, content: bytes, _: Sequence[bytes]) -> bytes:
    start, end = _span(rng, content, 400)
    times = rng.choice((2, 10, 1000, 20_000))
    return (
        content[:start]
        + content[start:end] * min(times, 400_000 // (end - start + 1) + 2)
        + (content[end:])
    )


def _swap(rng: Random, content: bytes, _: Sequence[bytes]) -> bytes:
    a, b, c, d = sorted(rng.randrange(len(content) + 1) for _ in range(4))
    return content[:a] + content[c:d] + content[b:c] + content[a:b] + content[d:]


def _splice(rng: Random, content: bytes, seeds: Sequence[bytes]) -> bytes:
    other = rng.choice(seeds)
    return content[: rng.randrange(len(content) + 1)] + other[rng.randrange(len(other) + 1) :]


def _token(rng: Random, content: bytes, _: Sequence[bytes]) -> bytes:
    """Put something else in the place of a word, a number or what stands between quotes."""
    found = [m.span() for m in _TOKEN.finditer(content[:200_000])]
    if not found:
        return content
    start, end = rng.choice(found)
    new = _nasty(rng)
    if content[start : start + 1] == b'"' and rng.random() < 0.7:
        new = json.dumps(rng.choice(NASTY), ensure_ascii=rng.random() < 0.5).encode(
            "utf-8", "surrogatepass"
        )
    return content[:start] + new + content[end:]


def _columns(rng: Random, content: bytes, _: Sequence[bytes]) -> bytes:
    """Make one line very wide, or the whole very long."""
    lines = content.split(b"\n")
    at = rng.randrange(len(lines))
    if rng.random() < 0.5:
        lines[at] += rng.choice((b",", b";", b",x", b'""')) * rng.choice((10, 5000, 1_000_000))
    else:
        lines[at:at] = [lines[at]] * min(100_000, 2_000_000 // (len(lines[at]) + 1))
    return b"\n".join(lines)


_BLIND: tuple[Way, ...] = (_flip, _cut, _insert, _repeat, _swap, _splice, _columns)


def _nasty(rng: Random) -> bytes:
    if rng.random() < 0.3:
        return json.dumps(rng.choice(NUMBERS)).encode()
    return rng.choice(NASTY).encode("utf-8", "surrogatepass")


def _in_zip(rng: Random, content: bytes, seeds: Sequence[bytes]) -> bytes:
    """Damage one part of an archive and pack it again, or give it a name that leads elsewhere."""
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as before:
            parts = {name: before.read(name) for name in before.namelist()}
    except Exception:
        return _flip(rng, content, seeds)
    name = rng.choice([*parts])
    if rng.random() < 0.1:
        parts[rng.choice(("../../escaped", "/tmp/escaped", "x" * 60_000, "\x1b[2J"))] = b"x"  # noqa: S108
    elif rng.random() < 0.05:
        parts["xl/zeros.bin"] = bytes(rng.choice((10_000_000, 70_000_000)))
    else:
        parts[name] = rng.choice((*_BLIND, _token, _token))(rng, parts[name], [*parts.values()])
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as after:
        for key, part in parts.items():
            after.writestr(key, part)
    return out.getvalue()


def _in_stream(rng: Random, content: bytes, seeds: Sequence[bytes]) -> bytes:
    """Damage what a stream of a PDF unpacks to and pack it again, without mending the lengths."""
    found = list(_STREAM.finditer(content))
    if not found:
        return _flip(rng, content, seeds)
    chosen = rng.choice(found)
    try:
        inside = zlib.decompress(chosen[2])
    except zlib.error:
        inside = chosen[2]
    way = rng.choice((*_BLIND, _token, _token, _bomb))
    packed = zlib.compress(way(rng, inside, [inside])[: 32 * _MOST])
    if rng.random() < 0.5:  # of the same length, where it can be: the table of places still fits
        packed = packed[: len(chosen[2])].ljust(len(chosen[2]), b"\0")
    return content[: chosen.start(2)] + packed + content[chosen.end(2) :]


def _bomb(_rng: Random, _content: bytes, _seeds: Sequence[bytes]) -> bytes:
    return bytes(32 * _MOST)


def _in_png(rng: Random, content: bytes, seeds: Sequence[bytes]) -> bytes:
    """Change a chunk of a PNG and give it the sum that fits."""
    at, chunks = 8, []
    while at + 12 <= len(content):
        size = int.from_bytes(content[at : at + 4], "big")
        chunks.append((content[at + 4 : at + 8], content[at + 8 : at + 8 + size]))
        at += 12 + size
    if not chunks:
        return content
    number = rng.randrange(len(chunks))
    kind, inside = chunks[number]
    if kind == b"IHDR" and rng.random() < 0.5:
        wide = rng.choice((0, 1, 2**31 - 1, 14_000, 100_000))
        inside = wide.to_bytes(4, "big") * 2 + inside[8:]
    else:
        way = rng.choice((_flip, _cut, _insert, _repeat))
        inside = way(rng, inside, seeds)
    if rng.random() < 0.2:
        kind = rng.choice((b"zTXt", b"iCCP", b"eXIf", b"iTXt", b"acTL", b"PLTE", b"tRNS"))
        inside = rng.choice((inside, b"k\0\0" + zlib.compress(bytes(50_000_000))))
    chunks[number] = (kind, inside)
    return content[:8] + b"".join(_chunk(*chunk) for chunk in chunks)


def _chunk(kind: bytes, inside: bytes) -> bytes:
    sum_ = zlib.crc32(kind + inside).to_bytes(4, "big")
    return len(inside).to_bytes(4, "big") + kind + inside + sum_


def _in_json(rng: Random, content: bytes, seeds: Sequence[bytes]) -> bytes:
    """Put something else in the place of one value, however deep."""
    try:
        tree = json.loads(content)
    except (ValueError, RecursionError):
        return _flip(rng, content, seeds)
    return json.dumps(_replaced(rng, tree)).encode()


def _replaced(rng: Random, tree: Any) -> Any:
    keys: list[Any] = []
    if isinstance(tree, dict):
        keys = list(tree)
    elif isinstance(tree, list):
        keys = list(range(len(tree)))
    if not keys or rng.random() < 0.1:
        return rng.choice((*NASTY, *NUMBERS, [], {}, [tree, tree], {"kind": tree}))
    key = rng.choice(keys)
    if rng.random() < 0.1:
        del tree[key]
    else:
        tree[key] = _replaced(rng, tree[key])
    return tree


def _in_record(rng: Random, content: bytes, seeds: Sequence[bytes]) -> bytes:
    """Change one entry of a record and leave its form canonical, as whoever knows it would."""
    lines = content.split(b"\n")
    at = rng.randrange(1, max(2, len(lines) - 2))
    try:
        entry = _replaced(rng, json.loads(lines[at].rstrip(b",")))
        new = canonical_json(entry).encode("utf-8", "surrogatepass")
    except (ValueError, IndexError, RecursionError):
        return _flip(rng, content, seeds)
    lines[at] = new + (b"," if lines[at].endswith(b",") else b"")
    return b"\n".join(lines)


def _in_toml(rng: Random, content: bytes, seeds: Sequence[bytes]) -> bytes:
    """Put something else in the place of one value of a table, however deep."""
    try:
        tree = tomllib.loads(content.decode())
    except (ValueError, RecursionError):
        return _flip(rng, content, seeds)
    for _n in range(20):  # not the whole of it at once
        made = _replaced(rng, tree)
        if made is tree:
            break
    lines = (f"{json.dumps(key)} = {_toml(value)}" for key, value in tree.items())
    return "\n".join(lines).encode("utf-8", "surrogatepass")


def _toml(value: Any) -> str:
    if isinstance(value, dict):
        return "{" + ", ".join(f"{json.dumps(k)} = {_toml(v)}" for k, v in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(_toml(item) for item in value) + "]"
    return json.dumps(str(value) if value is None or hasattr(value, "isoformat") else value)


def _in_database(rng: Random, content: bytes, seeds: Sequence[bytes]) -> bytes:
    """Change a value, take rows out or change the tables themselves, as any SQL tool can."""
    with contextlib.closing(sqlite3.connect(":memory:")) as connection:
        try:
            connection.deserialize(_without_log(content))
            _altered(rng, connection)
            connection.commit()
            return connection.serialize()
        except (sqlite3.Error, OverflowError, UnicodeError):
            return _flip(rng, content, seeds)


def _without_log(content: bytes) -> bytes:
    """Mark a database as one that keeps no write-ahead log, which one in memory cannot have."""
    return content[:18] + b"\x01\x01" + content[20:]


def _altered(rng: Random, connection: sqlite3.Connection) -> None:
    rows = connection.execute("SELECT type, name FROM sqlite_master WHERE sql IS NOT NULL")
    listed = rows.fetchall()
    for kind, name in listed:
        if kind == "trigger":
            connection.execute(f'DROP TRIGGER "{name}"')
    table = rng.choice([name for kind, name in listed if kind == "table"])
    column = rng.choice(connection.execute(f'PRAGMA table_info("{table}")').fetchall())[1]
    chosen = f'rowid IN (SELECT rowid FROM "{table}" LIMIT 1 OFFSET {rng.randrange(9)})'  # noqa: S608
    how = rng.randrange(5)
    if how == 0:
        connection.execute(f'DELETE FROM "{table}" WHERE {chosen}')  # noqa: S608
    elif how == 1:
        change = rng.choice((f'DROP TABLE "{table}"', f'ALTER TABLE "{table}" RENAME TO gone'))
        connection.execute(change)
    elif how == 2 and column == "body":
        _nested(rng, connection, table, chosen)
    else:
        value = rng.choice((*NASTY, *NUMBERS, '{"kind":1}', "[1]", "{}"))
        change = f'UPDATE OR REPLACE "{table}" SET "{column}" = ? WHERE {chosen}'  # noqa: S608
        connection.execute(change, (value,))


def _nested(rng: Random, connection: sqlite3.Connection, table: str, chosen: str) -> None:
    """Change one value inside of an entry."""
    row = connection.execute(f'SELECT rowid, body FROM "{table}" WHERE {chosen}').fetchone()  # noqa: S608
    body = json.dumps(_replaced(rng, json.loads(row[1])))
    connection.execute(f'UPDATE "{table}" SET body = ? WHERE rowid = ?', (body, row[0]))  # noqa: S608

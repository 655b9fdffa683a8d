"""Invented pictures of the demo's wall, drawn by rectangles; the same bytes on every machine.

A PNG is written by hand, its rows stored and not packed: a packer's output differs from version to
version, and the hash of a photo is part of the record.
"""

from __future__ import annotations

import struct
import zlib
from collections.abc import Callable

_WIDTH, _HEIGHT = 480, 270
_STORED_MOST = 65_535
_LEFT, _TOP, _CELL = 84, 38, 26
_COLUMNS, _ROWS = 12, 6
_DARK, _FLOOR, _WHITE, _SEAM, _BLACK = 2, 4, 14, 12, 0


class _Picture:
    def __init__(self) -> None:
        self.rows = [bytearray([_DARK] * _WIDTH) for _ in range(_HEIGHT)]

    def box(self, x: int, y: int, width: int, height: int, grey: int) -> None:
        for row in self.rows[max(y, 0) : y + height]:
            row[x : x + width] = bytes([grey]) * len(row[x : x + width])

    def cabinet(self, row: int, column: int, grey: int) -> None:
        x, y = _LEFT + (column - 1) * _CELL, _TOP + (row - 1) * _CELL
        self.box(x, y, _CELL - 1, _CELL - 1, grey)

    def ring(self, row: int, column: int) -> None:
        """Frame a cabinet, as a pen would on a print."""
        x, y, side = _LEFT + (column - 1) * _CELL - 5, _TOP + (row - 1) * _CELL - 5, _CELL + 9
        for inset, grey in ((0, 15), (2, 0)):
            left, top, size = x + inset, y + inset, side - 2 * inset
            self.box(left, top, size, 2, grey)
            self.box(left, top + size - 2, size, 2, grey)
            self.box(left, top, 2, size, grey)
            self.box(left + size - 2, top, 2, size, grey)

    def png(self) -> bytes:
        packed = b"".join(
            b"\0" + bytes(row[x] << 4 | row[x + 1] for x in range(0, _WIDTH, 2))
            for row in self.rows
        )
        head = struct.pack(">IIBBBBB", _WIDTH, _HEIGHT, 4, 0, 0, 0, 0)
        return (
            b"\x89PNG\r\n\x1a\n"
            + _chunk(b"IHDR", head)
            + _chunk(b"IDAT", _stored(packed))
            + _chunk(b"IEND", b"")
        )


def _chunk(kind: bytes, content: bytes) -> bytes:
    return struct.pack(">I", len(content)) + kind + content + struct.pack(
        ">I", zlib.crc32(kind + content)
    )  # fmt: skip


def _stored(content: bytes) -> bytes:
    """Wrap bytes as a zlib stream of stored blocks (RFC 1950, RFC 1951 section 3.2.4)."""
    parts = [content[at : at + _STORED_MOST] for at in range(0, len(content), _STORED_MOST)]
    blocks = b"".join(
        struct.pack("<BHH", number == len(parts), len(part), len(part) ^ 0xFFFF) + part
        for number, part in enumerate(parts, start=1)
    )
    return b"\x78\x01" + blocks + struct.pack(">I", zlib.adler32(content))


def _hall(level: Callable[[int, int], int]) -> _Picture:
    """Draw the wall above its stage, each cabinet at a grey of its own."""
    picture = _Picture()
    picture.box(0, 222, _WIDTH, 48, _FLOOR)
    picture.box(_LEFT - 3, _TOP - 3, _COLUMNS * _CELL + 5, _ROWS * _CELL + 5, _BLACK)
    picture.box(_LEFT, _TOP, _COLUMNS * _CELL - 1, _ROWS * _CELL - 1, _SEAM)
    for row in range(1, _ROWS + 1):
        for column in range(1, _COLUMNS + 1):
            picture.cabinet(row, column, level(row, column))
    return picture


def _whole_wall() -> _Picture:
    picture = _hall(lambda row, column: 15 - abs(2 * column - 13) // 4 - (row == 1))
    picture.box(226, 176, 10, 46, _BLACK)
    picture.box(224, 162, 14, 14, _BLACK)
    return picture


def _dark_cabinet() -> _Picture:
    picture = _hall(lambda row, column: 10 if (row, column) == (4, 5) else _WHITE)
    picture.ring(4, 5)
    return picture


def _stuck_pixel() -> _Picture:
    picture = _hall(lambda _, __: 1)
    picture.box(_LEFT + 6 * _CELL + 2, _TOP + 2 * _CELL + 2, 2, 2, 15)
    picture.ring(3, 7)
    return picture


def _main_cable_pulled() -> _Picture:
    return _hall(lambda _, column: 3 + column)


_DRAWN: dict[str, Callable[[], _Picture]] = {
    "whole wall": _whole_wall,
    "dark cabinet": _dark_cabinet,
    "stuck pixel": _stuck_pixel,
    "main cable pulled": _main_cable_pulled,
}


def drawn(shows: str) -> bytes:
    """Return one of the demo's pictures as a PNG."""
    return _DRAWN[shows]().png()

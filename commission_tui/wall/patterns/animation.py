"""One animated PNG from frames that come one at a time, with one frame in memory.

The imaging library compresses each frame; it cannot write an animation without holding every frame
at full size, hence the chunks of the animation are put together here (PNG specification, third
edition, W3C 2025: acTL, fcTL and fdAT).
"""

from __future__ import annotations

import struct
import zlib
from collections.abc import Iterator
from fractions import Fraction
from io import BytesIO
from typing import BinaryIO

from PIL import Image

from commission_tui.wall.patterns.sheet import Box

SIGNATURE = b"\x89PNG\r\n\x1a\n"
_LARGEST_DELAY_PART = 65_535


class Animation:
    """Writes frames into an open file; the number of frames must be known before the first."""

    def __init__(self, file: BinaryIO, frames: int, frames_per_s: float) -> None:
        self._file = file
        self._frames = frames
        self._delay = (1 / Fraction(frames_per_s)).limit_denominator(_LARGEST_DELAY_PART)
        self._number = 0

    def add(self, picture: Image.Image, box: Box) -> None:
        """Add a frame that changes one part of the picture; the first must be the whole."""
        chunks = list(_chunks(_compressed(picture)))
        first = self._number == 0
        if first:
            self._file.write(SIGNATURE)
            self._copy(chunks, b"IHDR")
            self._write(b"acTL", struct.pack(">II", self._frames, 0))
            self._copy(chunks, b"PLTE")
        self._write(b"fcTL", self._control(box))
        for kind, data in chunks:
            if kind == b"IDAT" and first:
                self._write(b"IDAT", data)
            elif kind == b"IDAT":
                self._write(b"fdAT", struct.pack(">I", self._next()) + data)

    def finish(self) -> None:
        self._write(b"IEND", b"")

    def _control(self, box: Box) -> bytes:
        left, top, right, bottom = box
        return struct.pack(
            ">IIIIIHHBB",
            *(self._next(), right - left, bottom - top, left, top),
            *(self._delay.numerator, self._delay.denominator),
            *(0, 0),  # leave the frame standing; copy pixels as they are
        )

    def _next(self) -> int:
        self._number += 1
        return self._number - 1

    def _copy(self, chunks: list[tuple[bytes, bytes]], wanted: bytes) -> None:
        for kind, data in chunks:
            if kind == wanted:
                self._write(kind, data)

    def _write(self, kind: bytes, data: bytes) -> None:
        self._file.write(struct.pack(">I", len(data)) + kind + data)
        self._file.write(struct.pack(">I", zlib.crc32(kind + data)))


def _compressed(picture: Image.Image) -> bytes:
    held = BytesIO()
    picture.save(held, "PNG")
    return held.getvalue()


def _chunks(png: bytes) -> Iterator[tuple[bytes, bytes]]:
    at = len(SIGNATURE)
    while at < len(png):
        (length,) = struct.unpack_from(">I", png, at)
        yield png[at + 4 : at + 8], png[at + 8 : at + 8 + length]
        at += 12 + length

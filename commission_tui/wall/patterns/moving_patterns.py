"""Patterns that move, each step repainting as little of the sheet as it can, and the animated PNG of one."""

from __future__ import annotations

import struct
import zlib
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from io import BytesIO
from typing import BinaryIO

from PIL import Image

from commission_tui.wall.model.wall_model import Wall
from commission_tui.wall.patterns.sheet import BLACK, WHITE, Box, Sheet

_SECONDS_ACROSS = 4
_BAR_SHARE = 20


@dataclass(frozen=True)
class Movement:
    """Frames painted one after another on one sheet, each as the boxes that are lit."""

    sheet: Sheet
    frames: int
    frames_per_s: float
    lit: Callable[[], Iterator[Sequence[Box]]]

    def boxes(self) -> Iterator[Box]:
        """Paint the next frame each time it is asked; say which part has changed."""
        sheet = self.sheet
        sheet.ink(WHITE)  # every frame must have the same palette
        before: Sequence[Box] = ()
        for boxes in self.lit():
            now = [box for box in boxes if box[0] < box[2] and box[1] < box[3]]
            for box in before:
                sheet.fill(box, BLACK)
            for box in now:
                sheet.fill(box, WHITE)
            lefts, tops, rights, bottoms = zip(*before, *now, strict=True)
            right, bottom = min(sheet.width_px, max(rights)), min(sheet.height_px, max(bottoms))
            yield min(lefts), min(tops), right, bottom
            before = now


def stepping_line(sheet: Sheet, _wall: Wall, steps_per_s: float) -> Movement:
    width, height = sheet.width_px, sheet.height_px

    def lit() -> Iterator[Sequence[Box]]:
        yield from ([(x, 0, x + 1, height)] for x in range(width))
        yield from ([(0, y, width, y + 1)] for y in range(height))

    return Movement(sheet, width + height, steps_per_s, lit)


def stepping_line_in_every_cabinet(sheet: Sheet, wall: Wall, steps_per_s: float) -> Movement:
    cabinets = [cabinet.box_px for cabinet in wall.cabinets.values()]
    widest = max(right - left for left, _, right, _ in cabinets)
    highest = max(bottom - top for _, top, _, bottom in cabinets)

    def lit() -> Iterator[Sequence[Box]]:
        for step in range(widest):
            yield [
                (at + step, top, min(at + step + 1, right), bottom)
                for at, top, right, bottom in cabinets
            ]
        for step in range(highest):
            yield [
                (left, at + step, right, min(at + step + 1, bottom))
                for left, at, right, bottom in cabinets
            ]

    return Movement(sheet, widest + highest, steps_per_s, lit)


def moving_bar(sheet: Sheet, wall: Wall, _steps_per_s: float) -> Movement:
    """Move a bar by the same number of pixels every frame, so that the loop has no seam."""
    width, height = sheet.width_px, sheet.height_px
    rate = wall.file.processor.frame_rate_hz
    step = _divisor_near(width, width / (rate * _SECONDS_ACROSS))
    bar = max(1, width // _BAR_SHARE)

    def lit() -> Iterator[Sequence[Box]]:
        for left in range(0, width, step):
            yield [(left, 0, left + bar, height), (0, 0, left + bar - width, height)]

    return Movement(sheet, width // step, rate, lit)


def _divisor_near(number: int, wanted: float) -> int:
    divisors = [n for n in range(1, number + 1) if number % n == 0]
    return min(divisors, key=lambda n: abs(n - wanted))


SIGNATURE = b"\x89PNG\r\n\x1a\n"
_LARGEST_DELAY_PART = 65_535


class Animation:
    """Writes frames into an open file, one in memory; their number must be known before the first.

    The imaging library compresses each frame; it cannot write an animation without holding every
    frame at full size, hence the chunks of the animation are put together here (PNG specification,
    third edition, W3C 2025: acTL, fcTL and fdAT).
    """

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

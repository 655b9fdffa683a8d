"""Patterns that move: each step repaints as little of the sheet as it can."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from commission_tui.wall.model.wall_model import Wall
from commission_tui.wall.patterns.sheet import BLACK, WHITE, Box, Sheet
from commission_tui.wall.patterns.tiles import box_of

_SECONDS_ACROSS = 4
_BAR_SHARE = 20


@dataclass(frozen=True)
class Sequence:
    """Frames painted one after another on one sheet.

    `boxes` paints the next frame each time it is asked and says which part has changed.
    """

    sheet: Sheet
    frames: int
    frames_per_s: float
    boxes: Callable[[], Iterator[Box]]


def stepping_line(wall: Wall, steps_per_s: float) -> Sequence:
    sheet = _dark(wall)
    width, height = sheet.width_px, sheet.height_px

    def boxes() -> Iterator[Box]:
        for x in range(width):
            sheet.fill((x - 1, 0, x, height), BLACK)
            sheet.fill((x, 0, x + 1, height), WHITE)
            yield (max(0, x - 1), 0, x + 1, height)
        sheet.fill((width - 1, 0, width, height), BLACK)
        for y in range(height):
            sheet.fill((0, y - 1, width, y), BLACK)
            sheet.fill((0, y, width, y + 1), WHITE)
            # The last upright line is still on the frame before.
            yield (0, max(0, y - 1), width, y + 1) if y else sheet.box

    return Sequence(sheet, width + height, steps_per_s, boxes)


def stepping_line_in_every_cabinet(wall: Wall, steps_per_s: float) -> Sequence:
    sheet = _dark(wall)
    cabinets = [box_of(cabinet) for cabinet in wall.cabinets.values()]
    widest = max(right - left for left, _, right, _ in cabinets)
    highest = max(bottom - top for _, top, _, bottom in cabinets)

    def boxes() -> Iterator[Box]:
        for step in range(widest):
            sheet.fill(sheet.box, BLACK)
            for left, top, right, bottom in cabinets:
                x = left + step
                sheet.fill((x, top, min(x + 1, right), bottom), WHITE)
            yield sheet.box
        for step in range(highest):
            sheet.fill(sheet.box, BLACK)
            for left, top, right, bottom in cabinets:
                y = top + step
                sheet.fill((left, y, right, min(y + 1, bottom)), WHITE)
            yield sheet.box

    return Sequence(sheet, widest + highest, steps_per_s, boxes)


def moving_bar(wall: Wall, _steps_per_s: float) -> Sequence:
    """Move a bar by the same number of pixels every frame, so that the loop has no seam."""
    sheet = _dark(wall)
    width, height = sheet.width_px, sheet.height_px
    rate = wall.file.processor.frame_rate_hz
    step = _divisor_near(width, width / (rate * _SECONDS_ACROSS))
    bar = max(1, width // _BAR_SHARE)

    def boxes() -> Iterator[Box]:
        for left in range(0, width, step):
            sheet.fill(sheet.box, BLACK)
            sheet.fill((left, 0, left + bar, height), WHITE)
            sheet.fill((0, 0, left + bar - width, height), WHITE)
            from_left = left - step
            wrapped = from_left < 0 or left + bar > width
            yield sheet.box if wrapped else (from_left, 0, left + bar, height)

    return Sequence(sheet, width // step, rate, boxes)


def _dark(wall: Wall) -> Sheet:
    sheet = Sheet(wall.width_px, wall.height_px)
    # Every frame must have the same palette.
    sheet.ink(WHITE)
    return sheet


def _divisor_near(number: int, wanted: float) -> int:
    divisors = [n for n in range(1, number + 1) if number % n == 0]
    return min(divisors, key=lambda n: abs(n - wanted))

"""A video of a stepped line on a wall with faults, drawn LED by LED and seen by a simple camera.

It shares no line with the program's reader: what a faulty module shows is written here as which LED
shows which pixel of the picture.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field

import cv2
import numpy as np
from numpy.typing import NDArray

from commission_tui.wall.model.wall_model import Wall

Codes = NDArray[np.uint8]
Change = Callable[[Codes], Codes]
"""From what a cabinet is sent to what it shows."""


def turned(tile: Codes) -> Codes:
    return tile[::-1, ::-1]


def backwards_across(tile: Codes) -> Codes:
    return tile[:, ::-1]


def swapped_left_right(tile: Codes) -> Codes:
    half = tile.shape[1] // 2
    return np.concatenate([tile[:, half:], tile[:, :half]], axis=1)


def interleaved_down(tile: Codes) -> Codes:
    """Every module's upper half shows its even lines, its lower half the odd ones."""
    shown = tile.copy()
    half = tile.shape[0] // 2
    for top in (0, half):
        module = tile[top : top + half]
        shown[top : top + half] = np.concatenate([module[::2], module[1::2]])
    return shown


def dark(tile: Codes) -> Codes:
    return np.zeros_like(tile)


def one_module(row: int, column: int, change: Change) -> Change:
    def changed(tile: Codes) -> Codes:
        shown = tile.copy()
        high, wide = tile.shape[0] // 2, tile.shape[1] // 2
        box = np.s_[row * high : (row + 1) * high, column * wide : (column + 1) * wide]
        shown[box] = change(tile[box])
        return shown

    return changed


@dataclass(frozen=True)
class LineFilm:
    """How the video was taken."""

    wall: Wall
    faults: Mapping[str, Change] = field(default_factory=dict)
    every_cabinet: bool = True
    steps_per_s: float = 20.0
    frames_per_s: float = 25.0
    starts_at: int = 30
    """Step at which the video begins."""
    rounds: float = 2.1
    px_a_led: float = 1.1

    def frames(self) -> Iterator[Codes]:
        wall = self.wall
        wide, high = wall.width_px, wall.height_px
        if self.every_cabinet:
            across = max(c.width_px for c in wall.cabinets.values())
            down = max(c.height_px for c in wall.cabinets.values())
        else:
            across, down = wide, high
        plane, size = self._plane()
        noise = np.random.default_rng(5)
        seconds = (across + down) * self.rounds / self.steps_per_s
        for number in range(int(seconds * self.frames_per_s)):
            step = self.starts_at + int(number * self.steps_per_s / self.frames_per_s)
            shown = self._shown(step % (across + down), across)
            large = cv2.resize(shown, None, fx=3, fy=3, interpolation=cv2.INTER_NEAREST)
            lit = cv2.warpPerspective(large, plane, size, flags=cv2.INTER_AREA)
            grain = 3 * noise.standard_normal(size[::-1], np.float32)
            seen = cv2.GaussianBlur(lit.astype(np.float32), (0, 0), 0.9) + 6 + grain
            grey = np.clip(seen, 0, 255).astype(np.uint8)
            yield np.repeat(grey[..., None], 3, axis=2)

    def _plane(self) -> tuple[NDArray[np.float64], tuple[int, int]]:
        wide, high = self.wall.width_px * self.px_a_led, self.wall.height_px * self.px_a_led
        size = (int(wide * 1.25) // 2 * 2, int(high * 1.3) // 2 * 2)
        flat = np.array([(0, 0), (wide, 0), (wide, high), (0, high)])
        leaned = flat + np.array([(0, 0), (-9, 7), (-4, -5), (6, 3)]) + (wide / 8, high / 7)
        large = np.array([(0, 0), (1, 0), (1, 1), (0, 1)]) * (
            3 * self.wall.width_px,
            3 * self.wall.height_px,
        )
        plane = cv2.getPerspectiveTransform(large.astype(np.float32), leaned.astype(np.float32))
        return np.asarray(plane, float), size

    def _shown(self, step: int, across: int) -> Codes:
        wall = self.wall
        sent = np.zeros((wall.height_px, wall.width_px), np.uint8)
        for cabinet in wall.cabinets.values():
            x, y = (cabinet.x_px, cabinet.y_px) if self.every_cabinet else (0, 0)
            if step < across and (self.every_cabinet is False or step < cabinet.width_px):
                sent[:, x + step] = 255
            elif step >= across and (not self.every_cabinet or step - across < cabinet.height_px):
                sent[y + step - across, :] = 255
        if self.every_cabinet and len({c.width_px for c in wall.cabinets.values()}) > 1:
            raise ValueError("one size of cabinets alone")
        shown = sent.copy()
        for cell, cabinet in wall.cabinets.items():
            change = self.faults.get(str(cell))
            if change is not None:
                box = np.s_[
                    cabinet.y_px : cabinet.y_px + cabinet.height_px,
                    cabinet.x_px : cabinet.x_px + cabinet.width_px,
                ]
                shown[box] = change(sent[box])
        return shown

"""A wall as a set of lit points: what each pixel emits, and where its cabinet really hangs."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from commission_tui.wall.model.location import Cell
from commission_tui.wall.model.wall_model import Wall

Light = NDArray[np.float32]


@dataclass(frozen=True)
class LitWall:
    """Light of every pixel of the canvas, linear, 1 is full white of an unfaulted cabinet."""

    wall: Wall
    light: Light
    """(height, width, 3): red, green and blue."""
    moved_mm: Mapping[Cell, tuple[float, float]] = field(default_factory=dict)
    """How far a cabinet hangs right and below of where it is designed."""

    def gained(self, gains: Mapping[Cell, float | tuple[float, float, float]]) -> LitWall:
        """Return the wall with each cabinet's light scaled, all colours or each."""
        light = self.light.copy()
        for cell, gain in gains.items():
            cabinet = self.wall.cabinets[cell]
            box = np.s_[
                cabinet.y_px : cabinet.y_px + cabinet.height_px,
                cabinet.x_px : cabinet.x_px + cabinet.width_px,
            ]
            light[box] *= np.asarray(gain, np.float32)
        return replace(self, light=light)

    def scattered(self, spread: float, rng: np.random.Generator) -> LitWall:
        """Return the wall with LEDs that differ, each colour of each pixel for itself."""
        shares = rng.normal(1.0, spread, self.light.shape).astype(np.float32)
        return replace(self, light=self.light * np.maximum(shares, 0))

    def moved(self, by_mm: Mapping[Cell, tuple[float, float]]) -> LitWall:
        return replace(self, moved_mm=dict(by_mm))

    def points(self, block: int) -> tuple[NDArray[np.float64], Light, NDArray[np.float64]]:
        """Return places (N, 2) mm, light (N, 3) and the area (N,) mm2 that each point stands for.

        A block of n joins n x n pixels into one point, where a camera is far from telling them apart.
        """
        places, lights, areas = [], [], []
        for cell, cabinet in self.wall.cabinets.items():
            if cabinet.width_px % block or cabinet.height_px % block:
                raise ValueError(f"block of {block} does not divide {cell}")
            columns, rows = cabinet.width_px // block, cabinet.height_px // block
            pitch_x, pitch_y = cabinet.width_mm / columns, cabinet.height_mm / rows
            dx, dy = self.moved_mm.get(cell, (0.0, 0.0))
            x = cabinet.x_mm - self.wall.left_mm + dx + (np.arange(columns) + 0.5) * pitch_x
            y = cabinet.y_mm - self.wall.top_mm + dy + (np.arange(rows) + 0.5) * pitch_y
            grid = np.meshgrid(x, y)
            places.append(np.column_stack([grid[0].ravel(), grid[1].ravel()]))
            own = self.light[
                cabinet.y_px : cabinet.y_px + cabinet.height_px,
                cabinet.x_px : cabinet.x_px + cabinet.width_px,
            ]
            joined = own.reshape(rows, block, columns, block, 3).mean(axis=(1, 3))
            lights.append(joined.reshape(-1, 3))
            areas.append(np.full(columns * rows, pitch_x * pitch_y))
        return np.concatenate(places), np.concatenate(lights), np.concatenate(areas)


def showing(wall: Wall, codes: NDArray[np.uint8], gamma: float = 2.2) -> LitWall:
    """Return a wall that shows a picture of 8-bit codes (height, width, 3) at an exponent."""
    table = (np.arange(256) / 255.0) ** gamma
    return LitWall(wall, table[codes].astype(np.float32))


def even(wall: Wall, level: float | tuple[float, float, float] = 1.0) -> LitWall:
    light = np.empty((wall.height_px, wall.width_px, 3), np.float32)
    light[:] = level
    return LitWall(wall, light)

"""A wall that refreshes before a sensor that is read line by line: how much light each line gets.

Written from the times alone: a line is open from its own start for the exposure, and the wall is lit
for a share of every refresh. It shares no line with the program's reader or its forecast.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tests.photo.scene.lit_wall import LitWall
from tests.photo.scene.optics import Image, image_of
from tests.photo.scene.scene import Scene
from tests.photo.scene.sensor import developed

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Shutter:
    """Times of wall and camera, s and Hz."""

    refresh_hz: float
    exposure_s: float
    readout_s: float = 0.01
    lit_fraction: float = 0.3
    """Of each refresh, in one pulse."""
    start_s: float = 0.0
    frame_hz: float = 25.0

    def gains(self, lines: int, frame: int = 0) -> Array:
        """Return each line's light against that of a wall that is always lit as bright on average."""
        opens = (
            self.start_s + frame / self.frame_hz + self.readout_s * np.arange(lines) / (lines - 1)
        )
        lit = self._lit(opens + self.exposure_s) - self._lit(opens)
        found: Array = lit / (self.exposure_s * self.lit_fraction)
        return found

    def _lit(self, until: Array) -> Array:
        """Return for how long the wall was lit from the beginning of time to a moment."""
        turns = until * self.refresh_hz
        within = np.minimum(turns % 1.0, self.lit_fraction)
        found: Array = (np.floor(turns) * self.lit_fraction + within) / self.refresh_hz
        return found

    def contrast(self) -> float:
        """Return brightest less darkest line over the mean, with lines as dense as can be."""
        opens = np.linspace(0, 1 / self.refresh_hz, 200_001)
        lit = self._lit(opens + self.exposure_s) - self._lit(opens)
        return float((lit.max() - lit.min()) / lit.mean())

    def period_lines(self, lines: int) -> float:
        return (lines - 1) / (self.refresh_hz * self.readout_s)


def banded(scene: Scene, lit: LitWall, shutter: Shutter, seed: int, frame: int = 0) -> Image:
    """Return the linear picture of a frame that is read from its first line to its last."""
    rng = np.random.default_rng((seed, frame))
    still = image_of(lit, scene.camera, scene.air, np.random.default_rng(seed))
    gains = shutter.gains(still.shape[0], frame).astype(np.float32)
    return developed(still * gains[:, None, None], scene.sensor, rng)

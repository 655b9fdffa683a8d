"""How well bands are read from pictures: walls, lights and shutters drawn by lot.

Run as a program for the table: ``python -m tests.photo.trials.band_trials``.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass, field
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np

from commission_tui.photo.bands.band_reading import BandReading, read_bands
from commission_tui.wall.model.wall_model import Wall
from tests.photo.scene.lit_wall import LitWall, even
from tests.photo.scene.optics import Air
from tests.photo.scene.rolling_shutter import Shutter, banded
from tests.photo.scene.scene import Scene, before
from tests.photo.scene.sensor import Sensor, linear_16_bit, toned_8_bit, write
from tests.photo.walls_hung import small_wall

DEEP = 0.03
"""Contrast from which on bands are to be found."""
_WALLS = ((8, 5, 0.66), (6, 3, 0.4), (10, 6, 0.66), (4, 4, 0.2))
"""Columns, rows and the exposure: the LEDs of small walls are resolved, and would be clipped."""


@dataclass
class BandScore:
    periods: list[float] = field(default_factory=list)
    contrasts: list[float] = field(default_factory=list)
    covered: int = 0
    missed: int = 0
    plain: int = 0
    false: int = 0

    def line(self, title: str) -> str:
        within = np.mean(np.abs(self.periods) < 0.1), np.mean(np.abs(self.contrasts) < 0.1)
        return (
            f"{title}: {len(self.periods)} found, {self.missed} missed; period within 10 %: "
            f"{within[0]:.1%}, contrast within 10 %: {within[1]:.1%} (rms {np.std(self.contrasts):.1%}), "
            f"within what is stated {self.covered / len(self.periods):.1%}; "
            f"false {self.false} in {self.plain} without bands"
        )


def uneven(wall: Wall, rng: np.random.Generator, level: float = 0.8) -> LitWall:
    """Return a wall whose cabinets differ by 2 %."""
    gains = rng.normal(1, 0.02, len(wall.cabinets))
    return even(wall, level).gained(
        {cell: float(gain) for cell, gain in zip(wall.cabinets, gains, strict=True)}
    )


def shutter(rng: np.random.Generator) -> Shutter:
    return Shutter(
        refresh_hz=float(np.exp(rng.uniform(np.log(300), np.log(3840)))),
        exposure_s=float(np.exp(rng.uniform(np.log(1 / 1000), np.log(1 / 50)))),
        lit_fraction=float(rng.uniform(0.05, 0.9)),
        start_s=float(rng.uniform(0, 1)),
    )


def scene(number: int, wall: Wall, white_at: float, bent: float, rng: np.random.Generator) -> Scene:
    return before(
        wall,
        1300 / wall.columns,
        air=Air(blur_px=0.8, person_at=0.3 if number % 5 == 0 else None),
        sensor=Sensor(white_at=white_at, contrast=bent),
        yaw_deg=float(rng.uniform(-20, 20)),
        roll_deg=float(rng.uniform(-2, 2)),
    )


def one(number: int, kind: str, folder: Path, score: BandScore) -> None:
    rng = np.random.default_rng(number)
    columns, rows, white_at = _WALLS[number % len(_WALLS)]
    wall = small_wall(columns, rows)
    light, times = uneven(wall, rng), shutter(rng)
    bent = float(rng.uniform(-0.3, 0.4)) if kind == "bent" else 0.0
    seen = scene(number, wall, white_at, bent, rng)
    without = number % 4 == 3
    developed = seen.photograph(light, number) if without else banded(seen, light, times, number)
    if kind == "linear":
        path = write(folder / "frame.png", linear_16_bit(developed))
    else:
        path = write(folder / "frame.jpg", toned_8_bit(developed, seen.sensor))
    judge(score, read_bands(wall, path, linear=kind == "linear"), None if without else times)


def judge(score: BandScore, found: BandReading, times: Shutter | None) -> None:
    if times is None:
        score.plain += 1
        score.false += found.bands is not None
        return
    wanted, lines = times.contrast(), found.size[1]
    if wanted < DEEP or lines / times.period_lines(lines) < 4:
        return
    if found.bands is None or found.bands.contrast is None:
        score.missed += 1
        return
    score.periods.append(found.bands.period_lines / times.period_lines(lines) - 1)
    score.contrasts.append(found.bands.contrast / wanted - 1)
    score.covered += abs(found.bands.contrast - wanted) <= found.bands.expanded


def main() -> None:
    many = int(sys.argv[1]) if len(sys.argv) > 1 else 120
    titles = {
        "linear": "16 bit linear",
        "srgb": "JPEG 80, the curve of sRGB",
        "bent": "JPEG 80, a curve of the camera's own",
    }
    with TemporaryDirectory() as folder:
        for kind, title in titles.items():
            score = BandScore()
            for number in range(many):
                one(number, kind, Path(folder), score)
            sys.stdout.write(score.line(title) + "\n")


if __name__ == "__main__":
    main()

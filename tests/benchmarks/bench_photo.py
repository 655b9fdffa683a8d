"""How well photographs are read: ``python -m tests.benchmarks.bench_photo [ROW …] [--share 0.1]``.

Walls are drawn by the renderer in ``tests/photo/scene`` (perspective to 45 degrees, a lens that bends and
darkens, blur, noise, a colour mosaic, JPEG 80, LEDs, light of the room, a person in front), which shares no
line with the reader. What is read is held against what hangs there. All of it takes hours; `--share` takes
a part of the pictures. A picture of twelve megapixels is timed in processor seconds too, since a machine
that does other work beside says little in seconds of the clock.
"""

from __future__ import annotations

import argparse
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

import numpy as np

from commission_tui.errors import InputError
from commission_tui.photo.close.led_faults import Field
from commission_tui.wall.model.wall_model import Wall
from tests.photo.scene.scene import Kind
from tests.photo.trials import light_trials, pixel_trials, seam_trials, tile_trials
from tests.photo.walls_hung import read_pixels, small_wall
from tests.wall.mapping.walls import SERPENTINE, grid_wall

_SEED = 5000


def _tiles(px: float, pictures: int) -> None:
    wall = small_wall(14, 8) if px > 30 else small_wall(28, 16)
    score = tile_trials.measure(wall, pictures, _SEED, px)
    print(score.line(f"tiles at {px:g} px a cabinet"))  # noqa: T201
    for failure in score.failures[:6]:
        print(f"  {failure}")  # noqa: T201


def _chain(pictures: int) -> None:
    tally: Counter[str] = tile_trials.chain(pictures, _SEED, 40)
    print(  # noqa: T201
        f"two exchanges of plugs at 40 px: first explanation right {tally['photographed']} of "
        f"{tally['walls']} from a photograph, {tally['typed']} from a table typed rightly; refused "
        f"{tally['refused']}"
    )


def _large(_: int) -> None:
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "large.jpg"
        tile_trials.large(small_wall(40, 25), file, _SEED)
        # In a process of its own, so that the renderer's memory is not counted.
        words = [sys.executable, "-m", "tests.photo.trials.large_reading", str(file)]
        print(subprocess.run(words, check=True, capture_output=True, text=True).stdout.strip())  # noqa: T201


def _noise(_: int) -> None:
    noise = np.random.default_rng(_SEED).integers(0, 255, (3000, 4000), np.uint8)
    processor = time.process_time()
    with suppress(InputError):
        read_pixels(small_wall(8, 5), noise)
    seconds = time.process_time() - processor
    print(f"noise of 12 megapixels: refused after {seconds:.1f} s of processor")  # noqa: T201


def _light(kind: Kind, within: float, walls: int, spread: float = 0.005) -> None:
    score = light_trials.measure(_hall(), walls, _SEED, 60, kind, spread=spread)
    print(score.line(f"light, {kind}, 60 px a cabinet, scatter {spread:.1%}", within))  # noqa: T201


def _even(spread: float, kind: Kind, walls: int) -> None:
    wall = small_wall(12, 6, px=96)  # Fewer LEDs than the hall's are sooner drawn.
    score = light_trials.measure(wall, walls, _SEED + 500, 60, kind, spread=spread, outliers=0)
    print(score.line(f"light, {kind}, no outliers, scatter {spread:.1%}", 0.01))  # noqa: T201


def _pixels(field: Field, px: float, pictures: int, kind: Kind = "jpeg") -> None:
    wall = grid_wall(4, 3, [])
    size = (1500, 1300) if px < 3.5 else (2000, 1900)
    score = pixel_trials.measure(wall, pictures, _SEED + 100, px, kind, field, size=size)
    print(score.line(f"pixels, {field}, {kind}, {px:g} px a LED"))  # noqa: T201


def _seams(pictures: int) -> None:
    score = seam_trials.measure(_hall(), pictures, _SEED, 100, "jpeg")
    print(score.line("seams, JPEG, 100 px a cabinet"))  # noqa: T201


def _hall() -> Wall:
    return grid_wall(12, 6, [("R1C1:R6C12", SERPENTINE)])


ROWS: dict[str, tuple[int, Callable[[int], None]]] = {
    "tiles-40": (200, lambda count: _tiles(40, count)),
    "tiles-24": (100, lambda count: _tiles(24, count)),
    "chain": (100, _chain),
    "large": (1, _large),
    "noise": (1, _noise),
    "light-png": (20, lambda count: _light("png", 0.01, count)),
    "light-jpeg": (20, lambda count: _light("jpeg", 0.02, count)),
    "light-scattered-png": (20, lambda count: _light("png", 0.01, count, 0.01)),
    "light-scattered-jpeg": (20, lambda count: _light("jpeg", 0.02, count, 0.01)),
    "light-even-png": (50, lambda count: _even(0.005, "png", count)),
    "light-even-jpeg": (50, lambda count: _even(0.005, "jpeg", count)),
    "light-same-png": (50, lambda count: _even(0.0, "png", count)),
    "light-same-jpeg": (50, lambda count: _even(0.0, "jpeg", count)),
    "pixels-white": (10, lambda count: _pixels("white", 3.0, count)),
    "pixels-black": (10, lambda count: _pixels("black", 3.0, count)),
    "pixels-red": (10, lambda count: _pixels("red", 3.0, count)),
    "pixels-green": (10, lambda count: _pixels("green", 3.0, count)),
    "pixels-blue": (10, lambda count: _pixels("blue", 3.0, count)),
    "pixels-blue-near": (6, lambda count: _pixels("blue", 4.0, count)),
    "pixels-red-png": (6, lambda count: _pixels("red", 3.0, count, "png")),
    "pixels-green-png": (6, lambda count: _pixels("green", 3.0, count, "png")),
    "pixels-blue-png": (6, lambda count: _pixels("blue", 3.0, count, "png")),
    "seams": (20, _seams),
}


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("rows", nargs="*", choices=[*ROWS, []])
    parser.add_argument("--share", type=float, default=1.0)
    asked = parser.parse_args()
    for row in asked.rows or ROWS:
        count, run = ROWS[row]
        run(max(1, round(count * asked.share)))


if __name__ == "__main__":
    main()

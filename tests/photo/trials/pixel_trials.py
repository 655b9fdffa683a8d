"""How many faulty LEDs photographs find: walls with known faults, photographed from near and read."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from commission_tui.photo.close.led_faults import Field, LedFault, led_faults
from commission_tui.photo.close.led_grid import led_grid
from commission_tui.photo.perspective import Outlines
from commission_tui.wall.model.location import Cell
from commission_tui.wall.model.wall_model import Wall
from tests.photo.scene.lit_wall import LitWall, even
from tests.photo.scene.scene import Kind
from tests.photo.trials.light_trials import true_outlines
from tests.photo.trials.views import taken, view

COLOURS = ("red", "green", "blue")
Place = tuple[Cell, int, int]


@dataclass
class PixelScore:
    leds: int = 0
    faults: int = 0
    found: int = 0
    named: int = 0
    """Found and of the right kind."""
    false: int = 0
    missed: Counter[str] = field(default_factory=Counter)

    def line(self, title: str) -> str:
        rate = self.false / self.leds * 1e5
        return (
            f"{title}: {self.leds} LEDs looked at; found {self.found} of {self.faults} "
            f"({self.found / self.faults:.1%}), right kind {self.named}, false {self.false} "
            f"({rate:.2f} in 100,000); missed {dict(self.missed)}"
        )


def spoiled(
    lit: LitWall, cells: list[Cell], rng: np.random.Generator, count: int, shown: Field
) -> tuple[LitWall, dict[Place, str]]:
    """Spoil LEDs of the given cabinets, none beside another; return the wall and what is wrong."""
    light = lit.light.copy()
    faults: dict[Place, str] = {}
    while len(faults) < count:
        cell = cells[int(rng.integers(len(cells)))]
        cabinet = lit.wall.cabinets[cell]
        x, y = int(rng.integers(cabinet.width_px)), int(rng.integers(cabinet.height_px))
        if any(c == cell and abs(x - a) < 4 and abs(y - b) < 4 for c, a, b in faults):
            continue
        at = cabinet.y_px + y, cabinet.x_px + x
        kind = ("dark", "dim", "colour")[int(rng.integers(3))]
        colour = int(rng.integers(3))
        if shown == "black":
            light[at] = 0.5
            if kind == "colour":
                light[at] = 0
                light[(*at, colour)] = 0.5
            kind = "lit"
        elif shown != "white":
            light[at] *= 0 if kind == "dark" else rng.uniform(0.3, 0.5)
            kind = "dim" if kind == "colour" else kind
        elif kind == "colour":
            light[(*at, colour)] = 0
        else:
            light[at] *= 0 if kind == "dark" else rng.uniform(0.3, 0.5)
        faults[cell, x, y] = kind
    return LitWall(lit.wall, light), faults


_RIGHT: Mapping[str, tuple[str, ...]] = {
    "dark": ("pixel dark", "pixel dark in one colour"),
    "dim": ("pixel dim or tinted",),
    "colour": ("pixel dark in one colour", "pixel dim or tinted"),
    "lit": ("pixel stuck lit",),
}


def judge(
    score: PixelScore, found: tuple[LedFault, ...], true: Mapping[Place, str], cell: Cell, leds: int
) -> None:
    score.leds += leds
    own = {place: kind for place, kind in true.items() if place[0] == cell}
    score.faults += len(own)
    at = {(cell, *fault.at.pixel): fault for fault in found if fault.at.pixel}
    for place, kind in own.items():
        if place in at:
            score.found += 1
            score.named += at[place].kind in _RIGHT[kind]
        else:
            score.missed[kind] += 1
    score.false += sum(place not in own for place in at) + sum(not f.at.pixel for f in found)


def measure(
    wall: Wall,
    pictures: int,
    seed: int,
    px_a_led: float,
    kind: Kind,
    shown: Field = "white",
    *,
    size: tuple[int, int] = (2400, 1800),
    faults: int = 60,
    jitter_px: float = 0.3,
) -> PixelScore:
    """Photograph pieces of a wall; the outlines are off by a little, as read ones are."""
    score = PixelScore()
    level = {"white": (1.0, 1.0, 1.0), "black": (0.0, 0.0, 0.0)}
    level |= {"red": (1.0, 0.0, 0.0), "green": (0.0, 1.0, 0.0), "blue": (0.0, 0.0, 1.0)}
    for number in range(pictures):
        rng = np.random.default_rng(seed + number)
        narrowest = min(c.width_px for c in wall.cabinets.values())
        scene = view(
            *(wall, px_a_led * narrowest, rng),
            most_yaw_deg=10,
            size=size,
            target=(float(rng.uniform(0.3, 0.7)), float(rng.uniform(0.3, 0.7))),
            distance_walls=float(rng.uniform(0.8, 1.2)),
        )
        outlines: Outlines = true_outlines(wall, scene)
        white = even(wall, level["white"]).scattered(0.03, rng)
        clean = LitWall(wall, white.light * np.array(level[shown], np.float32))
        lit, true = spoiled(clean, list(outlines), rng, faults, shown)
        picture = taken(scene, lit, seed + number, kind)
        bright = taken(scene, white, seed + number + 1, kind) if shown == "black" else None
        for cell, outline in outlines.items():
            cabinet = wall.cabinets[cell]
            at = outline + rng.normal(0, jitter_px, (4, 2))
            linear = kind != "jpeg"
            places = None if bright is None else led_grid(bright, at, cabinet, linear=linear)
            colour = COLOURS.index(shown) if shown in COLOURS else None
            grid = led_grid(picture, at, cabinet, linear=linear, lit=places, colour=colour)
            result = led_faults(cabinet, grid, shown)
            judge(score, result.faults, true, cell, result.looked_at)
    return score

"""How well photographs tell how even a wall is: walls of known gains, photographed and read."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace

import numpy as np

from commission_tui.photo.light.light_reading import Shot, Shots, read_light
from commission_tui.photo.light.light_report import LightReport
from commission_tui.photo.perspective import Outlines
from commission_tui.wall.model.location import Cell
from commission_tui.wall.model.wall_model import Wall
from tests.photo.scene.lit_wall import LitWall, even
from tests.photo.scene.scene import Kind, Scene, outline
from tests.photo.trials.views import shown, taken, view

APART = 0.04
"""How far an outlier lies from the others."""
_TRULY = 0.02
"""Less apart than this from those around, a cabinet that is called an outlier is called so falsely."""


@dataclass
class LightScore:
    walls: int = 0
    errors: list[float] = field(default_factory=list)
    """Of each step between neighbours, as a share."""
    covered: int = 0
    """Steps whose error is within what is stated."""
    outliers: int = 0
    found: int = 0
    besides: int = 0
    """Called outliers that none were made."""
    false: int = 0
    """Of those the ones that are not apart from their neighbours by chance either."""
    refused: int = 0

    def line(self, title: str, within: float) -> str:
        errors = np.abs(self.errors)
        return (
            f"{title}: {self.walls} walls, {len(errors)} steps; within {within:.0%} "
            f"{(errors <= within).mean():.1%}, rms {np.sqrt((errors**2).mean()):.2%}, 95 % within "
            f"{np.quantile(errors, 0.95):.2%}, within what is stated {self.covered / len(errors):.1%}; "
            f"outliers of {APART:.0%} found {self.found} of {self.outliers}, besides {self.besides}, of "
            f"which less than {_TRULY:.0%} apart {self.false}"
        )


def gained(
    wall: Wall, rng: np.random.Generator, spread: float, outliers: int
) -> tuple[LitWall, dict[Cell, float], list[Cell]]:
    """Return a white wall with cabinets that differ, LEDs that differ, and some outliers."""
    gains = {cell: float(rng.normal(1, spread)) for cell in wall.cabinets}
    cells = list(wall.cabinets)
    apart = [cells[i] for i in rng.choice(len(cells), outliers, replace=False)]
    for cell in apart:
        gains[cell] = 1 + float(rng.choice((-1, 1))) * APART
    return even(wall).scattered(0.03, rng).gained(gains), gains, apart


def true_outlines(wall: Wall, scene: Scene) -> Outlines:
    width, height = scene.camera.size
    at = {cell: outline(wall, cell, scene.camera) for cell in wall.cabinets}
    return {
        c: o
        for c, o in at.items()
        if o.min() >= 0 and (o.max(axis=0) < (width - 1, height - 1)).all()
    }


def photographed(
    wall: Wall,
    seed: int,
    px: float,
    kind: Kind,
    *,
    spread: float,
    outliers: int,
    placed: Callable[[Wall, Scene], Outlines] = true_outlines,
) -> tuple[LightReport, dict[Cell, float], list[Cell]]:
    """Photograph one wall and read it; shares of light come with a JPEG."""
    rng = np.random.default_rng(seed)
    scene = view(wall, px, rng, most_yaw_deg=30)
    lit, gains, apart = gained(wall, rng, spread, outliers)
    white = Shot("white", taken(scene, lit, seed, kind), kind != "jpeg")
    shares: tuple[Shot, ...] = ()
    if kind == "jpeg":
        stepped = replace(lit, light=lit.light * wall.once(_shares).light)
        shares = (Shot("shares", taken(scene, stepped, seed + 1, kind), False),)
    found = read_light(wall, placed(wall, scene), Shots(white, shares=shares))
    return found, gains, apart


def _shares(wall: Wall) -> LitWall:
    return shown(wall, "light shares")


def judge(
    wall: Wall,
    score: LightScore,
    found: LightReport,
    gains: dict[Cell, float],
    apart: list[Cell],
) -> None:
    score.walls += 1
    score.refused += not found.measures
    for step in found.white.steps:
        cell, beside = wall.seams[step.seam]
        error = step.share - (gains[beside] / gains[cell] - 1)
        score.errors.append(error)
        score.covered += abs(error) <= step.expanded
    score.outliers += len(apart)
    score.found += sum(cell in found.white.outliers for cell in apart)
    besides = [cell for cell in found.white.outliers if cell not in apart]
    score.besides += len(besides)
    score.false += sum(abs(_truly_apart(gains, cell, apart)) < _TRULY for cell in besides)


def _truly_apart(gains: dict[Cell, float], cell: Cell, left_out: list[Cell]) -> float:
    near = [
        gain
        for other, gain in gains.items()
        if other != cell
        and other not in left_out
        and max(abs(other.row - cell.row), abs(other.column - cell.column)) <= 2
    ]
    return gains[cell] / float(np.mean(near)) - 1


def measure(
    wall: Wall,
    walls: int,
    seed: int,
    px: float,
    kind: Kind,
    *,
    spread: float = 0.01,
    outliers: int = 3,
    placed: Callable[[Wall, Scene], Outlines] = true_outlines,
) -> LightScore:
    score = LightScore()
    for number in range(walls):
        found, gains, apart = photographed(
            *(wall, seed + 2 * number, px, kind), spread=spread, outliers=outliers, placed=placed
        )
        judge(wall, score, found, gains, apart)
    return score

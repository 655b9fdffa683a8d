"""How well photographs tell seams: cabinets hung with gaps and overlaps of known width."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from commission_tui.photo.close.seam_profile import SeamReport, read_seams
from commission_tui.photo.light.light_reading import Shot
from commission_tui.wall.model.location import Cell, Location
from commission_tui.wall.model.wall_model import Wall
from tests.photo.scene.lit_wall import even
from tests.photo.scene.scene import Kind
from tests.photo.trials.light_trials import true_outlines
from tests.photo.trials.views import taken, view

ABOVE = 0.05
"""Contrast, of one pitch, from which on a seam counts."""


@dataclass
class SeamScore:
    errors: list[float] = field(default_factory=list)
    """Of contrast."""
    counted: int = 0
    right_sign: int = 0
    ranked: int = 0
    pairs: int = 0
    covered: int = 0

    def line(self, title: str) -> str:
        return (
            f"{title}: {len(self.errors)} seams, {self.counted} above {ABOVE:.0%} of a pitch; sign right "
            f"{self.right_sign / self.counted:.1%}, pairs that differ by as much in right order "
            f"{self.ranked / self.pairs:.1%}, contrast rms {np.std(self.errors):.1%}, within what is "
            f"stated {self.covered / len(self.errors):.1%}"
        )


def true_gaps(wall: Wall, moved: dict[Cell, tuple[float, float]]) -> dict[Location, float]:
    gaps = {}
    for seam, (cell, beside) in wall.seams.items():
        axis = 0 if seam.edge == "right" else 1
        gaps[seam] = moved[beside][axis] - moved[cell][axis]
    return gaps


def judge(score: SeamScore, found: SeamReport, gaps: dict[Location, float], pitch: float) -> None:
    told = {seam.at: seam for seam in found.seams}
    for at, seam in told.items():
        error = seam.gap_mm - gaps[at]
        score.errors.append(error / pitch)
        score.covered += abs(error) <= seam.expanded_mm
        if abs(gaps[at]) > ABOVE * pitch:
            score.counted += 1
            score.right_sign += (seam.gap_mm > 0) == (gaps[at] > 0)
    places = list(told)
    for number, first in enumerate(places):
        for second in places[number + 1 :]:
            apart = abs(gaps[first]) - abs(gaps[second])
            if abs(apart) > ABOVE * pitch:
                score.pairs += 1
                seen = abs(told[first].gap_mm) - abs(told[second].gap_mm)
                score.ranked += (seen > 0) == (apart > 0)


def measure(
    wall: Wall,
    pictures: int,
    seed: int,
    px_a_cabinet: float,
    kind: Kind,
    *,
    size: tuple[int, int] | None = None,
    spread_mm: float = 0.15,
) -> SeamScore:
    score = SeamScore()
    cabinet = next(iter(wall.cabinets.values()))
    for number in range(pictures):
        rng = np.random.default_rng(seed + number)
        scene = view(wall, px_a_cabinet, rng, most_yaw_deg=20, size=size)
        moved = {
            cell: (float(rng.normal(0, spread_mm)), float(rng.normal(0, spread_mm)))
            for cell in wall.cabinets
        }
        gains = {cell: float(rng.normal(1, 0.01)) for cell in wall.cabinets}
        lit = even(wall).scattered(0.03, rng).gained(gains).moved(moved)
        shot = Shot("white", taken(scene, lit, seed + number, kind), kind != "jpeg")
        found = read_seams(wall, true_outlines(wall, scene), shot)
        judge(score, found, true_gaps(wall, moved), cabinet.width_mm / cabinet.width_px)
    return score

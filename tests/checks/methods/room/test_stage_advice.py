"""Advice on wall and front light, followed to the letter, must pass."""

from __future__ import annotations

import random
import re

import pytest

from commission_tui.checks.model.types import Verdict
from tests.checks.helping import fellmoor, judge

POSITIONS = tuple(position.name for position in fellmoor().file.stage_positions)
TARGET = fellmoor().file.targets.luminance_cd_m2
STAGES = 300


class Stage:
    """Light on a face, its colour, and the wall behind."""

    def __init__(self, dice: random.Random) -> None:
        self.lights = {p: round(40 * 100 ** dice.random(), 1) for p in POSITIONS}
        self.colours = {p: float(round(dice.uniform(2700, 7000))) for p in POSITIONS}
        self.wall = round(30 * 60 ** dice.random(), 1)
        self.white = float(round(dice.uniform(2700, 11000)))

    def judged(self) -> tuple[Verdict, str]:
        outcome = judge(
            "front-light",
            {
                "presenter_lx": self.lights,
                "key_cct_k": self.colours,
                "wall_white_cd_m2": self.wall,
                "wall_cct_k": self.white,
            },
        )
        return outcome.verdict, outcome.next_step

    def follow(self, advice: str, *, by_filter: bool) -> None:
        if least := re.search(r"at least (\d+) lx at (.+?)\.(?: |$)", advice):
            for place in least[2].split(", "):
                self.lights[place] = max(self.lights[place], float(least[1]))
        if dimmed := re.search(r"dim the front light to ([\d.]+) % of it", advice):
            self.lights = {p: lx * float(dimmed[1]) / 100 for p, lx in self.lights.items()}
        if level := re.search(r"Set the wall's white to ([\d.]+) cd/m2", advice):
            self.wall = float(level[1])
        if one := re.search(r"one colour first, about ([\d.]+) K", advice):
            self.colours = dict.fromkeys(POSITIONS, float(one[1]))
        shift = re.search(r"filter the front light by ([+-]\d+) mired", advice)
        if shift and by_filter:
            self.colours = {p: 1e6 / (1e6 / k + float(shift[1])) for p, k in self.colours.items()}
        elif white := re.search(r"et the wall's white to ([\d.]+) K", advice):
            self.white = float(white[1])


@pytest.mark.parametrize("by_filter", [False, True], ids=["the wall's white", "a filter"])
def test_following_the_advice_passes(by_filter: bool) -> None:
    dice = random.Random(20)  # noqa: S311 (stages, not secrets)
    followed = 0
    for _ in range(STAGES):
        stage = Stage(dice)
        before, advice = stage.judged()
        if before is Verdict.FAIL:
            followed += 1
            stage.follow(advice, by_filter=by_filter)
        after, again = stage.judged()
        assert after is Verdict.PASS, (advice, again)
        assert TARGET is not None
        assert stage.wall <= TARGET or before is Verdict.PASS or "cd/m2" not in advice
    assert followed > 0.9 * STAGES


@pytest.mark.parametrize(
    ("lights", "said"),
    [
        ((300.0, 580.0, 560.0), "Set the wall's white to 169 cd/m2"),
        ((640.0, 800.0, 410.0), "Set the wall's white to"),
        ((400.0, 800.0, 560.0), "at least 460 lx at Lectern"),
        ((2600.0, 2800.0, 2700.0), "more than the wall's target of 600 cd/m2: dim the front light"),
    ],
)
def test_what_is_advised(lights: tuple[float, float, float], said: str) -> None:
    stage = Stage(random.Random(1))  # noqa: S311
    stage.lights = dict(zip(POSITIONS, lights, strict=True))
    stage.colours, stage.white, stage.wall = dict.fromkeys(POSITIONS, 5000.0), 5000.0, 30.0
    verdict, advice = stage.judged()
    assert verdict is Verdict.FAIL
    assert said in advice
    assert "K" not in advice


def test_the_direction_of_the_colour_is_said() -> None:
    stage = Stage(random.Random(1))  # noqa: S311
    stage.lights, stage.wall = dict.fromkeys(POSITIONS, 600.0), 240.0
    stage.colours, stage.white = dict.fromkeys(POSITIONS, 3200.0), 6500.0
    assert stage.judged()[1] == (
        "Set the wall's white to 3200 K, or filter the front light by -159 mired (blue)."
    )
    stage.colours, stage.white = dict.fromkeys(POSITIONS, 6500.0), 3200.0
    assert "+159 mired (amber)" in stage.judged()[1]
    stage.colours = dict(zip(POSITIONS, (3200.0, 6500.0, 6500.0), strict=True))
    assert "Bring the lamps to one colour first" in stage.judged()[1]

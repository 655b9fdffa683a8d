"""One patch beside another: what stands out at low grey, in a batch of modules, as a ghost."""

from __future__ import annotations

from commission_tui.checks.error_budget import function_budget, step_length_budget
from commission_tui.checks.judgement import Placed, judged
from commission_tui.checks.methods.light.chromaticity_limits import uv_apart, uv_step, xy_readings
from commission_tui.checks.methods.plain_limits import with_answers
from commission_tui.checks.model.types import CheckInput, Outcome
from commission_tui.checks.registry import method

_ODD, _BESIDE = ", the odd one", ", beside it"


def _step_percent(odd: float, beside: float) -> float:
    return 100 * (odd / beside - 1)


def _of_white_percent(ghost: float, ground: float, white: float) -> float:
    return 100 * (ghost - ground) / white


@method(
    "patches_apart",
    limits=(),
    optional_fields=(
        *("even", "no_mosaic", "odd_cabinet", "modules_apart", "photo"),
        *("luminance_cd_m2", "x", "y"),
    ),
    optional_limits=("step_percent", "colour"),
)
def patches_apart(data: CheckInput) -> Outcome:
    """Judge what stands out against what is beside it, at each level where both were read.

    Their places are ``5 % grey, the odd one`` and ``5 % grey, beside it``.
    """
    return with_answers(
        data,
        [*_levels(data), *_colours(data)],
        leave_out=frozenset({"luminance_cd_m2", "x", "y"}),
        next_step="Exchange or recalibrate what stands out, then look and read again at every level.",
    )


def _levels(data: CheckInput) -> list[Placed]:
    readings = data.field("luminance_cd_m2")
    placed: list[Placed] = []
    for place, odd in readings.items():
        level = place.removesuffix(_ODD)
        beside = readings.get(level + _BESIDE)
        if level == place or beside is None:
            continue
        if beside.number <= 0:
            raise ValueError(f"{level}{_BESIDE} is {beside.number:g} cd/m2, expected above 0 cd/m2")
        figure = judged(
            f"step from what is beside it at {level}",
            _step_percent(odd.number, beside.number),
            "%",
            limit=data.limits.get("step_percent"),
            expanded=function_budget(_step_percent, odd, beside),
        )
        placed.append((level, figure))
    return placed


def _colours(data: CheckInput) -> list[Placed]:
    colours = xy_readings(data)
    placed: list[Placed] = []
    for place, odd in colours.items():
        level = place.removesuffix(_ODD)
        beside = colours.get(level + _BESIDE)
        if level == place or beside is None:
            continue
        four = (*odd, *beside)
        figure = judged(
            f"colour from what is beside it at {level}, u'v'",
            uv_apart(*(reading.number for reading in four)),
            limit=data.limits.get("colour"),
            expanded=step_length_budget(uv_step, *four),
            digits=2,
        )
        placed.append((level, figure))
    return placed


@method(
    "ghosting",
    fields=("none_seen",),
    limits=(),
    optional_fields=("odd_cabinet", "ghost_cd_m2", "ground_cd_m2", "white_cd_m2"),
    optional_limits=("ghost_percent",),
)
def ghosting(data: CheckInput) -> Outcome:
    """Judge the light of a ghost over its ground as a share of the white that makes it."""
    placed: list[Placed] = []
    for pattern, ghost in data.field("ghost_cd_m2").items():
        ground, white = data.one("ground_cd_m2", pattern), data.one("white_cd_m2", pattern)
        if ground is None or white is None:
            continue
        if white.number <= 0:
            raise ValueError(f"the white of {pattern} is {white.number:g} cd/m2, expected above 0")
        three = (ghost, ground, white)
        figure = judged(
            f"ghost over its ground, {pattern}",
            _of_white_percent(*(reading.number for reading in three)),
            "% of the white",
            limit=data.limits.get("ghost_percent"),
            expanded=function_budget(_of_white_percent, *three),
            digits=2,
        )
        placed.append((pattern, figure))
    return with_answers(
        data,
        placed,
        leave_out=frozenset({"ghost_cd_m2", "ground_cd_m2", "white_cd_m2"}),
        next_step="Look for the setting that removes ghosts in the card's programme; look again.",
    )

"""The wall beside the presenter: level, evenness over the stage and colour."""

from __future__ import annotations

import math
from collections.abc import Sequence

from commission_tui.checks import judgement as j
from commission_tui.checks.error_budget import extremes_budget, function_budget
from commission_tui.checks.model.types import CheckInput, Figure, Outcome, Reading, Readings
from commission_tui.checks.registry import method
from commission_tui.engineering.light.exposure import (
    code_limit_fraction,
    mired_shift,
    wall_over_diffuse_stops,
)
from commission_tui.engineering.light.stage_light import balance_level, balance_white
from commission_tui.figures import shown
from commission_tui.text import listed

_USUAL = "Agree the light state with the lighting operator, then set the level of the wall to it."


@method(
    fields="presenter_lx key_cct_k wall_white_cd_m2 wall_cct_k",
    limits="wall_over_presenter_stops positions_max_to_min colour_difference_mired",
)
def front_light(data: CheckInput) -> Outcome:
    """Judge level, evenness over the stage and colour of the wall against the front light."""
    wall, lights = data.one("wall_white_cd_m2"), data.field("presenter_lx")
    white: Readings = {} if wall is None else dict.fromkeys(lights, wall)
    levels = j.judged_places(
        data,
        "wall over presenter at {}",
        *("presenter_lx", white),
        by=lambda light, wall: wall_over_diffuse_stops(wall, light),
        unit="stops",
        limit="wall_over_presenter_stops",
        digits=2,
    )
    colours, even = j.worst_first(_colour(data)), _evenness(data)
    figures = [*levels[:1], *even, *colours[:1]]
    named = {"level": levels, "evenness": even, "colour": colours}
    step = _advice(data, wall, [name for name, found in named.items() if j.bad_places(found)])
    reason = j.sentence_of(figures) + ("; diffuse white taken as 90 %" if levels else "")
    where = j.bad_places([*levels, *even, *colours])
    return j.conclude(figures, reason, where=where, next_step=step)


def _evenness(data: CheckInput) -> list[Figure]:
    readings = data.field("presenter_lx")
    if len(readings) < 2:
        return []
    low, high = (pick(readings, key=lambda place: readings[place].number) for pick in (min, max))
    dark = readings[low].number
    if dark <= 0:
        raise ValueError(f"light on the face at {low} is {dark:g} lx, expected above 0 lx")
    figure = j.judged(
        "brightest over darkest position",
        readings[high].number / dark,
        limit=data.limits["positions_max_to_min"],
        expanded=extremes_budget(lambda bottom, top: top / bottom, readings),
        place=low,
    )
    return [figure]


def _colour(data: CheckInput) -> list[Figure]:
    wall = data.one("wall_cct_k")
    if wall is None:
        return []
    found = []
    for place, light in data.field("key_cct_k").items():
        shift = mired_shift(wall.number, light.number)
        figure = j.judged(
            f"colour difference at {place} (wall {'cooler' if shift > 0 else 'warmer'})",
            abs(shift),
            "mired",
            limit=data.limits["colour_difference_mired"],
            expanded=function_budget(mired_shift, wall, light),
            place=place,
        )
        found.append(figure)
    return found


def _advice(data: CheckInput, wall: Reading | None, bad: Sequence[str]) -> str:
    """Say which light, level and colour put the wall in the middle of its limits everywhere."""
    parts = []
    if wall is not None and not {"level", "evenness"}.isdisjoint(bad):
        parts.append(_level_advice(data, wall))
    if "colour" in bad:
        parts.append(_colour_advice(data))
    return " ".join(part for part in parts if part) or _USUAL


def _level_advice(data: CheckInput, wall: Reading) -> str:
    limit, lights = data.limits["wall_over_presenter_stops"], data.numbers("presenter_lx")
    if limit.low is None or limit.high is None or min(lights.values(), default=0.0) <= 0:
        return _USUAL
    target = data.wall.file.targets.luminance_cd_m2
    found = balance_level(
        list(lights.values()),
        limit.low,
        limit.high,
        max_to_min=data.limits["positions_max_to_min"].high,
        most_cd_m2=target,
    )
    dark = [place for place, lx in lights.items() if lx < found.least_lx * (1 - 1e-9)]
    least = math.ceil(found.least_lx)
    parts = [f"Bring the front light to at least {least} lx at {listed(dark)}."] if dark else []
    if found.light_share < 1:
        parts.append(
            f"This light asks for {shown(found.wanted_cd_m2)} cd/m2, more than the wall's target of "
            f"{shown(found.wall_cd_m2)} cd/m2: dim the front light to "
            f"{shown(100 * found.light_share)} % of it, or agree a higher target."
        )
    code = code_limit_fraction(found.wall_cd_m2, wall.number, data.wall.file.targets.grey_exponent)
    or_content = (
        f", or keep the level and hold the content's white to {100 * code:.0f} % signal"
        if code < 1
        else ""
    )
    parts.append(
        f"Set the wall's white to {shown(found.wall_cd_m2)} cd/m2 under this light{or_content}."
    )
    return " ".join(parts)


def _colour_advice(data: CheckInput) -> str:
    wall, lamps = data.one("wall_cct_k"), data.numbers("key_cct_k")
    most = data.limits["colour_difference_mired"].high
    if wall is None or most is None or not lamps:
        return _USUAL
    found = balance_white(list(lamps.values()), wall.number, most)
    white = f"{shown(found.white_k)} K"
    if not found.one_colour:
        warm, cool = min(lamps, key=lamps.__getitem__), max(lamps, key=lamps.__getitem__)
        return (
            f"Bring the lamps to one colour first, about {white}: no white of the wall fits both "
            f"{warm} and {cool}. Then set the wall's white to {white}."
        )
    colour = "amber" if found.filter_mired > 0 else "blue"
    return (
        f"Set the wall's white to {white}, or filter the front light by "
        f"{found.filter_mired:+.0f} mired ({colour})."
    )

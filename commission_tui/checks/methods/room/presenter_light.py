"""The wall beside the presenter: level, evenness over the stage and colour."""

from __future__ import annotations

from statistics import fmean

from commission_tui.checks.judgement import Placed, bad_places, conclude, judged, ranked, standard
from commission_tui.checks.model.types import CheckInput, Figure, Limit, Outcome, Reading
from commission_tui.checks.registry import method
from commission_tui.engineering.light.exposure import (
    code_limit_fraction,
    mired_shift,
    wall_level_for_stops,
    wall_over_diffuse_stops,
)
from commission_tui.engineering.numeric.uncertainty import propagate, ratio_expanded
from commission_tui.figures import shown


@method(
    "front_light",
    fields=("presenter_lx", "key_cct_k", "wall_white_cd_m2", "wall_cct_k"),
    limits=("wall_over_presenter_stops", "positions_max_to_min", "colour_difference_mired"),
)
def front_light(data: CheckInput) -> Outcome:
    """Judge level, evenness over the stage and colour of the wall against the front light."""
    wall = data.one("wall_white_cd_m2")
    levels = [] if wall is None else ranked(_levels(data, wall))
    colours = ranked(_colour(data))
    even = _evenness(data)
    figures = [figure for _, figure in (*levels[:1], *even, *colours[:1])]
    bad = [*bad_places(levels), *bad_places(even), *bad_places(colours)]
    step = _advice(data, wall)
    return conclude(figures, where=list(dict.fromkeys(bad)), next_step=step)


def _levels(data: CheckInput, wall: Reading) -> list[Placed]:
    return [
        (place, _over_presenter(data, place, wall, light))
        for place, light in data.field("presenter_lx").items()
    ]


def _over_presenter(data: CheckInput, place: str, wall: Reading, light: Reading) -> Figure:
    pair = (wall, light)
    values = [reading.number for reading in pair]
    expanded = None
    if any(reading.expanded is not None for reading in pair):
        carried = propagate(wall_over_diffuse_stops, values, [standard(r) for r in pair])
        expanded = 2 * carried.standard
    return judged(
        f"wall over presenter at {place}",
        wall_over_diffuse_stops(*values),
        "stops",
        limit=data.limits["wall_over_presenter_stops"],
        expanded=expanded,
        digits=2,
    )


def _evenness(data: CheckInput) -> list[Placed]:
    readings = data.field("presenter_lx")
    if len(readings) < 2:
        return []
    low = min(readings, key=lambda place: readings[place].number)
    high = max(readings, key=lambda place: readings[place].number)
    bright, dark = readings[high], readings[low]
    if dark.number <= 0:
        raise ValueError(f"light on the face at {low} is {dark.number:g} lx, expected above 0 lx")
    expanded = None
    if bright.expanded is not None or dark.expanded is not None:
        expanded = ratio_expanded(bright.number, standard(bright), dark.number, standard(dark))
    figure = judged(
        "brightest over darkest position",
        bright.number / dark.number,
        limit=data.limits["positions_max_to_min"],
        expanded=expanded,
    )
    return [(low, figure)]


def _colour(data: CheckInput) -> list[Placed]:
    wall = data.one("wall_cct_k")
    if wall is None:
        return []
    placed: list[Placed] = []
    for place, light in data.field("key_cct_k").items():
        values = [wall.number, light.number]
        expanded = None
        if wall.expanded is not None or light.expanded is not None:
            carried = propagate(mired_shift, values, [standard(wall), standard(light)])
            expanded = 2 * carried.standard
        figure = judged(
            f"colour difference at {place}",
            abs(mired_shift(*values)),
            "mired",
            limit=data.limits["colour_difference_mired"],
            expanded=expanded,
        )
        placed.append((place, figure))
    return placed


def _advice(data: CheckInput, wall: Reading | None) -> str:
    """Say the level, or the content's white, that puts the wall in the middle of the limits."""
    aim = _middle(data.limits["wall_over_presenter_stops"])
    lights = list(data.numbers("presenter_lx").values())
    usual = (
        "Agree the light state with the lighting operator, then set the level of the wall to it."
    )
    if aim is None or wall is None or not lights or min(lights) <= 0:
        return usual
    level = wall_level_for_stops(aim, fmean(lights))
    exponent = data.wall.file.targets.grey_exponent
    code = code_limit_fraction(level, wall.number, exponent)
    if code >= 1:
        return f"Set the wall's white to about {shown(level, 2)} cd/m² under this light."
    return (
        f"Set the wall's white to about {shown(level, 2)} cd/m² under this light, or keep the level "
        f"and hold the content's white to {100 * code:.0f} % signal."
    )


def _middle(limit: Limit) -> float | None:
    if limit.low is None or limit.high is None:
        return None
    return (limit.low + limit.high) / 2

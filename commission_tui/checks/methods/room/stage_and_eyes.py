"""Light on the stage and in the eyes: beside the presenter, along the walk, its colour, the wall's own light, flashes."""

from __future__ import annotations

import math
import operator
from collections.abc import Mapping, Sequence
from statistics import fmean

from commission_tui.checks import judgement as j
from commission_tui.checks.error_budget import extremes_budget, function_budget, mean_budget
from commission_tui.checks.model.types import (
    Budget,
    CheckInput,
    Figure,
    Limit,
    Outcome,
    Reading,
    Readings,
    Verdict,
)
from commission_tui.checks.registry import method
from commission_tui.engineering.light.exposure import (
    code_limit_fraction,
    mired_shift,
    stops,
    wall_over_diffuse_stops,
)
from commission_tui.engineering.light.stage_light import balance_level, balance_white
from commission_tui.engineering.light.stage_light import walk_light as evenness_along
from commission_tui.engineering.numeric.bounds import RefusedError
from commission_tui.engineering.viewing.flashing import Flash, flash_from_signal
from commission_tui.figures import shown
from commission_tui.text import listed, upper_first

_USUAL = "Agree the light state with the lighting operator, then set the level of the wall to it."


@method(fields="light_lx seated_lx?", limits="mean_lx max_to_min between_steps")
def walk_light(data: CheckInput) -> Outcome:
    """Judge level and evenness of the light on a face along the walk."""
    readings = data.needed_field("no position of the walk is read yet", "light_lx")
    levels = data.numbers("light_lx")
    mean = j.judged(
        "mean light on a face",
        fmean(levels.values()),
        "lx",
        limit=data.limits["mean_lx"],
        budget=mean_budget(readings.values()),
    )
    figures = [mean]
    if len(levels) > 1:
        figures += _along(data, levels)
        spread = stops(figures[1].value)
        figures.append(j.judged("spread along the walk", spread, "stops", digits=2))
    step = "Refocus the lamp that is short at the named position, or look for one that has failed."
    return j.conclude(figures, next_step=step)


def _along(data: CheckInput, levels: Mapping[str, float]) -> list[Figure]:
    """Judge the ends of the walk and its largest step, each at its darker position."""
    places, readings = list(levels), data.field("light_lx")
    found = evenness_along(list(levels.values()))
    first, second = places[found.step_at : found.step_at + 2]
    dark, bright = sorted((first, second), key=levels.__getitem__)
    step = j.judged(
        f"step between {first} and {second}",
        found.largest_step,
        limit=data.limits["between_steps"],
        budget=function_budget(operator.truediv, readings[bright], readings[dark]),
        place=dark,
    )
    return [_brightest_over_darkest(readings, data.limits["max_to_min"]), step]


def _brightest_over_darkest(readings: Readings, limit: Limit) -> Figure:
    numbers = {place: reading.number for place, reading in readings.items()}
    low, high = (pick(numbers, key=numbers.__getitem__) for pick in (min, max))
    if numbers[low] <= 0:
        raise RefusedError(
            f"light on the face at {low} is {numbers[low]:g} lx, expected above 0 lx"
        )
    return j.judged(
        "brightest over darkest position",
        numbers[high] / numbers[low],
        limit=limit,
        budget=extremes_budget(lambda bottom, top: top / bottom, readings),
        place=low,
    )


@method(fields="cct_k tlci duv? wall_cct_k?", limits="from_mean_k tlci")
def key_colour(data: CheckInput) -> Outcome:
    """Judge how alike the front light's colours are over the area, and how true."""
    readings = data.field("cct_k")
    mean = fmean(reading.number for reading in readings.values()) if readings else 0.0
    placed = [
        j.judged(
            f"colour temperature from the mean at {place} ({'cooler' if reading.number > mean else 'warmer'})",
            abs(reading.number - mean),
            "K",
            limit=data.limits["from_mean_k"],
            budget=_from_mean(place, readings),
            place=place,
        )
        for place, reading in readings.items()
    ]
    worst_first = j.worst_first(
        [*placed, *j.judged_places(data, "TLCI at {}", "tlci", limit="tlci")]
    )
    step = "Look for mixed lamps, gels and dimmed tungsten; the lighting operator exchanges them."
    return j.conclude([*worst_first, *_to_the_wall(data)], next_step=step)


def _from_mean(place: str, readings: Readings) -> Budget | None:
    """Return the uncertainty of a reading's distance from the mean of all, itself among them."""
    at = list(readings).index(place)
    return function_budget(lambda *all_k: all_k[at] - fmean(all_k), *readings.values())


def _to_the_wall(data: CheckInput) -> list[Figure]:
    """Record the mean front light against the wall's white, where that was read too."""
    wall, keys = data.one("wall_cct_k"), list(data.numbers("cct_k").values())
    if wall is None or not keys:
        return []
    apart = mired_shift(wall.number, fmean(keys))
    side = "wall cooler" if apart > 0 else "wall warmer"
    return [j.judged(f"wall's white to the front light ({side})", abs(apart), "mired")]


@method(fields="wall_lx key_lx", limits="of_key_percent")
def wall_on_faces(data: CheckInput) -> Outcome:
    """Judge the wall's own light on faces as a share of the front light there."""
    figures = j.judged_places(
        data,
        "wall's light at the {}",
        *("wall_lx", "key_lx"),
        by=j.share_of("the front light", "lx"),
        unit="% of the front light",
        limit="of_key_percent",
    )
    if not figures:
        return Outcome(Verdict.OPEN, "both lights at one place are needed")
    worst = figures[0]
    if worst.value > 0:
        name = f"front light over the wall's at the {worst.place}"
        figures.append(j.judged(name, stops(100 / worst.value), "stops"))
    step = "Lower the wall's white for this state, hold content darker, or raise the front light."
    return j.conclude(figures, next_step=step)


@method(
    fields="white_cd_m2 comfortable eye_lx? surround_cd_m2? agreed_cd_m2? remarks?",
    limits="of_agreed_percent",
)
def comfort(data: CheckInput) -> Outcome:
    """Weigh the front row's answer with the level agreed for each light state."""
    levels = j.judged_places(
        data,
        "white against the level agreed for {}",
        *("white_cd_m2", "agreed_cd_m2"),
        by=_off_agreed,
        unit="%",
        limit="of_agreed_percent",
    )
    unhappy = j.answered_no(data, "comfortable")
    answer = f"Too bright for the front row in {listed(unhappy)}" if unhappy else "Comfortable"
    return j.conclude(
        [*levels, *_over_surround(data)],
        j.phrased(answer, j.clauses_of([*levels, *_over_surround(data)]) if levels else ""),
        where=[*unhappy, *j.bad_places(levels)],
        next_step="Agree a level for each light state and put it into that state's preset.",
        failed=unhappy,
    )


def _off_agreed(white: float, agreed: float) -> float:
    if agreed <= 0:
        raise RefusedError(f"the level agreed is {agreed:g} cd/m², expected above 0 cd/m²")
    return 100 * (white / agreed - 1)


def _over_surround(data: CheckInput) -> list[Figure]:
    whites = data.numbers("white_cd_m2")
    return [
        j.judged(f"wall over its surround in {state}", whites[state] / surround, digits=2)
        for state, surround in data.numbers("surround_cd_m2").items()
        if state in whites and surround > 0
    ]


@method(
    fields="flashes_per_s area_percent brighter_percent darker_percent white_cd_m2 clip?",
    limits="flashes_per_s",
)
def flash_check(data: CheckInput) -> Outcome:
    """Judge the flashes of a clip at this wall's level, not at a monitor's."""
    words = "the flashes in a second and the wall's white are needed"
    rate, white = data.needed(words, "flashes_per_s", "white_cd_m2")
    found = _flash(data, white.number)
    brightest = _flash(data, white.number + (white.expanded or 0.0))
    limit = data.limits["flashes_per_s"] if brightest.counts else None
    flashes = j.judged_from("flashes in a second", rate, limit=limit, digits=2)
    step = j.judged("step of light on this wall", found.step_cd_m2, "cd/m2")
    changes = f"{j.against_limit(step)} over {shown(data.numbers('area_percent')['wall'])} %"
    if not brightest.counts:
        return j.conclude([flashes, step], f"No flash by the rule at this level: {changes}")
    advice = "Do not show this clip to an audience at this level: recut it, or lower the level."
    if not found.counts and flashes.verdict is not Verdict.PASS:
        reason = f"Whether this is a flash cannot be told within the white's uncertainty: {changes}"
        return Outcome(Verdict.MARGINAL, upper_first(reason), (flashes, step), advice)
    reason = f"{j.sentence_of([flashes])}; {changes} counts as a flash"
    return j.conclude([flashes, step], reason, next_step=advice)


def _flash(data: CheckInput, white_cd_m2: float) -> Flash:
    names = ("brighter_percent", "darker_percent", "area_percent")
    readings = data.needed("area and both signal levels are needed", *names)
    brighter, darker, area = (reading.number for reading in readings)
    exponent = data.wall.file.targets.grey_exponent
    return flash_from_signal(brighter, darker, area, white_cd_m2, exponent)


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
    colours, even = j.worst_first(_colour(data)), list[Figure]()
    if len(lights) > 1:
        even.append(_brightest_over_darkest(lights, data.limits["positions_max_to_min"]))
    figures = [*levels[:1], *even, *colours[:1]]
    named = {"level": levels, "evenness": even, "colour": colours}
    step = _advice(data, wall, [name for name, found in named.items() if j.bad_places(found)])
    reason = j.sentence_of(figures) + ("; diffuse white taken as 90 %" if levels else "")
    where = j.bad_places([*levels, *even, *colours])
    return j.conclude(figures, reason, where=where, next_step=step)


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
            budget=function_budget(mired_shift, wall, light),
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
    parts.append(
        f"Set the wall's white to {shown(found.wall_cd_m2)} cd/m2 under this light"
        f"{_or_content(data, found.wall_cd_m2, wall.number)}."
    )
    return " ".join(parts)


def _or_content(data: CheckInput, allowed_cd_m2: float, white_cd_m2: float) -> str:
    """Say what signal the content's white may have instead; no number where no exponent is stated."""
    targets = data.wall.file.targets
    code = code_limit_fraction(allowed_cd_m2, white_cd_m2, targets.grey_exponent)
    if code >= 1:
        return ""
    if "grey_exponent" not in targets.model_fields_set:
        return ", or keep the level and darken the content's white to that"
    return f", or keep the level and hold the content's white to {100 * code:.0f} % signal"


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

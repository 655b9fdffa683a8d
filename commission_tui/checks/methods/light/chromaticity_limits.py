"""Chromaticities held against the maker's sheet, against white, and against the view square on."""

from __future__ import annotations

from collections.abc import Mapping

from commission_tui.checks import judgement as j
from commission_tui.checks.error_budget import (
    function_budget,
    step_length_budget,
    with_separate_calibration,
)
from commission_tui.checks.model.types import (
    CheckInput,
    Figure,
    Limit,
    Outcome,
    Reading,
    Readings,
    Verdict,
)
from commission_tui.checks.registry import method
from commission_tui.engineering.colour.colorimetry import (
    PRIMARIES,
    delta_uv_prime,
    gamut_area,
    gamut_coverage,
    xy_to_uv_prime,
)
from commission_tui.text import upper_first

_COLOURS = ("red", "green", "blue")
_CENTRE = "centre"
_WHITE = "100 %"
_SQUARE_ON = "square on"

Pair = tuple[Reading, Reading]
Pairs = Mapping[str, Pair]
"""Place to the readings of x and y there."""


def xy_readings(data: CheckInput, x: str = "x", y: str = "y") -> dict[str, Pair]:
    """Return the readings of both axes at each place that has both, in the order wanted."""
    pairs = pairs_of(data.readings, x, y)
    return {place: pairs[place] for place in data.expected.get(x) or pairs if place in pairs}


def pairs_of(fields: Mapping[str, Readings], x: str = "x", y: str = "y") -> dict[str, Pair]:
    """Return the readings of both axes at each place that has both."""
    across, up = fields.get(x, {}), fields.get(y, {})
    return {place: (across[place], up[place]) for place in across if place in up}


def uv_apart(x: float, y: float, other_x: float, other_y: float) -> float:
    """Return the distance of two chromaticities in u', v'."""
    return delta_uv_prime(xy_to_uv_prime(x, y), xy_to_uv_prime(other_x, other_y))


def uv_step(x: float, y: float, other_x: float, other_y: float) -> tuple[float, float]:
    """Return the step from one chromaticity to another along u' and v'."""
    first, second = xy_to_uv_prime(x, y), xy_to_uv_prime(other_x, other_y)
    return first[0] - second[0], first[1] - second[1]


def judged_step(
    name: str, pair: Pair, other: Pair, *, limit: Limit | None = None, place: str = ""
) -> Figure:
    """Judge the step from one chromaticity, as read, to another."""
    four = (*pair, *other)
    return j.judged(
        name,
        uv_apart(*(reading.number for reading in four)),
        limit=limit,
        budget=step_length_budget(uv_step, *four),
        digits=2,
        place=place,
    )


@method(fields="x y sheet_x sheet_y", limits="from_sheet coverage_percent?")
def primaries(data: CheckInput) -> Outcome:
    """Judge each primary against the maker's sheet, and the gamut that they span."""
    pairs, sheet = xy_readings(data), xy_readings(data, "sheet_x", "sheet_y")
    placed = j.worst_first(_from_sheet(data, pairs, sheet))
    gamut = _gamut(data, pairs)
    if not placed and not gamut:
        return Outcome(Verdict.OPEN, "x and y of a primary and of the sheet are needed")
    figures = placed[:1]
    step = (
        "Check the meter's matrix for these primaries first; then whether the correction mixes "
        "primaries, then the batch."
    )
    reason = upper_first(j.clauses_of([*figures, *gamut]))
    bad = j.bad_places(placed)
    return j.conclude([*figures, *gamut, *_spread(pairs)], reason, where=bad, next_step=step)


def _colour(place: str) -> str:
    return place.split(",")[0]


def _from_sheet(data: CheckInput, pairs: Pairs, sheet: Pairs) -> list[Figure]:
    """Judge the worse axis of each primary."""
    placed = []
    for place, measured in pairs.items():
        stated = sheet.get(_colour(place))
        if stated is None:
            continue
        axes = list(zip("xy", measured, stated, strict=True))
        axis, *worst = max(axes, key=lambda one: abs(one[1].number - one[2].number))
        figure = j.judged_from(
            f"chromaticity {axis} from the sheet at {place}",
            *worst,
            by=lambda m, s: abs(m - s),
            limit=data.limits["from_sheet"],
            digits=2,
            place=place,
        )
        placed.append(figure)
    return placed


def _gamut(data: CheckInput, pairs: Pairs) -> list[Figure]:
    centre = [pairs.get(f"{colour}, {_CENTRE}") for colour in _COLOURS]
    if any(pair is None for pair in centre):
        return []
    flat = [reading for pair in centre if pair is not None for reading in pair]

    def coverage(*xy: float) -> float:
        return 100 * gamut_coverage(list(zip(xy[::2], xy[1::2], strict=True)), PRIMARIES["BT.709"])

    numbers = [reading.number for reading in flat]
    triangle = list(zip(numbers[::2], numbers[1::2], strict=True))
    return [
        j.judged(
            "coverage of the BT.709 gamut",
            coverage(*numbers),
            "%",
            limit=data.limits.get("coverage_percent"),
            budget=function_budget(coverage, *with_separate_calibration(flat)),
        ),
        j.judged("area of the gamut in u'v'", gamut_area(triangle)),
    ]


def _spread(pairs: Pairs) -> list[Figure]:
    """Record how far the cabinets measured are from the centre's primary of the same colour."""
    figures = []
    for colour in _COLOURS:
        centre = pairs.get(f"{colour}, {_CENTRE}")
        others = [p for place, p in pairs.items() if _colour(place) == colour and p is not centre]
        if centre is None or not others:
            continue
        x, y = (reading.number for reading in centre)
        apart = max(uv_apart(x, y, ox.number, oy.number) for ox, oy in others)
        figures.append(j.judged(f"{colour} of the cabinets from the centre, u'v'", apart, digits=2))
    return figures


@method(fields="x y", limits="from_white")
def grey_balance(data: CheckInput) -> Outcome:
    """Judge the colour of every grey against that of white."""
    pairs = xy_readings(data)
    white = pairs.get(_WHITE)
    if white is None:
        return Outcome(Verdict.OPEN, "x and y of white are needed first")
    greys = _steps_from(pairs, _WHITE, "colour of {} from white, u'v'", data.limits["from_white"])
    step = "Look at the low-grey correction of the receiving cards, then at the curve per colour."
    return j.conclude(greys[:3], where=j.bad_places(greys), next_step=step)


def _steps_from(pairs: Pairs, origin: str, words: str, limit: Limit) -> list[Figure]:
    """Judge every colour against that at one place, worst first."""
    return j.worst_first(
        judged_step(words.format(place), pair, pairs[origin], limit=limit, place=place)
        for place, pair in pairs.items()
        if place != origin
    )


@method(fields="luminance_cd_m2 x y", limits="of_normal_percent shift")
def viewing_angle(data: CheckInput) -> Outcome:
    """Judge what is left of light and colour at the widest seats against the view square on."""
    levels, pairs = data.field("luminance_cd_m2"), xy_readings(data)
    light, tint = [], []
    if _SQUARE_ON in levels:
        light = j.judged_places(
            data,
            "light at the {}",
            *("luminance_cd_m2", levels[_SQUARE_ON]),
            but={_SQUARE_ON},
            by=j.share_of("the light square on", "cd/m²"),
            unit="% of that square on",
            limit="of_normal_percent",
        )
    if _SQUARE_ON in pairs:
        words, limit = "colour shift at the {}, u'v'", data.limits["shift"]
        tint = _steps_from(pairs, _SQUARE_ON, words, limit)
    if not light and not tint:
        return Outcome(Verdict.OPEN, "the reading square on and one from the side are needed")
    step = "Compare with the maker's angles; look whether one batch or one mask differs."
    where = j.bad_places([*light, *tint])
    return j.conclude([*light[:1], *tint[:1]], where=where, next_step=step)

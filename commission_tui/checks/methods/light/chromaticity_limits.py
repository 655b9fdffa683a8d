"""Chromaticities held against the maker's sheet, against white, and against the view square on."""

from __future__ import annotations

from collections.abc import Mapping

from commission_tui.checks.error_budget import (
    function_budget,
    step_length_budget,
    with_separate_calibration,
)
from commission_tui.checks.judgement import (
    Placed,
    bad_places,
    clauses_of,
    conclude,
    judged,
    worst_first,
)
from commission_tui.checks.model.types import CheckInput, Figure, Outcome, Reading, Verdict
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

Pairs = Mapping[str, tuple[Reading, Reading]]
"""Place to the readings of x and y there."""


def xy_readings(data: CheckInput, x: str = "x", y: str = "y") -> dict[str, tuple[Reading, Reading]]:
    """Return the readings of both axes at each place that has both, in the order wanted."""
    across, up = data.field(x), data.field(y)
    order = data.expected.get(x) or tuple(across)
    return {p: (across[p], up[p]) for p in order if p in across and p in up}


def uv_apart(x: float, y: float, other_x: float, other_y: float) -> float:
    """Return the distance of two chromaticities in u', v'."""
    return delta_uv_prime(xy_to_uv_prime(x, y), xy_to_uv_prime(other_x, other_y))


def uv_step(x: float, y: float, other_x: float, other_y: float) -> tuple[float, float]:
    """Return the step from one chromaticity to another along u' and v'."""
    first, second = xy_to_uv_prime(x, y), xy_to_uv_prime(other_x, other_y)
    return first[0] - second[0], first[1] - second[1]


@method(
    "primaries",
    fields=("x", "y", "sheet_x", "sheet_y"),
    limits=("from_sheet",),
    optional_limits=("coverage_percent",),
)
def primaries(data: CheckInput) -> Outcome:
    """Judge each primary against the maker's sheet, and the gamut that they span."""
    pairs, sheet = xy_readings(data), xy_readings(data, "sheet_x", "sheet_y")
    placed = worst_first(_from_sheet(data, pairs, sheet))
    gamut = _gamut(data, pairs)
    if not placed and not gamut:
        return Outcome(Verdict.OPEN, "x and y of a primary and of the sheet are needed")
    figures = [figure for _, figure in placed[:1]]
    step = (
        "Check the meter's matrix for these primaries first; then whether the correction mixes "
        "primaries, then the batch."
    )
    reason = upper_first(clauses_of([*figures, *gamut]))
    bad = bad_places(placed)
    return conclude([*figures, *gamut, *_spread(pairs)], reason, where=bad, next_step=step)


def _colour(place: str) -> str:
    return place.split(",")[0]


def _from_sheet(data: CheckInput, pairs: Pairs, sheet: Pairs) -> list[Placed]:
    """Judge the worse axis of each primary."""
    placed = []
    for place, measured in pairs.items():
        stated = sheet.get(_colour(place))
        if stated is None:
            continue
        off = [abs(m.number - s.number) for m, s in zip(measured, stated, strict=True)]
        axis = off.index(max(off))
        figure = judged(
            f"chromaticity {'xy'[axis]} from the sheet at {place}",
            off[axis],
            limit=data.limits["from_sheet"],
            expanded=function_budget(lambda m, s: abs(m - s), measured[axis], stated[axis]),
            digits=2,
        )
        placed.append((place, figure))
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
        judged(
            "coverage of the BT.709 gamut",
            coverage(*numbers),
            "%",
            limit=data.limits.get("coverage_percent"),
            expanded=function_budget(coverage, *with_separate_calibration(flat)),
        ),
        judged("area of the gamut in u'v'", gamut_area(triangle)),
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
        figures.append(judged(f"{colour} of the cabinets from the centre, u'v'", apart, digits=2))
    return figures


@method("grey_balance", fields=("x", "y"), limits=("from_white",))
def grey_balance(data: CheckInput) -> Outcome:
    """Judge the colour of every grey against that of white."""
    pairs = xy_readings(data)
    white = pairs.get(_WHITE)
    if white is None:
        return Outcome(Verdict.OPEN, "x and y of white are needed first")
    placed = worst_first(
        (place, _shift(f"colour of {place} from white, u'v'", pair, white, data, "from_white"))
        for place, pair in pairs.items()
        if place != _WHITE
    )
    step = "Look at the low-grey correction of the receiving cards, then at the curve per colour."
    figures = [figure for _, figure in placed[:3]]
    return conclude(figures, where=bad_places(placed), next_step=step)


def _shift(
    name: str,
    pair: tuple[Reading, Reading],
    against: tuple[Reading, Reading],
    data: CheckInput,
    limit: str,
) -> Figure:
    numbers = [reading.number for reading in (*pair, *against)]
    return judged(
        name,
        uv_apart(*numbers),
        limit=data.limits[limit],
        expanded=step_length_budget(uv_step, *pair, *against),
        digits=2,
    )


@method(
    "viewing_angle",
    fields=("luminance_cd_m2", "x", "y"),
    limits=("of_normal_percent", "shift"),
)
def viewing_angle(data: CheckInput) -> Outcome:
    """Judge what is left of light and colour at the widest seats against the view square on."""
    levels, pairs = data.field("luminance_cd_m2"), xy_readings(data)
    normal, white = levels.get(_SQUARE_ON), pairs.get(_SQUARE_ON)
    light = [] if normal is None else worst_first(_shares(data, normal))
    tint = (
        []
        if white is None
        else worst_first(
            (place, _shift(f"colour shift at the {place}, u'v'", pair, white, data, "shift"))
            for place, pair in pairs.items()
            if place != _SQUARE_ON
        )
    )
    if not light and not tint:
        return Outcome(Verdict.OPEN, "the reading square on and one from the side are needed")
    figures = [figure for _, figure in (*light[:1], *tint[:1])]
    bad = list(dict.fromkeys([*bad_places(light), *bad_places(tint)]))
    step = "Compare with the maker's angles; look whether one batch or one mask differs."
    return conclude(figures, where=bad, next_step=step)


def _shares(data: CheckInput, normal: Reading) -> list[Placed]:
    return [
        (
            place,
            judged(
                f"light at the {place}",
                _share(reading.number, normal.number),
                "% of that square on",
                limit=data.limits["of_normal_percent"],
                expanded=function_budget(_share, reading, normal),
            ),
        )
        for place, reading in data.field("luminance_cd_m2").items()
        if place != _SQUARE_ON
    ]


def _share(level: float, normal: float) -> float:
    if normal <= 0:
        raise ValueError(f"the light square on is {normal:g} cd/m², expected above 0 cd/m²")
    return 100 * level / normal

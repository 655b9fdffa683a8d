"""Guessing what slipped when a value does not sit with its neighbours."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from statistics import median
from typing import Annotated

from commission_tui.engineering.numeric.bounds import Range, checked
from commission_tui.engineering.numeric.units import UNITS, known_unit

_FEWEST = 3
_LEAST_OUTLIER = 0.03
_NEAR = 0.05
_DECIMAL = "a decimal point out of place or a digit too many or too few"

_UNIT_SLIPS = (
    ("lx", "lux", "fc", "footcandles"),
    ("cd/m²", "cd/m²", "fL", "footlamberts"),
    ("ft", "feet", "m", "metres"),
    ("mm", "millimetres", "in", "inches"),
    ("lb", "pounds", "kg", "kilograms"),
)
"""The unit that gives the larger number and the one that gives the smaller, each with its name."""


@dataclass(frozen=True, slots=True)
class FoundSlip:
    """What may have slipped, and the value without it."""

    text: str
    """The likely cause or two, as a question."""
    would_be: float
    """The value when the likeliest cause is the true one, [unit of the value]."""


@checked
def find_slip(
    value: Annotated[float, Range(), "Just entered"],
    neighbours: Annotated[Sequence[float], Range(fewest=0), "Values of the same kind near it"],
    unit: Annotated[str | None, "Theirs; only slips of its quantity are then thought of"] = None,
    *,
    spread: Annotated[float | None, Range()] = None,
    beside: Annotated[str, "What the neighbours are, for the text"] = "beside it",
) -> FoundSlip | None:
    """Return what may have slipped when a value does not sit with its neighbours.

    Parameters
    ----------
    spread : float, optional
        How far apart such values may lie by nature, as the logarithm of their ratio. One neighbour
        then suffices for a unit or a decimal point, but not for swapped digits.

    Returns
    -------
    FoundSlip or None
        The likely cause or two, and the value without it. None when the value sits well, nothing
        explains it, there are fewer than three neighbours and no `spread`, or their median is 0.

    Notes
    -----
    A value is out of place when it is off the median by more than 3 % and more than five times the
    neighbours' own spread (1.4826 times the median absolute deviation). Unit and decimal slips are
    recognised by the ratio to the median; swapped digits by a neighbouring pair that, exchanged,
    brings it back. It is a question to the technician, never a correction.

    References
    ----------
    .. [1] F. R. Hampel, The influence curve and its role in robust estimation, J. Am. Stat. Assoc.
       69 (1974), for the spread. The list of slips: common practice, no published source.

    Examples
    --------
    >>> found = find_slip(65.0, [700.0, 690.0, 710.0], "lx")
    >>> found.text, round(found.would_be, 1)
    ('65 is 1/10.8 of 700, the median of the 3 beside it: footcandles where lux is meant?', 699.7)
    """
    few = len(neighbours) < _FEWEST
    if not neighbours or (few and spread is None):
        return None
    scale = max(map(abs, neighbours))
    middle = median(x / scale for x in neighbours) if scale else 0.0
    if middle == 0.0:
        return None
    share = 1.4826 * median(abs(x / scale - middle) for x in neighbours) / abs(middle)
    ratio = value / scale / middle
    if abs(ratio - 1.0) <= max(_LEAST_OUTLIER, 5.0 * share) or not math.isfinite(ratio):
        return None
    usual = middle * scale
    fits = max(_NEAR, 2.0 * share)
    causes = list(_causes(value, ratio, max(fits, spread or 0.0), unit))
    causes += [] if few else list(_swapped(value, ratio, fits))
    if not causes:
        return None
    words = " or ".join(list(dict.fromkeys(text for text, _ in causes))[:2])
    against = f"the {usual:g} {beside}"
    if min(neighbours) != max(neighbours):  # it is mostly none of these
        against = f"{usual:g}, the median of the {len(neighbours)} {beside}"
    said = f"{value:g} is {_ratio_text(ratio, usual, against)}: {words}?"
    return FoundSlip(said, causes[0][1])


def _ratio_text(ratio: float, usual: float, against: str) -> str:
    if 0.0 < ratio <= 0.5:
        return f"1/{_three_figures(1.0 / ratio)} of {against}"
    if ratio >= 2.0:
        return f"{_three_figures(ratio)} times {against}"
    return f"out of place beside {usual:g}"


def _three_figures(ratio: float) -> str:
    """Round to three figures without an exponent, so that a thousand reads 1000."""
    return f"{float(f'{ratio:.3g}'):g}"


def _causes(
    value: float, ratio: float, near: float, unit: str | None
) -> Iterator[tuple[str, float]]:
    """Yield the units and powers of ten that would bring the value back, the best first."""
    if ratio < 0.0 and abs(ratio + 1.0) <= near:
        yield "the sign turned round", -value
    if ratio <= 0.0:
        return
    measured = math.log(ratio)
    named = [(abs(measured - math.log(size)), text, value / size) for size, text in _ratios(unit)]
    yield from ((text, back) for distance, text, back in sorted(named) if distance <= near)


def _swapped(value: float, ratio: float, near: float) -> Iterator[tuple[str, float]]:
    if ratio <= 0.0:
        return
    swaps = [(abs(ratio * swap / value - 1.0), swap) for swap in _swaps(value)]
    off, swap = min(swaps, default=(math.inf, value))
    if off <= min(near, abs(ratio - 1.0) / 3.0):
        yield f"two digits swapped, {swap:g}", swap


def _ratios(unit: str | None) -> Iterator[tuple[float, str]]:
    known = known_unit(unit) if unit else None
    for large, larger, small, smaller in _UNIT_SLIPS:
        if unit is None or (known is not None and known.quantity == UNITS[large].quantity):
            size = float(UNITS[small].factor / UNITS[large].factor)
            yield size, f"{larger} where {smaller} is meant"
            yield 1.0 / size, f"{smaller} where {larger} is meant"
    for power in (1, 2, 3):
        yield 10.0**power, _DECIMAL
        yield 10.0**-power, _DECIMAL


def _swaps(value: float) -> Iterator[float]:
    """Every number that exchanging two neighbouring digits gives."""
    text = repr(abs(value)).removesuffix(".0")
    if "e" in text:
        return
    places = [i for i, sign in enumerate(text) if sign != "."]
    for left, right in pairwise(places):
        signs = list(text)
        signs[left], signs[right] = signs[right], signs[left]
        yield math.copysign(float("".join(signs)), value)

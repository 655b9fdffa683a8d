"""One way to print a number: with its unit, its uncertainty and beside its limit, everywhere alike.

Stored values stay whole. What is read was typed and is printed as it stands, and where it was typed in another
unit with a digit more, or to the place of its uncertainty; what is computed is rounded here: to the place of its uncertainty, which has two significant digits (GUM, JCGM 100:2008,
7.2.6), else to some significant digits; and never so far that it looks like a limit it is not.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from decimal import ROUND_HALF_UP, Context, Decimal

from commission_tui.engineering.numeric.quantity_text import digits_typed

_UNIT_WORDS = {"cd/m2": "cd/m²", "xy": "", "count": "", "grade": "", "ohm": "Ω"}
"""Unit as it is stored to how it is printed."""
_COUNTED = ("", "count", "grade", "px")
_PLAIN = (1e-6, 1e15)
"""Between these a number is printed without a power of ten."""
_WHOLE_DIGITS = 12
_MOST_DECIMALS = 18
_TYPED_DIGITS = 11
"""More than that nobody types; a cell that was computed has 15 and more."""
_MEANT_DIGITS = 15
"""That a number of the program keeps of a decimal; what lies behind them is its own."""
_HALF_UP = Context(prec=80, rounding=ROUND_HALF_UP)
_TWO_DIGITS = Context(prec=2, rounding=ROUND_HALF_UP)
DIGITS_OF_MEAN = 6
"""Of a mean of readings whose uncertainty is not known."""
_ALIKE = 1e-6
"""Nearer to a limit than this share of it, and not beyond, a figure may be printed like the limit."""
_SHORT = 8
"""Characters of a decimal that reads at a glance."""


def exact(value: float) -> str:
    """Print a number with every digit that it has, and no digit that it has not."""
    return _plain(f"{value:.{_WHOLE_DIGITS}g}")


def shown(value: float, digits: int = 3) -> str:
    """Print a number to so many significant digits; whole ones are never rounded."""
    if not _is_plain(value):
        return f"{value:.{digits}g}"
    return _stripped(to_decimals(value, decimals(value, digits)))


def spread_text(expanded: float) -> str:
    """Print an expanded uncertainty to two significant digits."""
    if expanded == 0 or not _is_plain(expanded):
        return f"{expanded:.2g}"
    return to_decimals(expanded, _decimals_of_spread(expanded))


def number(
    value: float,
    expanded: float | None = None,
    low: float | None = None,
    high: float | None = None,
    digits: int = 3,
) -> str:
    """Print a computed figure, with as many digits as tell it from its limits.

    Parameters
    ----------
    value, expanded
        The figure and its expanded uncertainty, in one unit.
    low, high
        The limits that it stands beside, of at most 12 digits.
    digits
        Significant digits where the uncertainty is not known.
    """
    text = ""
    for text in _ever_longer(value, expanded, digits):
        if all(_tells(float(text), value, x, side) for x, side in ((low, -1), (high, 1))):
            break
    return text


def is_count(value: float, expanded: float | None, unit: str) -> bool:
    """Whether a figure counts things, and so has no decimals."""
    whole = value == round(value) and (expanded is None or expanded == round(expanded))
    return whole and unit in _COUNTED


def with_unit(text: str, unit: str) -> str:
    """Put a unit behind a number; what is counted or graded has none."""
    word = _UNIT_WORDS.get(unit, unit)
    return f"{text} {word}" if word else text


def unit_word(unit: str) -> str:
    """Return a unit as it is printed."""
    return _UNIT_WORDS.get(unit, unit)


def limit_text(low: float | None, high: float | None, unit: str) -> str:
    """Print a limit as it is judged by: ``540 to 660 cd/m²``, ``at most 3 mm``."""
    if low is not None and high is not None:
        return with_unit(f"{as_typed(low, unit)} to {as_typed(high, unit)}", unit)
    if low is not None:
        return with_unit(f"at least {as_typed(low, unit)}", unit)
    return with_unit(f"at most {as_typed(high, unit)}", unit) if high is not None else "record only"


def as_typed(value: float, unit: str, expanded: float | None = None) -> str:
    """Print a reading or a limit without its unit: as it was typed.

    What was typed in another unit has a digit more than it had there, and all to the place of its
    uncertainty: it is judged whole, and its rounding must be small beside both. A spreadsheet's cell of
    more digits than anybody types was computed there, and is rounded as what is computed here.
    """
    digits = digits_typed(value, unit)
    if digits is None or not _is_plain(value):
        computed = float(f"{value:.{_TYPED_DIGITS}g}") != value
        return number(value, expanded) if expanded and computed else exact(value)
    places = decimals(value, digits + 1)
    if expanded and _is_plain(expanded):
        places = max(places, _decimals_of_spread(expanded))
    return _stripped(to_decimals(value, places))


def reading_text(value: float | str | bool, unit: str = "", expanded: float | None = None) -> str:
    """Print a reading as it was logged, without rounding it: ``600 ± 12 cd/m²``, ``1/60 s``, ``yes``."""
    text = bare_reading(value, unit, expanded)
    if isinstance(value, bool | str):
        return text
    return with_unit(text if expanded is None else f"{text} ± {spread_text(expanded)}", unit)


def bare_reading(value: float | str | bool, unit: str, expanded: float | None = None) -> str:
    """Print a reading as it was logged, where its unit is known: ``600``, ``1/60``, ``yes``."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, str):
        return value
    return _part_of_second(value, unit) or as_typed(value, unit, expanded)


def _part_of_second(value: float, unit: str) -> str:
    """Print a time that no short decimal holds as it was typed, 1/60; nothing for any other."""
    if unit != "s" or not 0 < value < 1 or len(exact(value)) <= _SHORT:
        return ""
    return f"1/{round(1 / value)}" if math.isclose(value, 1 / round(1 / value)) else ""


def _tells(printed: float, value: float, limit: float | None, side: int) -> bool:
    """Whether what is printed lies to its limit as the value does; `side` is 1 for an upper one."""
    if limit is None:
        return True
    bound = float(exact(limit))
    if (value - bound) * side > 0:
        return (printed - bound) * side > 0
    if abs(value - bound) <= _ALIKE * abs(bound):
        return (printed - bound) * side <= 0
    return (printed - bound) * side < 0


def _ever_longer(value: float, expanded: float | None, digits: int) -> Iterator[str]:
    """Yield a value with ever more digits, at last with all that tell it from any other."""
    if _is_plain(value) or value == 0:
        known = expanded is not None and expanded > 0 and _is_plain(expanded)
        first = _decimals_of_spread(expanded or 0.0) if known else decimals(value, digits)
        for places in range(first, max(first, 0) + _MOST_DECIMALS):
            text = to_decimals(value, places)
            yield text if known else _stripped(text)
    else:
        for more in range(digits, _MOST_DECIMALS):
            yield f"{value:.{more}g}"
    yield _plain(repr(float(value)))


def _decimals_of_spread(expanded: float) -> int:
    """Return the place of the second digit, below 0 left of the point; 0.0996 is rounded to 0.10."""
    return min(1 - _TWO_DIGITS.create_decimal(repr(expanded)).adjusted(), _MOST_DECIMALS)


def decimals(value: float, digits: int) -> int:
    """Return how many decimals show a number to so many significant digits; none left of the point."""
    return 0 if value == 0 else max(0, digits - 1 - math.floor(math.log10(abs(value))))


def to_decimals(value: float, decimals: int) -> str:
    """Print a number to so many decimals, below 0 left of the point; a half goes away from 0.

    The half of the decimal that is meant, not of the binary number next to it, which may be less: 11.85
    is 11.9. ISO 80000-1, annex B, rule B (from memory).
    """
    place = Decimal((0, (1,), -decimals))
    meant = _HALF_UP.create_decimal(f"{value:.{_MEANT_DIGITS}g}")
    text = f"{meant.quantize(place, context=_HALF_UP):f}"
    return text.removeprefix("-") if float(text) == 0 else text


def _stripped(text: str) -> str:
    return text.rstrip("0").rstrip(".") if "." in text else text


def _is_plain(value: float) -> bool:
    return value == 0 or _PLAIN[0] <= abs(value) < _PLAIN[1]


def _plain(text: str) -> str:
    """Write a power of ten out, where that is no long row of noughts."""
    if "e" not in text or not _is_plain(float(text)):
        return _stripped(text) if "e" not in text else text
    return _stripped(f"{Decimal(text):f}")

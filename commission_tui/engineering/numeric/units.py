"""Units met on site: conversion, and reading what a technician types."""

import math
from fractions import Fraction
from typing import Annotated

from commission_tui.engineering.numeric._quantity_text import parse_quantity
from commission_tui.engineering.numeric._typing_slips import FoundSlip, find_slip
from commission_tui.engineering.numeric._unit_table import (
    UNITS,
    Unit,
    find_unit,
    known_unit,
    to_float,
)
from commission_tui.engineering.numeric.bounds import Range, checked, finite

__all__ = [
    "UNITS",
    "FoundSlip",
    "Unit",
    "convert",
    "feet_inches_text",
    "find_slip",
    "find_unit",
    "known_unit",
    "parse_quantity",
]


Spelling = Annotated[str, "Symbol or usual spelling: lx, fc, cd/m2, fL, N·m, °F, AWG …"]


def convert(
    value: Annotated[float, "In the unit to convert from"],
    from_unit: Spelling,
    to_unit: Spelling,
    *,
    difference: Annotated[bool, "Whether it is a difference, for °C and °F"] = False,
) -> Annotated[float, Range("to_unit")]:
    """Convert a value between two units of one quantity.

    A gauge comes out as a real number, not rounded to a wire that is made.

    Raises
    ------
    ValueError
        An unknown unit, units of two quantities, a value that is not finite or below what the
        quantity can be (absolute zero, no area), or a result beyond the range of numbers.

    References
    ----------
    .. [1] NIST SP 811 (2008), appendix B.8; exact where the units are defined by one another.
    .. [2] ASTM B258, for AWG.

    Examples
    --------
    >>> round(convert(65.0, "fc", "lx"), 1), round(convert(50.0, "fL", "cd/m2"), 1)
    (699.7, 171.3)
    >>> convert(10.0, "°C", "°F"), convert(10.0, "°C", "°F", difference=True)
    (50.0, 18.0)
    """
    source, target = find_unit(from_unit), find_unit(to_unit)
    if source.quantity != target.quantity:
        raise ValueError(
            f"from_unit is {source.symbol} ({source.quantity}), "
            f"expected a unit of {target.quantity} such as {target.symbol}"
        )
    exact = Fraction(repr(finite("value", value, source.symbol)))
    if difference and (source.is_gauge or target.is_gauge):
        raise ValueError("difference is True for AWG, expected False: gauges have no differences")
    if difference:
        converted = exact * source.factor / target.factor
    else:
        converted = target.from_base(source.to_base(exact))
    return to_float(converted, target.symbol)


@checked
def feet_inches_text(
    length_m: Annotated[float, Range("m", least=-1e6, most=1e6)],
    *,
    parts: Annotated[int, Range(), "Of an inch: 1, 2, 4, 8, 16, 32 or 64"] = 16,
) -> str:
    """Write a length in feet, inches and a fraction of an inch.

    Returns
    -------
    str
        Such as ``21' 6 1/2"``.

    Raises
    ------
    ValueError
        A length out of its range or other parts.

    Examples
    --------
    >>> print(feet_inches_text(6.5659), feet_inches_text(7.0, parts=4), sep=", ")
    21' 6 1/2", 22' 11 1/2"
    """
    if parts not in (1, 2, 4, 8, 16, 32, 64):
        raise ValueError(f"parts is {parts}, expected 1, 2, 4, 8, 16, 32 or 64")
    steps = round(abs(length_m) / 0.0254 * parts)
    inches, left = divmod(steps, parts)
    feet, inches = divmod(inches, 12)
    common = math.gcd(left, parts)
    fraction = f" {left // common}/{parts // common}" if left else ""
    sign = "-" if length_m < 0.0 and steps else ""
    return f"{sign}{feet}' {inches}{fraction}\""

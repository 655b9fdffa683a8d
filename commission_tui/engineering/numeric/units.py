"""Units met on site: conversion, and reading what a technician types."""

import math
import re
from dataclasses import dataclass
from fractions import Fraction
from typing import Annotated

from commission_tui.engineering.numeric.bounds import Range, RefusedError, checked
from commission_tui.text import quoted

_PI = Fraction(math.pi)
_FOOT_M = Fraction("0.3048")
_POUND_KG = Fraction("0.45359237")
_POUND_FORCE_N = _POUND_KG * Fraction("9.80665")
_BTU_J = Fraction("1055.05585262")
_GAUGE = "AWG"
_GAUGE_RATIO = 92.0
_GAUGE_36_MM = 0.127


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit of one quantity."""

    symbol: str
    """As shown."""
    quantity: str
    """What it measures, in words."""
    factor: Fraction
    """Base units in one of it, exact where it is defined so."""
    zero: Fraction = Fraction(0)
    """Its zero point in base units; not 0 for °C and °F only."""
    spellings: tuple[str, ...] = ()
    """What else people type."""

    @property
    def is_gauge(self) -> bool:
        """Whether it is a wire gauge, which is no multiple of an area."""
        return self.symbol == _GAUGE

    def to_base(self, value: Fraction) -> Fraction:
        """Turn a value of this unit into the quantity's base unit."""
        if self.is_gauge:
            return Fraction(_area_of_gauge(float(value)))
        base = value * self.factor + self.zero
        if self.quantity == "temperature" and base < 0:
            raise RefusedError(
                f"value is {float(value):g} {self.symbol}, expected not below absolute zero"
            )
        return base

    def from_base(self, base: Fraction) -> Fraction:
        """Turn a value of the quantity's base unit into this unit."""
        if self.is_gauge:
            return Fraction(_gauge_of_area(float(base)))
        return (base - self.zero) / self.factor


def _area_of_gauge(gauge: float) -> float:
    """Area in m², ASTM B258."""
    if not -6.0 <= gauge <= 60.0:
        raise RefusedError(f"value is {gauge:g} AWG, expected >= -6 AWG and <= 60 AWG")
    diameter_mm = _GAUGE_36_MM * math.pow(_GAUGE_RATIO, (36.0 - gauge) / 39.0)
    return math.pi / 4.0 * diameter_mm**2 * 1e-6


def _gauge_of_area(area_m2: float) -> float:
    if area_m2 <= 0.0:
        raise RefusedError(f"value is {area_m2 * 1e6:g} mm², expected > 0 mm²")
    diameter_mm = math.sqrt(area_m2 / math.pi) * 2e3
    return 36.0 - 39.0 * math.log(diameter_mm / _GAUGE_36_MM, _GAUGE_RATIO)


def _units(quantity: str, *rows: tuple[str, str | Fraction, str]) -> list[Unit]:
    return [
        Unit(symbol, quantity, Fraction(factor), Fraction(0), tuple(spellings.split()))
        for symbol, factor, spellings in rows
    ]


_KNOWN = [
    *_units(
        "length",
        ("m", "1.0", "metre metres meter meters"), ("mm", "1e-3", "millimetre millimetres millimeter"),
        ("cm", "1e-2", ""), ("km", "1e3", ""), ("µm", "1e-6", "micron microns"),
        ("in", _FOOT_M / 12, "inch inches"), ("ft", _FOOT_M, "foot feet"),
        ("yd", _FOOT_M * 3, "yard yards"), ("thou", _FOOT_M / 12_000, "thous"),
    ),
    *_units(
        "illuminance",
        ("lx", "1.0", "lux"), ("klx", "1e3", "klux"),
        ("fc", 1 / _FOOT_M**2, "ftc footcandle footcandles"),
    ),
    *_units(
        "luminance",
        ("cd/m²", "1.0", "nit nits nt"), ("kcd/m²", "1e3", "knit knits"),
        ("fL", 1 / (_PI * _FOOT_M**2), "footlambert footlamberts"),
    ),
    *_units(
        "mass",
        ("kg", "1.0", "kilo kilos"), ("g", "1e-3", "gram grams"), ("t", "1e3", "tonne tonnes"),
        ("lb", _POUND_KG, "lbs lbm pound pounds"), ("oz", _POUND_KG / 16, "ounce ounces"),
    ),
    *_units(
        "force",
        ("N", "1.0", "newton newtons"), ("kN", "1e3", ""), ("daN", "10.0", ""),
        ("kgf", "9.80665", "kp"), ("lbf", _POUND_FORCE_N, ""),
        ("kip", _POUND_FORCE_N * 1000, "kips"),
    ),
    *_units(
        "torque",
        ("N·m", "1.0", ""),
        ("ft·lbf", _FOOT_M * _POUND_FORCE_N, "ftlb ftlbs lbft lbfft"),
        ("in·lbf", _FOOT_M / 12 * _POUND_FORCE_N, "inlb inlbs lbin lbfin"),
    ),
    Unit("K", "temperature", Fraction(1), Fraction(0), ("kelvin",)),
    Unit("°C", "temperature", Fraction(1), Fraction("273.15"), ("degC", "celsius")),
    Unit(
        "°F", "temperature", Fraction(5, 9), Fraction("459.67") * 5 / 9, ("degF", "fahrenheit")
    ),
    *_units(
        "power",
        ("W", "1.0", "watt watts"), ("kW", "1e3", ""), ("BTU/h", _BTU_J / 3600, "BTUh BTU/hr BTUhr"),
        ("TR", 12_000 * _BTU_J / 3600, "ton tons"),
    ),
    *_units("apparent power", ("VA", "1.0", ""), ("kVA", "1e3", "")),
    *_units("energy", ("Wh", "3600.0", ""), ("kWh", "3.6e6", "")),
    *_units(
        "area",
        ("m²", "1.0", "sqm"), ("mm²", "1e-6", "sqmm"), ("ft²", _FOOT_M**2, "sqft"),
        (_GAUGE, "1.0", "gauge ga"), ("kcmil", 1000 * _PI / 4 * (_FOOT_M / 12000) ** 2, "mcm"),
    ),
    *_units("current", ("A", "1.0", "amp amps ampere amperes"), ("mA", "1e-3", ""), ("kA", "1e3", ""), ("µA", "1e-6", "")),
    *_units("voltage", ("V", "1.0", "volt volts"), ("mV", "1e-3", ""), ("kV", "1e3", "")),
    *_units("resistance", ("Ω", "1.0", "ohm ohms"), ("mΩ", "1e-3", "mOhm mOhms milliohm"), ("kΩ", "1e3", ""), ("MΩ", "1e6", "MOhm MOhms megohm megohms"), ("GΩ", "1e9", "GOhm GOhms gigohm gigohms")),
    *_units(
        "time",
        ("s", "1.0", "sec secs second seconds"), ("ms", "1e-3", "msec"), ("µs", "1e-6", "usec"),
        ("min", "60.0", "mins minute minutes"), ("h", "3600.0", "hr hrs hour hours"),
    ),
    *_units("frequency", ("Hz", "1.0", "fps"), ("kHz", "1e3", ""), ("MHz", "1e6", ""), ("GHz", "1e9", "")),
    *_units(
        "angle",
        ("rad", "1.0", ""), ("deg", _PI / 180, "° degree degrees"),
        ("arcmin", _PI / 10_800, "arcminute arcminutes"),
    ),
    *_units("share", ("%", "1e-2", "percent pct"), ("ppm", "1e-6", "")),
    *_units("slope", ("mm/m", "1e-3", ""), ("in/ft", Fraction(1, 12), "")),
]  # fmt: skip

UNITS: dict[str, Unit] = {unit.symbol: unit for unit in _KNOWN}
"""By symbol as shown."""

_SAME_SIGN = {0xB2: "2", 0xB5: "u", 0x3BC: "u", 0x3A9: "ohm", 0x2126: "ohm"}
"""Superscript two; both signs for micro; both for ohm."""
_JOINTS = re.compile(r"[\s.·⋅*^°-]+")


def _to_float(exact: Fraction, symbol: str) -> float:
    """Return the nearest float, or refuse a result beyond the range of numbers."""
    try:
        return float(exact)
    except OverflowError:
        raise RefusedError(f"value in {symbol} is beyond the range of numbers") from None


def _key(text: str) -> str:
    """Reduce a spelling to what tells units apart: no joints, one sign for micro and for ohm."""
    text = text.strip().translate(_SAME_SIGN)
    return _JOINTS.sub("", text) or text


def _by_key() -> tuple[dict[str, Unit], dict[str, set[str]]]:
    exact: dict[str, Unit] = {}
    folded: dict[str, set[str]] = {}
    for unit in _KNOWN:
        for spelling in (unit.symbol, *unit.spellings):
            key = _key(spelling)
            exact[key] = unit
            folded.setdefault(key.casefold(), set()).add(unit.symbol)
    return exact, folded


_EXACT, _FOLDED = _by_key()


def known_unit(text: str) -> Unit | None:
    """Return the unit a spelling means, or None; capitals matter only where two units differ by them."""
    key = _key(text)
    if key in _EXACT:
        return _EXACT[key]
    symbols = _FOLDED.get(key.casefold(), set())
    return UNITS[next(iter(symbols))] if len(symbols) == 1 else None


def find_unit(text: str) -> Unit:
    """Return the unit that a symbol or a usual spelling means.

    Raises
    ------
    ValueError
        No known unit, or one of two that only capitals tell apart.

    Examples
    --------
    >>> find_unit("nits").symbol, find_unit("ft-lb").symbol
    ('cd/m²', 'ft·lbf')
    """
    unit = known_unit(text)
    if unit is None:
        raise RefusedError(f"unit is {quoted(text, 20)}, expected one of {', '.join(UNITS)}")
    return unit


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
        raise RefusedError(
            f"from_unit is {source.symbol} ({source.quantity}), "
            f"expected a unit of {target.quantity} such as {target.symbol}"
        )
    exact = Fraction(repr(Range(source.symbol).figure("value", value)))
    if difference and (source.is_gauge or target.is_gauge):
        raise RefusedError("difference is True for AWG, expected False: gauges have no differences")
    if difference:
        converted = exact * source.factor / target.factor
    else:
        converted = target.from_base(source.to_base(exact))
    return _to_float(converted, target.symbol)


@checked
def feet_inches_text(
    length_m: Annotated[float, Range("m", least=-1e6, most=1e6)],
    *,
    parts: Annotated[int, Range(), "Of an inch: 1, 2, 4, 8, 16, 32 or 64"] = 16,
) -> Annotated[str, "Such as ``21' 6 1/2\"``"]:
    """Write a length in feet, inches and a fraction of an inch.

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
        raise RefusedError(f"parts is {parts}, expected 1, 2, 4, 8, 16, 32 or 64")
    steps = round(abs(length_m) / float(UNITS["in"].factor) * parts)
    inches, left = divmod(steps, parts)
    feet, inches = divmod(inches, 12)
    common = math.gcd(left, parts)
    fraction = f" {left // common}/{parts // common}" if left else ""
    sign = "-" if length_m < 0.0 and steps else ""
    return f"{sign}{feet}' {inches}{fraction}\""

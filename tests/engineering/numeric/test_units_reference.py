"""Every unit against pint, and printed conversion factors."""

from __future__ import annotations

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from commission_tui.engineering.numeric.quantity_text import parse_quantity
from commission_tui.engineering.numeric.units import UNITS, convert

PINT = pint.get_application_registry()
NAMES = {
    "m": "meter", "mm": "millimeter", "cm": "centimeter", "km": "kilometer", "µm": "micrometer",
    "in": "inch", "thou": "thou", "ft": "foot", "yd": "yard", "lx": "lux", "klx": "kilolux",
    "fc": "lumen/foot**2", "cd/m²": "candela/meter**2", "kcd/m²": "kilocandela/meter**2", "fL": "candela/foot**2/pi",
    "kg": "kilogram", "g": "gram", "t": "metric_ton", "lb": "pound", "oz": "ounce",
    "N": "newton", "kN": "kilonewton", "daN": "decanewton", "kgf": "kilogram_force",
    "lbf": "pound_force", "kip": "kip", "N·m": "newton*meter", "ft·lbf": "foot*pound_force",
    "in·lbf": "inch*pound_force", "K": "kelvin", "°C": "degree_Celsius", "°F": "degree_Fahrenheit",
    "W": "watt", "kW": "kilowatt", "BTU/h": "Btu_it/hour", "TR": "12000*Btu_it/hour",
    "Wh": "watt*hour", "kWh": "kilowatt*hour",
    "VA": "volt*ampere", "kVA": "kilovolt*ampere", "m²": "meter**2", "mm²": "millimeter**2",
    "ft²": "foot**2", "kcmil": "1000*circular_mil", "A": "ampere", "mA": "milliampere",
    "kA": "kiloampere", "µA": "microampere", "V": "volt", "mV": "millivolt", "kV": "kilovolt", "Ω": "ohm",
    "mΩ": "milliohm", "kΩ": "kiloohm", "MΩ": "megaohm", "GΩ": "gigaohm", "s": "second", "ms": "millisecond",
    "µs": "microsecond", "min": "minute", "h": "hour", "Hz": "hertz", "kHz": "kilohertz",
    "MHz": "megahertz", "GHz": "gigahertz", "rad": "radian", "deg": "degree",
    "arcmin": "arcminute", "%": "percent", "ppm": "ppm", "mm/m": "millimeter/meter",
    "in/ft": "inch/foot",
}  # fmt: skip
PAIRS = [
    (one, other)
    for one in NAMES
    for other in NAMES
    if one != other and UNITS[one].quantity == UNITS[other].quantity
]


def test_no_unit_is_left_out_but_the_gauge() -> None:
    assert set(UNITS) - set(NAMES) == {"AWG"}


@pytest.mark.outside
def test_each_pair_agrees_with_pint() -> None:
    """PyPI ``pint``, its own definitions."""
    assert len(PAIRS) > 200
    for one, other in PAIRS:
        theirs = _pint(123.456, one, other)
        assert convert(123.456, one, other) == pytest.approx(theirs, rel=1e-9), (one, other)


def _pint(value: float, one: str, other: str) -> float:
    if UNITS[one].quantity == "temperature":
        return float(PINT.Quantity(value, NAMES[one]).to(NAMES[other]).magnitude)
    ratio = value * PINT.parse_expression(NAMES[one]) / PINT.parse_expression(NAMES[other])
    return float(ratio.to("dimensionless").magnitude)


@pytest.mark.outside
@given(st.floats(-400, 1e4), st.sampled_from(["°C", "°F", "K"]), st.sampled_from(["°C", "°F", "K"]))
def test_temperatures_agree_with_pint(value: float, one: str, other: str) -> None:
    """PyPI ``pint``; both know absolute zero."""
    try:
        ours = convert(value, one, other)
    except ValueError:
        assert PINT.Quantity(value, NAMES[one]).to("kelvin").magnitude < 1e-9
        return
    assert ours == pytest.approx(_pint(value, one, other), abs=1e-8)


@pytest.mark.outside
@given(st.floats(0.01, 1e6), st.sampled_from(PAIRS))
def test_typed_values_agree_with_pint(value: float, pair: tuple[str, str]) -> None:
    """PyPI ``pint``, through the reader of typed values."""
    one, other = pair
    typed = f"{value:.4f}"
    try:
        ours = parse_quantity(f"{typed} {one}", other)
    except ValueError as error:
        assert "too large" in str(error)  # noqa: PT017
        return
    assert ours == pytest.approx(_pint(float(typed), one, other), rel=1e-9, abs=1e-12)


@pytest.mark.outside
@pytest.mark.parametrize(
    ("value", "one", "other", "printed", "digit"),
    [
        (1.0, "fc", "lx", 10.76391, 5e-6),
        (1.0, "fL", "cd/m2", 3.426259, 5e-7),
        (1.0, "lbf", "N", 4.448222, 5e-7),
        (1.0, "ft·lbf", "N·m", 1.355818, 5e-7),
        (1.0, "in·lbf", "N·m", 0.1129848, 5e-8),
        (1.0, "BTU/h", "W", 0.2930711, 5e-8),
        (1.0, "TR", "W", 3516.853, 5e-4),
        (1.0, "kip", "kN", 4.448222, 5e-7),
        (1.0, "lb", "kg", 0.4535924, 5e-8),
        (1.0, "ft", "m", 0.3048, 1e-15),
        (1.0, "thou", "mm", 0.0254, 1e-15),
    ],
)
def test_printed_factors(value: float, one: str, other: str, printed: float, digit: float) -> None:
    """NIST SP 811 (2008), appendix B.8, to the last printed digit (from memory, agrees with pint)."""
    assert convert(value, one, other) == pytest.approx(printed, abs=digit)


@pytest.mark.outside
@pytest.mark.parametrize(
    ("awg", "mm2"), [(14, 2.081), (12, 3.309), (10, 5.261), (8, 8.367), (6, 13.30)]
)
def test_gauges_agree_with_printed_areas(awg: int, mm2: float) -> None:
    """ASTM B258 areas as printed in wire tables."""
    assert convert(awg, "AWG", "mm2") == pytest.approx(mm2, rel=3e-4)
    assert round(convert(mm2, "mm2", "AWG")) == awg

"""Conversion, and reading what a technician types."""

from __future__ import annotations

import math
import re
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from commission_tui.engineering.numeric.quantity_text import parse_quantity
from commission_tui.engineering.numeric.units import UNITS, convert, feet_inches_text, find_unit
from tests.characters import CHARACTERS

SYMBOLS = st.sampled_from(sorted(UNITS))


def test_exact_conversions_are_exact() -> None:
    assert convert(1.0, "ft", "in") == 12.0
    assert convert(3.0, "ft", "yd") == 1.0
    assert convert(50.0, "°F", "°C") == 10.0
    assert convert(10.0, "°C", "°F") == 50.0
    assert convert(0.0, "°C", "K") == 273.15
    assert convert(100.0, "kgf", "kN") == 0.980665
    assert convert(1.0, "TR", "BTU/h") == 12_000.0
    assert convert(1.0, "%", "ppm") == 10_000.0
    assert convert(7.25, "lx", "lux") == 7.25
    assert convert(-273.15, "°C", "K") == 0.0
    assert convert(-6.0, "AWG", "AWG") == pytest.approx(-6.0)
    assert convert(60.0, "AWG", "AWG") == pytest.approx(60.0)


def test_a_temperature_difference_has_no_zero_point() -> None:
    assert convert(10.0, "°C", "°F", difference=True) == 18.0
    assert convert(-9.0, "°F", "K", difference=True) == -5.0
    with pytest.raises(ValueError, match="expected False: gauges have no differences"):
        convert(1.0, "AWG", "mm2", difference=True)
    with pytest.raises(ValueError, match="gauges have no differences"):
        convert(1.0, "mm2", "AWG", difference=True)


def test_gauges_are_not_multiples() -> None:
    assert convert(36.0, "AWG", "mm2") == pytest.approx(math.pi * 0.0635**2)
    assert convert(-3.0, "AWG", "mm2") == pytest.approx(math.pi / 4 * (0.127 * 92) ** 2)
    assert convert(convert(12.0, "AWG", "mm2"), "mm2", "AWG") == pytest.approx(12.0)
    assert convert(12.0, "AWG", "AWG") == pytest.approx(12.0)


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        ((1.0, "lx", "cd/m2"), r"from_unit is lx \(illuminance\), expected a unit of luminance"),
        ((1.0, "furlong", "m"), "unit is 'furlong', expected one of m, mm"),
        ((math.nan, "m", "mm"), "value is nan m"),
        ((-274.0, "°C", "K"), "value is -274 °C, expected not below absolute zero"),
        ((0.0, "mm2", "AWG"), "value is 0 mm², expected > 0 mm²"),
        ((61.0, "AWG", "mm2"), "value is 61 AWG, expected >= -6 AWG and <= 60 AWG"),
        ((-7.0, "AWG", "mm2"), "value is -7 AWG"),
        ((1e308, "km", "mm"), "value in mm is beyond the range of numbers"),
    ],
)
def test_conversions_refuse(arguments: Any, message: str) -> None:
    with pytest.raises(ValueError, match=message):
        convert(*arguments)


@given(st.floats(-1e6, 1e6), SYMBOLS, SYMBOLS)
def test_there_and_back_is_the_same(value: float, one: str, other: str) -> None:
    if UNITS[one].quantity != UNITS[other].quantity or "AWG" in (one, other):
        return
    try:
        there = convert(value, one, other)
    except ValueError:
        assert UNITS[one].quantity == "temperature"
        return
    assert convert(there, other, one) == pytest.approx(value, rel=1e-12, abs=1e-9)


def test_every_spelling_means_its_unit() -> None:
    for symbol, unit in UNITS.items():
        for spelling in (symbol, *unit.spellings, f" {symbol} "):
            assert find_unit(spelling) is unit, spelling


@pytest.mark.parametrize(
    ("text", "symbol"),
    [
        ("LUX", "lx"), ("Nits", "cd/m²"), ("cd/m^2", "cd/m²"), ("FL", "fL"), ("N.m", "N·m"),
        ("N m", "N·m"), ("Nm", "N·m"), ("ft-lb", "ft·lbf"), ("lb·ft", "ft·lbf"), ("KG", "kg"),
        ("F", "°F"), ("c", "°C"), ("degC", "°C"), ("um", "µm"), ("\u03bcm", "µm"), ("Ohm", "Ω"),
        ("\u2126", "Ω"), ("MOhm", "MΩ"), ("GOhm", "GΩ"), ("fps", "Hz"), ("mohm", "mΩ"), ("btu/hr", "BTU/h"), ("°", "deg"),
        ("mm^2", "mm²"), ("awg", "AWG"), ("MCM", "kcmil"), ("M", "m"), ("k", "K"), ("KN", "kN"),
    ],
)  # fmt: skip
def test_usual_spellings(text: str, symbol: str) -> None:
    assert find_unit(text).symbol == symbol


def test_capitals_that_tell_two_units_apart_are_not_guessed() -> None:
    with pytest.raises(ValueError, match="unit is 'MOHM'"):
        find_unit("MOHM")
    with pytest.raises(ValueError, match="unit is ''"):
        find_unit("")


@pytest.mark.parametrize(
    ("text", "unit", "value"),
    [
        ("700", "lx", 700.0),
        ("700 lx", "lx", 700.0),
        ("12.5 fc", "lx", 134.549),
        ("65fc", "lx", 699.654),
        ("65 FC", "lx", 699.654),
        ("50 fL", "cd/m2", 171.313),
        ("600nit", "cd/m2", 600.0),
        ("1,5", "m", 1.5),
        ("3,81m", "m", 3.81),
        ("3.81 m", "mm", 3810.0),
        (".5", "A", 0.5),
        (",5", "A", 0.5),
        ("0,234", "kN", 0.234),
        ("1.234", "kN", 1.234),
        ("1234,567", "mm", 1234.567),
        ("1,2345", "m", 1.2345),
        ("1\u00a0234,5", "mm", 1234.5),
        ("12\u202f500 lx", "lx", 12500.0),
        ("1e3", "lx", 1000.0),
        ("2.5E-3 kN", "kN", 0.0025),
        ("3k2", "lx", 3200.0),
        ("3K2", "lx", 3200.0),
        ("1M5", "Ω", 1.5e6),
        ("4R7", "Ω", 4.7),
        ("4R7", "MΩ", 4.7),
        ("3k2 N", "kN", 3.2),
        ("6K5", "K", 6500.0),
        ("6500K", "K", 6500.0),
        ("6.5k", "K", 6500.0),
        ("65k", "lx", 65000.0),
        ("65 k", "lx", 65000.0),
        ("5kN", "kN", 5.0),
        ("5 kN", "lbf", 1124.045),
        ("5k lx", "lx", 5000.0),
        ("-5", "°C", -5.0),
        ("−5 °C", "°C", -5.0),
        ("+5", "°C", 5.0),
        ("72F", "°C", 22.2222),
        ("72 °F", "°C", 22.2222),
        ("21' 6 1/2\"", "m", 6.5659),
        ("21'6.5\"", "mm", 6565.9),
        ("21′ 6 1/2″", "m", 6.5659),
        ("21’6½".replace("½", " 1/2"), "m", 6.5659),
        ("21 ft 6 1/2 in", "m", 6.5659),
        ("21ft", "m", 6.4008),
        ("21' - 6\"", "m", 6.5532),
        ("21'-6-1/2\"", "m", 6.5659),
        ("-1' 6\"", "m", -0.4572),
        ('1/2"', "mm", 12.7),
        ("6 1/2 in", "mm", 165.1),
        ("6''", "mm", 152.4),
        ("19.7in", "mm", 500.38),
        ("12' 11 3/4\"", "ft", 12.979167),
        ("6 1/2", "in", 6.5),
        ("1/60", "s", 0.0166667),
        ("1/60 s", "ms", 16.6667),
        ("16'", "arcmin", 16.0),
        ("16", "arcmin", 16.0),
        ("4/0", "AWG", -3.0),
        ("1/0 AWG", "mm2", 53.4751),
        ("12 AWG", "mm2", 3.30877),
        ("#12", "AWG", 12.0),
        ("AWG 12", "mm2", 3.30877),
        ("12", "AWG", 12.0),
        ("2.5 mm²", "mm2", 2.5),
        ("25 ft-lb", "N·m", 33.8954),
        ("12 in·lbf", "N·m", 1.35582),
        ("89.6%", "%", 89.6),
        ("1.5 kW", "BTU/h", 5118.21),
        ("16", "", 16.0),
        ("2688", "px", 2688.0),
        ("2688 px", "px", 2688.0),
        ("2688 PX", "px", 2688.0),
        ("3k2", "px", 3200.0),
        ("  7 \t lx ", "lx", 7.0),
        ("8 bit", "count", 8.0),
        (" " * 58 + "700 lx", "lx", 700.0),
        (",234", "m", 0.234),
        ("6 1/2", "mm", 6.5),
        ("6 1/2 mm", "mm", 6.5),
        ("1/60", "ms", 0.0166667),
        ("1e12", "lx", 1e12),
        ("1e-12", "kN", 1e-12),
        ("1000e12", "lx", 1e15),
        ("-1000e12", "m", -1e15),
        ("1R5 m", "mm", 1500.0),
        ("1R5", "mm", 1.5),
        ("7K5", "px", 7500.0),
        ("0 1/2 in", "mm", 12.7),
        ("0' 11.99\"", "in", 11.99),
        ("123456k5", "lx", 123456500.0),
        ("99", "px", 99.0),
        ("2/0 gauge", "AWG", -1.0),
        ("4/0 AWG", "AWG", -3.0),
        ("#4", "AWG", 4.0),
        ("4 thou", "mm", 0.1016),
    ],
)
def test_what_a_technician_types(text: str, unit: str, value: float) -> None:
    assert parse_quantity(text, unit) == pytest.approx(value, rel=2e-6)


@pytest.mark.parametrize(
    ("text", "unit", "message"),
    [
        ("1,234", "lx", "'1,234': may be 1.234 or 1234, expected a point for decimals"),
        ("12,345 mm", "mm", "may be 12.345 or 12345"),
        ("123,456", "mm", "may be 123.456 or 123456"),
        ("1.234,5", "lx", "more than one point or comma"),
        ("1,234.5", "lx", "more than one point or comma"),
        ("1,234,567", "lx", "more than one point or comma"),
        ("1.2.3", "lx", "more than one point or comma"),
        ("3k2", "kN", "may be 3200 kN or that of the unit without its prefix"),
        ("65k", "mA", "may be 65000 mA or that"),
        ("3k2", "mm", "expected the unit to be typed"),
        ("65 lx", "cd/m2", "'65 lx': is in lx, a unit of illuminance, expected luminance in cd/m2"),
        ("65 lb", "kN", "is in lb, a unit of mass, expected force in kN"),
        ("4 mil", "mm", "may be 0.001 in or a millimetre, as people say mil, expected thou or mm"),
        ("65 blinks", "lx", "has the unknown unit 'blinks', expected lx"),
        ("65 mm", "px", "has the unit 'mm', expected px or a number alone"),
        ("1 812", "cd/m2", "is one number of 1812 or several: type one, without a space in it"),
        ("802 801 800", "cd/m2", "is one number of 802801800 or several"),
        ("1 234,5", "mm", "is one number of 1234.5 or several"),
        ("1 181.5 cd/m2", "cd/m2", "is one number of 1181.5 or several: type one, without"),
        ("31.30 0.33", "", "'31.30 0.33': is not a value, expected a number"),
        ("x", "", "'x': is not a value, expected a number"),
        ("5 mm", "", "has the unit 'mm', expected a number alone"),
        ("", "lx", "nothing, expected a number in lx"),
        ("   ", "lx", "nothing, expected a number in lx"),
        (" " * 59 + "700 lx", "lx", "is not a value, expected a number in lx"),
        ("1001e12", "lx", "is too large, expected at most 1e15 in lx"),
        ("-1001e12", "m", "is too large, expected at most 1e15 in m"),
        ("9" * 65, "lx", "is not a value, expected a number in lx"),
        ("nan", "lx", "'nan': is not a value, expected a number in lx"),
        ("inf", "lx", "is not a value"),
        ("-inf", "lx", "is not a value"),
        ("lx", "lx", "is not a value"),
        ("-", "lx", "is not a value"),
        ("1e13", "lx", "has the exponent 13, expected at most 12"),
        ("1e-13", "lx", "has the exponent -13"),
        ("1e999999999999", "lx", "has the exponent 999999999, expected"),
        ("9" * 17, "lx", "is too large, expected at most 1e15 in lx"),
        ("-" + "9" * 17, "lx", "is too large"),
        ("5.", "lx", "unknown unit '.'"),
        ("21 6", "m", "is not a value"),
        ("1/2", "lx", "unknown unit '/2'"),
        ("1/0", "s", "is divided by 0"),
        ('1/0"', "m", "is divided by 0"),
        ("21' 12\"", "m", "has 12 inches after the feet, expected less than 12"),
        ("1,234'", "m", "may be 1.234 or 1234"),
        ("-300", "°C", "value is -300 °C, expected not below absolute zero"),
        ("-500 °F", "°C", "value is -500 °F"),
        ("99", "AWG", "value is 99 AWG"),
        ("0 mm2", "AWG", "value is 0 mm²"),
        ("~700", "lx", "is not a value"),
        (">500", "lx", "is not a value"),
        ("7 8", "lx", "is not a value"),
        ("٣", "lx", "is not a value"),
        ("--5", "lx", "is not a value"),
        ("1/60", "MΩ", "unknown unit"),
    ],
)
def test_what_can_be_read_two_ways_is_refused(text: str, unit: str, message: str) -> None:
    with pytest.raises(ValueError, match=re.escape(message)):
        parse_quantity(text, unit)


def test_a_refusal_does_not_repeat_a_page_of_text() -> None:
    with pytest.raises(ValueError, match="expected a number") as caught:
        parse_quantity("x" * 10_000, "lx")
    assert len(str(caught.value)) < 150


@given(st.floats(-1e9, 1e9).filter(lambda x: x == 0 or abs(x) > 1e-9), SYMBOLS)
def test_a_number_with_its_own_unit_is_read_back(value: float, symbol: str) -> None:
    text = f"{value:.6f}"
    if UNITS[symbol].quantity == "temperature" or UNITS[symbol].is_gauge:
        return
    for typed in (text, f"{text} {symbol}", text + symbol, text.replace(".", ",") + symbol):
        assert parse_quantity(typed, symbol) == float(text)


@given(st.text(CHARACTERS, max_size=80), SYMBOLS)
def test_any_text_is_a_number_or_a_value_error(text: str, symbol: str) -> None:
    try:
        value = parse_quantity(text, symbol)
    except ValueError:
        return
    assert abs(value) <= 1e15


@given(
    st.from_regex(
        r"[-+]?[0-9]{1,4}[.,kMR/' eE-]{0,2}[0-9]{0,4}[\"' a-zA-Z/²·°%]{0,6}",
        fullmatch=True,
        alphabet=CHARACTERS,
    ),
    SYMBOLS,
)
def test_near_numbers_are_a_number_or_a_value_error(text: str, symbol: str) -> None:
    try:
        value = parse_quantity(text, symbol)
    except ValueError:
        return
    assert abs(value) <= 1e15


def test_feet_and_inches_are_written() -> None:
    assert feet_inches_text(0.0) == "0' 0\""
    assert feet_inches_text(0.3048) == "1' 0\""
    assert feet_inches_text(0.0254 * 11.99, parts=16) == "1' 0\""
    assert feet_inches_text(0.0254 * 6.5) == "0' 6 1/2\""
    assert feet_inches_text(0.0254 * 6.3125) == "0' 6 5/16\""
    assert feet_inches_text(0.0254 * 6.3125, parts=1) == "0' 6\""
    assert feet_inches_text(-0.4572) == "-1' 6\""
    assert feet_inches_text(-1e-9) == "0' 0\""
    for bad in (3, 0, 128):
        with pytest.raises(ValueError, match="parts is"):
            feet_inches_text(1.0, parts=bad)
    with pytest.raises(ValueError, match=r"length_m is 1.05e"):
        feet_inches_text(1.05e6)


@given(st.floats(-1000, 1000))
def test_written_feet_are_read_back_within_half_a_step(length: float) -> None:
    text = feet_inches_text(length, parts=64)
    assert parse_quantity(text, "m") == pytest.approx(length, abs=0.0254 / 128 * 1.001)


@given(st.floats(), SYMBOLS, SYMBOLS, st.booleans())
def test_only_value_error_ever_escapes(value: float, one: str, other: str, diff: bool) -> None:
    calls: list[Any] = [
        lambda: convert(value, one, other, difference=diff),
        lambda: len(feet_inches_text(value)),
    ]
    for call in calls:
        try:
            result = call()
        except ValueError:
            continue
        assert math.isfinite(result)

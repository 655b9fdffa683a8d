"""One way to print a number: no digit that misleads, and none that tells nothing."""

from __future__ import annotations

import math

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from commission_tui import figures as f
from commission_tui.engineering.numeric.quantity_text import parse_quantity

NUMBERS = st.floats(allow_nan=False, allow_infinity=False, min_value=-1e12, max_value=1e12)
LIMITS = NUMBERS.map(lambda x: float(f"{x:.12g}"))
SPREADS = st.none() | st.floats(min_value=1e-6, max_value=1e9)


@pytest.mark.parametrize(
    ("value", "expanded", "reading_text", "spread_text"),
    [
        # JCGM 100:2008, 7.2.6: R = 10.057 62 ohm with 27 milliohm is rounded to 10.058 ohm.
        (10.05762, 0.027, "10.058", "0.027"),
        # JCGM 100:2008, 7.2.4: m = (100.021 47 ± 0.000 79) g.
        (100.02147, 0.00079, "100.02147", "0.00079"),
        (601.5, 12.03, "602", "12"),
        (12345.6, 246.9, "12350", "250"),
        (0.3127, 0.0996, "0.31", "0.10"),
        (600.0, 0.35, "600.00", "0.35"),
        (-0.001, 0.5, "0.00", "0.50"),
    ],
)
def test_the_value_is_rounded_to_the_place_of_its_uncertainty(
    value: float, expanded: float, reading_text: str, spread_text: str
) -> None:
    """Two significant digits in U and the value to the same place: GUM, JCGM 100:2008, 7.2.6."""
    assert (f.number(value, expanded), f.spread_text(expanded)) == (reading_text, spread_text)


@pytest.mark.parametrize(
    ("value", "expanded", "low", "high", "text"),
    [
        (660.4, None, 540, 660, "660.4"),
        (660.4, 25.0, 540, 660, "660.4"),
        (659.96, None, 540, 660, "659.96"),
        (660.0, 25.0, 540, 660, "660"),
        (539.6, 13.0, 540, 660, "539.6"),
        (0.1004, None, None, 0.1, "0.1004"),
        (660.4, None, None, 660.3, "660.4"),
        (0.95 + 1e-16, None, 0.95, None, "0.95"),
        (12345.6, None, None, 20000, "12346"),
        (3.0, None, None, 3, "3"),
        (0.125, 0.1, None, 0.125, "0.125"),
    ],
)
def test_a_figure_is_told_from_its_limit(
    value: float, expanded: float | None, low: float | None, high: float | None, text: str
) -> None:
    assert f.number(value, expanded, low, high) == text


@given(NUMBERS, SPREADS, LIMITS, st.integers(1, 6))
@example(660.4, 25.0, 660.0, 3)
@example(660.4, None, 660.3, 3)
def test_a_figure_beyond_its_limit_never_prints_like_it(
    value: float, expanded: float | None, limit: float, digits: int
) -> None:
    """What a person reads on paper lies to the printed limit as the figure does to the limit."""
    for low, high, side in ((limit, None, -1), (None, limit, 1)):
        text = f.number(value, expanded, low, high, digits)
        beyond = (value - limit) * side > 0
        assert ((float(text) - float(f.exact(limit))) * side > 0) is beyond
        if beyond:
            assert text != f.exact(limit)


@given(NUMBERS, SPREADS, st.integers(1, 6))
def test_what_is_printed_is_the_value_within_its_last_place(
    value: float, expanded: float | None, digits: int
) -> None:
    text = f.number(value, expanded, digits=digits)
    place = 10.0 ** -len(text.partition(".")[2]) if "e" not in text else abs(value)
    if expanded is not None:
        place = max(place, expanded)
    assert abs(float(text) - value) <= place * 0.51 + 1e-12 * abs(value)
    assert text != "-0"


@given(NUMBERS)
def test_a_reading_keeps_its_digits(value: float) -> None:
    assert math.isclose(float(f.exact(value)), value, rel_tol=1e-11)


@pytest.mark.parametrize(
    ("value", "unit", "expanded", "text"),
    [
        (600.0, "cd/m2", 12.0, "600 ± 12 cd/m²"),
        (1 / 60, "s", None, "1/60 s"),
        (0.25, "s", None, "0.25 s"),
        (3.0, "count", None, "3"),
        (0.3127, "xy", 0.002, "0.3127 ± 0.0020"),
        (1e-6, "ohm", None, "0.000001 Ω"),
        (True, "", None, "yes"),
        ("shelf 2", "", None, "shelf 2"),
    ],
)
def test_a_reading_is_printed_as_it_was_logged(
    value: float | str, unit: str, expanded: float | None, text: str
) -> None:
    assert f.reading_text(value, unit, expanded) == text


@pytest.mark.parametrize(
    ("low", "high", "text"),
    [
        (540.0, 660.0, "540 to 660 cd/m²"),
        (0.1, None, "at least 0.1 cd/m²"),
        (None, 1234567.0, "at most 1234567 cd/m²"),
        (None, None, "record only"),
    ],
)
def test_a_limit_is_printed_whole(low: float | None, high: float | None, text: str) -> None:
    assert f.limit_text(low, high, "cd/m2") == text


@pytest.mark.parametrize(
    ("value", "expanded", "text"),
    [
        (11.85, None, "11.9"),
        (1.005, 0.10, "1.01"),
        (75.625, 0.50, "75.63"),
        (3.90625, None, "3.91"),
        (2.675, None, "2.68"),
        (0.1 * 118.5, None, "11.9"),
        (11.849999, None, "11.8"),
        (125.0, 120.0, "130"),
        (1.5, 9.95, "2"),
    ],
)
def test_a_half_of_what_is_meant_is_rounded_up(
    value: float, expanded: float | None, text: str
) -> None:
    """The decimal module's half-up of the decimal that was typed (ISO 80000-1, B, rule B)."""
    assert f.number(value, expanded, digits=3) == text
    assert f.number(-value, expanded, digits=3) == f"-{text}"


@pytest.mark.parametrize(
    ("value", "digits", "text"),
    [
        (12345.6, 3, "12346"),
        (0.0123456, 3, "0.0123"),
        (0.9, 3, "0.9"),
        (0.0, 3, "0"),
        (5e-9, 2, "5e-09"),
    ],
)
def test_a_number_is_rounded_right_of_the_point_only(value: float, digits: int, text: str) -> None:
    assert f.shown(value, digits) == text


@pytest.mark.parametrize(
    ("typed", "unit", "text"),
    [
        # 1 fL is 3.4262591 cd/m2, 1 fc 10.7639104 lx (IESNA Lighting Handbook, from memory).
        ("249 fL", "cd/m2", "853.1 cd/m²"),
        ("0.5 fL", "cd/m2", "1.7 cd/m²"),
        ("12.5 fc", "lx", "134.5 lx"),
        ("1234.5 fc", "lx", "13288 lx"),
        ("71.3 °F", "°C", "21.83 °C"),
        ("853.14", "cd/m2", "853.14 cd/m²"),
        ("59.94005994", "Hz", "59.94005994 Hz"),
        ("21' 6 1/2\"", "m", "6.5659 m"),
        ("1/60", "s", "1/60 s"),
    ],
)
def test_a_reading_has_the_digits_that_were_typed(typed: str, unit: str, text: str) -> None:
    assert f.reading_text(parse_quantity(typed, unit), unit) == text


@pytest.mark.parametrize(
    ("typed", "unit", "expanded", "text"),
    [
        # 1 lbf is 4.4482216 N (NIST SP 811, B.8); the others as above.
        ("310 lbf", "kN", 0.015, "1.379 ± 0.015 kN"),
        ("45 fc", "lx", 1.4, "484.4 ± 1.4 lx"),
        ("55 fL", "cd/m2", 3.7, "188.4 ± 3.7 cd/m²"),
        ("55 fL", "cd/m2", 37.0, "188 ± 37 cd/m²"),
    ],
)
def test_a_reading_typed_in_another_unit_is_rounded_well_within_its_uncertainty(
    typed: str, unit: str, expanded: float, text: str
) -> None:
    value = parse_quantity(typed, unit)
    assert f.reading_text(value, unit, expanded) == text
    assert abs(float(text.split()[0]) - value) < expanded / 10


@pytest.mark.parametrize(
    ("value", "unit", "expanded", "text"),
    [
        (0.312149159224123, "xy", 0.0032, "0.3121 ± 0.0032"),
        (798.4000000000001, "cd/m2", 16.0, "798 ± 16 cd/m²"),
        (0.31214915922, "xy", 0.0032, "0.31214915922 ± 0.0032"),
        (853.14159, "cd/m2", 17.0, "853.14159 ± 17 cd/m²"),
        (0.312149159224123, "xy", None, "0.312149159224"),
    ],
)
def test_what_a_spreadsheet_computed_is_rounded_and_what_was_typed_is_not(
    value: float, unit: str, expanded: float | None, text: str
) -> None:
    assert f.reading_text(value, unit, expanded) == text


def test_a_limit_stated_in_another_unit_has_no_digits_that_nobody_stated() -> None:
    """250 fL less and more a tenth, in cd/m²; one digit more than was stated, for it is judged by."""
    stated = parse_quantity("250 fL", "cd/m2")
    low, high = (float(f.exact(stated * part)) for part in (0.9, 1.1))
    assert f.limit_text(low, high, "cd/m2") == "770.9 to 942.2 cd/m²"
    assert f.limit_text(540, 660.125, "cd/m2") == "540 to 660.125 cd/m²"

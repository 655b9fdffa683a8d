"""What slipped when a value does not sit with its neighbours."""

from __future__ import annotations

import math
from collections.abc import Sequence

import pytest
from hypothesis import given
from hypothesis import strategies as st

from commission_tui.engineering.numeric.typing_slips import find_slip


def slip(value: float, neighbours: Sequence[float], unit: str | None = None) -> str | None:
    found = find_slip(value, neighbours, unit)
    return found.text if found else None


ABOUT_700 = [700.0, 690.0, 710.0, 705.0]


@pytest.mark.parametrize(
    ("value", "unit", "words"),
    [
        (65.0, "lx", "footcandles where lux is meant"),
        (700 * 10.7639, "lx", "lux where footcandles is meant"),
        (204.0, "cd/m2", "footlamberts where cd/m² is meant"),
        (700 * 3.426, "nit", "cd/m² where footlamberts is meant"),
        (213.4, "m", "metres where feet is meant"),
        (2296.6, "ft", "feet where metres is meant"),
        (27.56, "mm", "inches where millimetres is meant"),
        (17_780.0, "mm", "millimetres where inches is meant"),
        (317.5, "kg", "kilograms where pounds is meant"),
        (1543.2, "lb", "pounds where kilograms is meant"),
        (70.0, "lx", "a decimal point out of place"),
        (7.0, "lx", "a decimal point out of place"),
        (0.7, "lx", "a decimal point out of place"),
        (7000.0, "px", "a decimal point out of place"),
        (70_000.0, None, "a decimal point out of place"),
        (700_000.0, None, "a decimal point out of place"),
        (-700.0, "lx", "the sign turned round"),
        (65.0, None, "footcandles where lux is meant"),
    ],
)
def test_the_likely_cause(value: float, unit: str | None, words: str) -> None:
    found = slip(value, ABOUT_700, unit)
    assert found is not None
    assert words in found
    assert found.startswith(f"{value:g} is ")
    assert found.endswith("?")


def test_only_slips_of_the_quantity_are_thought_of() -> None:
    assert slip(204.0, ABOUT_700, "lx") is None
    assert slip(65.0, ABOUT_700, "cd/m2") is None
    assert slip(317.5, ABOUT_700, "px") is None


def test_two_causes_that_cannot_be_told_apart_are_both_named() -> None:
    found = slip(700 / 3.35, ABOUT_700)
    assert found is not None
    assert "footlamberts where cd/m² is meant or metres where feet is meant" in found
    wide = slip(67.5, [700.0, 650.0, 760.0, 720.0], "lx")
    assert wide is not None
    assert "decimal point" in wide
    assert "footcandles" in wide


def test_wording_by_the_ratio() -> None:
    assert str(slip(65.0, [700.0] * 3, "lx")).startswith("65 is 1/10.8 of the 700 beside it: ")
    assert str(slip(7000.0, [700.0] * 3, "lx")).startswith("7000 is 10 times the 700 beside it: ")
    assert (
        str(slip(-700.0, [700.0] * 3)) == "-700 is out of place beside 700: the sign turned round?"
    )


def test_a_median_is_called_so_where_the_values_beside_it_differ() -> None:
    assert str(slip(7620.0, [777.0, 801.0], "lx")) == "None"  # two tell no size without a spread
    found = find_slip(7620.0, [777.0, 801.0], "cd/m2", spread=0.25)
    assert found is not None
    assert found.text.startswith("7620 is 9.66 times 789, the median of the 2 beside it: ")


def test_a_ratio_of_a_thousand_is_written_in_figures() -> None:
    assert slip(1.0, [1000.0] * 3, "px") == (
        "1 is 1/1000 of the 1000 beside it: "
        "a decimal point out of place or a digit too many or too few?"
    )
    assert str(slip(1004.0, [1.0] * 3, "px")).startswith("1004 is 1000 times the 1 beside it: ")


@pytest.mark.parametrize(
    ("value", "level", "words"),
    [
        (37.0, 73.6, "37 is out of place beside 73.6: "),
        (37.0, 74.0, "37 is 1/2 of the 74 beside it: "),
        (73.0, 36.7, "73 is out of place beside 36.7: "),
        (73.0, 36.5, "73 is 2 times the 36.5 beside it: "),
    ],
)
def test_the_ratio_is_said_from_a_half_or_two_on(value: float, level: float, words: str) -> None:
    assert str(slip(value, [level] * 3, "px")).startswith(words)


FOOT = 0.3048
"""Metres, exact; a pound is 0.45359237 kg: NIST SP 811, appendix B.8."""
RATIOS = [
    ("lx", 1 / FOOT**2, "lux where footcandles is meant", "footcandles where lux is meant"),
    ("cd/m2", 1 / (math.pi * FOOT**2), "cd/m² where footlamberts", "footlamberts where cd/m²"),
    ("m", 1 / FOOT, "feet where metres is meant", "metres where feet is meant"),
    ("m", 25.4, "millimetres where inches is meant", "inches where millimetres is meant"),
    ("kg", 1 / 0.45359237, "pounds where kilograms", "kilograms where pounds"),
    *(("px", 10.0**power, "decimal point", "decimal point") for power in (1, 2, 3)),
]


@pytest.mark.parametrize(("unit", "ratio", "larger", "smaller"), RATIOS)
def test_a_ratio_counts_within_five_per_cent(
    unit: str, ratio: float, larger: str, smaller: str
) -> None:
    for off, counts in ((0.0497, True), (-0.0497, True), (0.0503, False), (-0.0503, False)):
        for size, words in ((ratio, larger), (1 / ratio, smaller)):
            value = 700.0 * size * math.exp(off)
            assert (words in str(slip(value, [700.0] * 3, unit))) is counts


def test_only_the_two_nearest_causes_are_named() -> None:
    """The ratio is 3.33: feet 3.28, footlamberts 3.43, and 92 with its digits swapped."""
    assert slip(29.0, [96.5] * 3) == (
        "29 is 1/3.33 of the 96.5 beside it: "
        "metres where feet is meant or footlamberts where cd/m² is meant?"
    )


def test_a_value_is_out_of_place_from_three_per_cent_on() -> None:
    assert slip(3100.0, [3010.0] * 3) is None
    assert slip(3100.0, [3009.5] * 3) == (
        "3100 is out of place beside 3009.5: two digits swapped, 3010?"
    )


def test_neighbours_that_differ_widen_what_sits_well() -> None:
    """2 % median deviation: out of place from 5 · 1.4826 · 2 % = 14.83 % on, alike within 5.93 %."""
    assert slip(65.0, [56.65 * share for share in (0.98, 1.0, 1.02)]) is None
    assert slip(65.0, [56.58 * share for share in (0.98, 1.0, 1.02)]) == (
        "65 is out of place beside 56.58: two digits swapped, 56?"
    )
    assert slip(-105.9, [98.0, 100.0, 102.0]) is not None
    assert slip(-105.95, [98.0, 100.0, 102.0]) is None
    # The spread is a share of the median, not of the largest: 5 · 1.4826 · 10 / 115 is 64 %.
    assert slip(151.0, [100.0, 110.0, 120.0, 1000.0]) is None
    assert "swapped, 115?" in str(slip(151.0, [114.0, 115.0, 115.0, 1000.0]))


def test_swapped_digits_bring_it_back_to_a_third_at_most() -> None:
    assert slip(650.0, [616.2] * 3) is not None
    assert slip(650.0, [616.3] * 3) is None
    assert "swapped, 19?" in str(slip(91.0, [19.97] * 3, "px"))
    assert slip(91.0, [20.03] * 3, "px") is None


def test_swapped_digits() -> None:
    assert slip(650.0, [603.0, 605.0, 608.0]) == (
        "650 is out of place beside 605: two digits swapped, 605?"
    )
    found = slip(2.64, [2.46, 2.45, 2.47])
    assert found is not None
    assert "two digits swapped, 2.46?" in found
    assert slip(-2.64, [-2.46, -2.45, -2.47]) == (
        "-2.64 is out of place beside -2.46: two digits swapped, -2.46?"
    )
    assert slip(66.0, [60.5, 60.6, 60.4]) is None
    assert slip(800.0, [605.0, 606.0, 604.0]) is None
    assert slip(1.5e22, [1e22, 1.01e22, 0.99e22]) is None


def test_a_value_that_sits_well_is_left_alone() -> None:
    for value in (700.0, 690.0, 712.0, 720.0, 682.0):
        assert slip(value, ABOUT_700) is None
    assert slip(605.0, [500.0, 650.0, 800.0, 560.0]) is None
    # 6 % off with neighbours that agree, but nothing explains it.
    assert slip(742.0, ABOUT_700) is None


def test_nothing_is_said_without_a_basis() -> None:
    assert slip(65.0, [700.0, 700.0], "lx") is None
    assert slip(65.0, [], "lx") is None
    assert slip(65.0, [0.0, 0.0, 0.0], "lx") is None
    assert slip(65.0, [-700.0, 0.0, 700.0], "lx") is None
    assert slip(0.0, ABOUT_700, "lx") is None
    assert slip(-65.0, ABOUT_700, "lx") is None
    assert slip(1e308, [5e-324] * 3) is None
    for bad in (math.nan, math.inf):
        with pytest.raises(ValueError, match="value is"):
            slip(bad, ABOUT_700)
        with pytest.raises(ValueError, match=r"neighbours\[0\] is"):
            slip(1.0, [bad, 1.0, 1.0])


@given(st.floats(1.0, 1e4), st.lists(st.floats(0.99, 1.01), min_size=3, max_size=9))
def test_footcandles_among_lux_are_always_noticed(level: float, shares: list[float]) -> None:
    found = slip(level / 10.7639, [level * share for share in shares], "lx")
    assert found is not None
    assert "footcandles where lux is meant" in found


@given(st.floats(), st.lists(st.floats(), max_size=6), st.sampled_from([None, "lx", "px", "m"]))
def test_only_value_error_ever_escapes(
    value: float, neighbours: list[float], unit: str | None
) -> None:
    try:
        found = slip(value, neighbours, unit)
    except ValueError:
        return
    assert found is None or found.endswith("?")


def test_a_cause_that_two_sizes_of_slip_have_is_named_once() -> None:
    """6010 may be 60.1 or 601: of both a decimal point is out of place."""
    found = find_slip(6010.0, [150.0], "cd/m2", spread=1.5)
    assert found is not None
    assert found.text.count("a decimal point out of place") == 1

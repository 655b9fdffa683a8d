"""A wrong signal range seen in grey steps.

Codes 16 and 235 of ITU-R BT.709-6 item 4.6; the levels below are made from them step by step.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from commission_tui.engineering.light.grey_scale import range_of_steps

STEPS = [float(percent) for percent in range(0, 101, 5)]


def right(signal: float) -> float:
    return signal / 100


def full_into_limited(signal: float) -> float:
    """A full-range code into an input that ends at 16 and 235."""
    return min(max((255 * signal / 100 - 16) / 219, 0.0), 1.0)


def limited_into_full(signal: float) -> float:
    return (16 + 219 * signal / 100) / 255


@pytest.mark.parametrize("exponent", [1.8, 2.2, 2.4])
@pytest.mark.parametrize("black_cd_m2", [0.0, 0.05])
@pytest.mark.parametrize(
    ("path", "said"),
    [
        (right, ""),
        (full_into_limited, "full into limited"),
        (limited_into_full, "limited into full"),
    ],
)
def test_each_pair_of_ranges(path: object, said: str, exponent: float, black_cd_m2: float) -> None:
    assert callable(path)
    levels = [600.0 * path(signal) ** exponent + black_cd_m2 for signal in STEPS]
    assert range_of_steps(STEPS, levels, exponent) == said


def test_too_few_steps_say_nothing() -> None:
    assert range_of_steps([], []) == ""
    assert range_of_steps([100.0], [600.0]) == ""
    assert range_of_steps([0.0, 100.0], [1.6, 600.0]) == ""
    assert range_of_steps([0.0, 95.0, 100.0], [0.0, 0.0, 0.0]) == ""


def test_the_border_of_merged() -> None:
    assert range_of_steps([95.0, 100.0], [582.0, 600.0]) == ""
    assert range_of_steps([95.0, 100.0], [583.0, 600.0]) == "full into limited"


@pytest.mark.parametrize(
    ("signals", "levels", "exponent"),
    [([0.0], [], 2.2), ([101.0], [1.0], 2.2), ([5.0], [-1.0], 2.2), ([5.0], [1.0], 9.0)],
)
def test_what_has_no_meaning_is_refused(
    signals: list[float], levels: list[float], exponent: float
) -> None:
    with pytest.raises(ValueError, match="expected"):
        range_of_steps(signals, levels, exponent)


SCATTER = st.lists(st.floats(0.99, 1.01), min_size=len(STEPS), max_size=len(STEPS))


@given(
    st.sampled_from([(right, ""), (full_into_limited, "full into limited")]),
    st.floats(1.8, 2.6),
    st.floats(1.0, 1e5),
    SCATTER,
    st.permutations(range(len(STEPS))),
)
def test_scatter_brightness_and_order_change_nothing(
    path_and_said: tuple[Callable[[float], float], str],
    exponent: float,
    white: float,
    scatter: list[float],
    order: list[int],
) -> None:
    """Readings that scatter by 1 %, at any level and in any order, show the same pair of ranges."""
    path, said = path_and_said
    levels = [white * path(s) ** exponent * off for s, off in zip(STEPS, scatter, strict=True)]
    found = range_of_steps([STEPS[i] for i in order], [levels[i] for i in order], exponent)
    assert found == said

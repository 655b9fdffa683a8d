"""The refusals every engineering function shares."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Annotated, Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from commission_tui.engineering.numeric.bounds import (
    Range,
    checked,
    computed,
    finite,
    finite_values,
    non_negative,
    positive,
    whole,
)

ANYTHING = st.one_of(
    st.none(), st.booleans(), st.integers(), st.floats(), st.text(), st.complex_numbers(),
    st.lists(st.floats()), st.just(10**400),
)  # fmt: skip


def refusal(call: Any, *args: Any, **named: Any) -> str:
    with pytest.raises(ValueError, match="expected") as caught:
        call(*args, **named)
    return str(caught.value)


def test_a_refusal_names_parameter_value_range_and_unit() -> None:
    assert refusal(finite, "load_w", -1.5, "W", low=0, high=100) == (
        "load_w is -1.5 W, expected >= 0 W and <= 100 W"
    )
    assert refusal(finite, "x", math.nan, "") == "x is nan, expected a finite number"
    assert refusal(finite, "x", math.inf, "m") == "x is inf m, expected a finite number in m"
    assert refusal(finite, "x", 10**400, "m") == (
        "x is too large a number, expected a finite number in m"
    )
    assert refusal(finite, "x", "5", "m") == "x is '5', expected a finite number in m"
    assert refusal(finite, "x", None, "m") == "x is None, expected a finite number in m"


def test_limits_are_inclusive_unless_opened() -> None:
    assert finite("x", 0, "m", low=0, high=1) == 0.0
    assert finite("x", 1, "m", low=0, high=1) == 1.0
    assert "> 0 m and <= 1 m" in refusal(finite, "x", 0, "m", low=0, high=1, low_open=True)
    assert ">= 0 m and < 1 m" in refusal(finite, "x", 1, "m", low=0, high=1, high_open=True)
    assert refusal(finite, "x", 1.01, "m", high=1) == "x is 1.01 m, expected <= 1 m"


def test_positive_and_non_negative_differ_at_zero() -> None:
    assert positive("x", 5e-324, "m") == 5e-324
    assert non_negative("x", 0, "m") == 0.0
    assert refusal(positive, "x", 0, "m") == "x is 0 m, expected > 0 m"
    assert refusal(non_negative, "x", -1e-9, "m") == "x is -1e-09 m, expected >= 0 m"


def test_whole_takes_whole_floats_and_keeps_long_integers() -> None:
    assert whole("n", 3.0, "px") == 3
    assert isinstance(whole("n", 3.0, "px"), int)
    assert whole("n", 2**60 + 1, "px") == 2**60 + 1
    assert whole("n", 1, "px", low=1, high=1) == 1
    assert refusal(whole, "n", 2.5, "px") == "n is 2.5 px, expected a whole number of px"
    assert refusal(whole, "n", 0, "px", low=1) == "n is 0 px, expected a whole number >= 1 px"
    assert refusal(whole, "n", 4, "", high=3) == "n is 4, expected a whole number <= 3"
    assert refusal(whole, "n", math.inf, "") == "n is inf, expected a whole number"
    assert refusal(whole, "n", True, "") == "n is True, expected a whole number"


def test_a_row_is_checked_for_size_and_members() -> None:
    assert finite_values("x", [1, 2.5], "m") == (1.0, 2.5)
    assert finite_values("x", (v for v in (1, 2)), "m") == (1.0, 2.0)
    assert finite_values("x", np.array([1.0, 2.0], dtype=np.float32), "m") == (1.0, 2.0)
    assert finite_values("x", np.array([1, 2.5], dtype=object), "") == (1.0, 2.5)
    assert finite_values("x", [], "m", min_size=0) == ()
    assert refusal(finite_values, "x", [], "m") == "x has 0 value(s), expected at least 1"
    assert refusal(finite_values, "x", [1], "m", min_size=2) == (
        "x has 1 value(s), expected at least 2"
    )
    assert refusal(finite_values, "x", [1, math.nan], "m") == (
        "x[1] is nan, expected finite numbers in m"
    )


@pytest.mark.parametrize(
    "values",
    [
        [[1, 2], [3]],
        [[1, 2], [3, 4]],
        ["a"],
        ["1"],
        [True],
        [np.True_],
        [None],
        [1, "2"],
        [1j],
        [10**400],
        "12",
        {1: 2},
        1.0,
        math.nan,
        None,
        np.array(["2026-01-01"], dtype="datetime64[D]"),
    ],
)
def test_a_row_of_anything_but_numbers_is_refused(values: Any) -> None:
    assert refusal(finite_values, "x", values, "m") == (
        "x is not a row of numbers, expected finite numbers in m"
    )


@given(ANYTHING)
def test_only_value_error_ever_escapes(value: Any) -> None:
    for call in (finite, positive, non_negative, whole, finite_values):
        try:
            result = call("x", value, "m")
        except ValueError as error:
            assert str(error).startswith("x")  # noqa: PT017
        else:
            assert np.all(np.isfinite(np.asarray(result, dtype=np.float64)))


def test_a_result_out_of_the_range_of_numbers_is_refused() -> None:
    assert computed("x", 2, "m") == 2.0
    assert refusal(computed, "x", math.inf, "m").startswith("x would be inf m, expected a finite")


@checked
def mean_flux(
    watts: Annotated[Sequence[float], Range("W", above=0, most=100, fewest=2), "Of each lamp"],
    lamps: Annotated[int, Range(least=1)] = 1,
    *,
    share: Annotated[float | None, Range(least=0, below=1)] = None,
) -> Annotated[float, Range("lm")]:
    assert isinstance(watts, tuple)
    return sum(watts) / len(watts) * lamps * (1.0 if share is None else share)


def test_what_a_function_is_given_is_held_to_the_ranges_of_its_parameters() -> None:
    assert mean_flux([1, 3]) == 2.0
    assert mean_flux(watts=[1, 3], lamps=2.0, share=0.5) == 2.0  # type: ignore[arg-type]
    assert refusal(mean_flux, [1.0]) == "watts has 1 value(s), expected at least 2"
    assert refusal(mean_flux, [1, 0]) == "watts[1] is 0 W, expected > 0 W and <= 100 W"
    assert refusal(mean_flux, [1, 101]) == "watts[1] is 101 W, expected > 0 W and <= 100 W"
    assert refusal(mean_flux, [1, 3], 0) == "lamps is 0, expected a whole number >= 1"
    assert refusal(mean_flux, [1, 3], None) == "lamps is None, expected a whole number >= 1"
    assert refusal(mean_flux, [1, 3], share=1) == "share is 1, expected >= 0 and < 1"
    assert refusal(mean_flux, None).startswith("watts is not a row of numbers")


def test_a_call_that_does_not_fit_the_function_is_python_s_to_refuse() -> None:
    call: Any = mean_flux
    for args, named in (((), {}), (([1, 2], 1, 1), {}), (([1, 2],), {"watts": [1, 2]})):
        with pytest.raises(TypeError, match="mean_flux"):
            call(*args, **named)


@pytest.mark.parametrize(
    ("limits", "words"),
    [
        (Range("m"), ""),
        (Range("m", above=0), "above 0"),
        (Range(least=1, most=32768), "1 to 32768"),
        (Range(above=0, most=1), "above 0, at most 1"),
        (Range(least=1e-6, below=90), "1e-06 or more, below 90"),
    ],
)
def test_a_range_says_itself_in_words(limits: Range, words: str) -> None:
    assert limits.words == words

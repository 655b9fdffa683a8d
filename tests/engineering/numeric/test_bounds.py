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
)
from tests.characters import CHARACTERS

ANYTHING = st.one_of(
    st.none(), st.booleans(), st.integers(), st.floats(), st.text(CHARACTERS), st.complex_numbers(),
    st.lists(st.floats()), st.just(10**400),
)  # fmt: skip


def refusal(call: Any, *args: Any, **named: Any) -> str:
    with pytest.raises(ValueError, match="expected") as caught:
        call(*args, **named)
    return str(caught.value)


def test_a_refusal_names_parameter_value_range_and_unit() -> None:
    assert refusal(Range("W", least=0, most=100).figure, "load_w", -1.5) == (
        "load_w is -1.5 W, expected >= 0 W and <= 100 W"
    )
    assert refusal(Range().figure, "x", math.nan) == "x is nan, expected a finite number"
    assert refusal(Range("m").figure, "x", math.inf) == "x is inf m, expected a finite number in m"
    assert refusal(Range("m").figure, "x", 10**400) == (
        "x is too large a number, expected a finite number in m"
    )
    assert refusal(Range("m").figure, "x", "5") == "x is '5', expected a finite number in m"
    assert refusal(Range("m").figure, "x", None) == "x is None, expected a finite number in m"


def test_limits_are_inclusive_unless_opened() -> None:
    assert Range("m", least=0, most=1).figure("x", 0) == 0.0
    assert Range("m", least=0, most=1).figure("x", 1) == 1.0
    assert "> 0 m and <= 1 m" in refusal(Range("m", above=0, most=1).figure, "x", 0)
    assert ">= 0 m and < 1 m" in refusal(Range("m", least=0, below=1).figure, "x", 1)
    assert refusal(Range("m", most=1).figure, "x", 1.01) == "x is 1.01 m, expected <= 1 m"


def test_positive_and_non_negative_differ_at_zero() -> None:
    assert Range("m", above=0).figure("x", 5e-324) == 5e-324
    assert Range("m", least=0).figure("x", 0) == 0.0
    assert refusal(Range("m", above=0).figure, "x", 0) == "x is 0 m, expected > 0 m"
    assert refusal(Range("m", least=0).figure, "x", -1e-9) == "x is -1e-09 m, expected >= 0 m"


def test_whole_takes_whole_floats_and_keeps_long_integers() -> None:
    assert Range("px").count("n", 3.0) == 3
    assert isinstance(Range("px").count("n", 3.0), int)
    assert Range("px").count("n", 2**60 + 1) == 2**60 + 1
    assert Range("px", least=1, most=1).count("n", 1) == 1
    assert refusal(Range("px").count, "n", 2.5) == "n is 2.5 px, expected a whole number of px"
    assert (
        refusal(Range("px", least=1).count, "n", 0) == "n is 0 px, expected a whole number >= 1 px"
    )
    assert refusal(Range(most=3).count, "n", 4) == "n is 4, expected a whole number <= 3"
    assert refusal(Range().count, "n", math.inf) == "n is inf, expected a whole number"
    assert refusal(Range().count, "n", True) == "n is True, expected a whole number"


def test_a_row_is_checked_for_size_and_members() -> None:
    assert Range("m").row("x", [1, 2.5]) == (1.0, 2.5)
    assert Range("m").row("x", (v for v in (1, 2))) == (1.0, 2.0)
    assert Range("m").row("x", np.array([1.0, 2.0], dtype=np.float32)) == (1.0, 2.0)
    assert Range().row("x", np.array([1, 2.5], dtype=object)) == (1.0, 2.5)
    assert Range("m", fewest=0).row("x", []) == ()
    assert refusal(Range("m").row, "x", []) == "x has 0 value(s), expected at least 1"
    assert refusal(Range("m", fewest=2).row, "x", [1]) == ("x has 1 value(s), expected at least 2")
    assert refusal(Range("m").row, "x", [1, math.nan]) == (
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
    assert refusal(Range("m").row, "x", values) == (
        "x is not a row of numbers, expected finite numbers in m"
    )


@given(ANYTHING)
def test_only_value_error_ever_escapes(value: Any) -> None:
    limits = Range("m"), Range("m", above=0), Range("m", least=0)
    calls: list[Any] = [*(each.figure for each in limits), Range("m").count, Range("m").row]
    for call in calls:
        try:
            result = call("x", value)
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

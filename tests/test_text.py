"""Words for screen, page and command line: what a terminal would act on does nothing anywhere."""

from __future__ import annotations

import re
import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from commission_tui import text
from tests.characters import CHARACTERS


@pytest.mark.parametrize(
    ("number", "things", "said"),
    [(0, "", "0 faults"), (1, "", "1 fault"), (2, "", "2 faults"), (2, "faulty", "2 faulty")],
)
def test_one_is_not_many(number: int, things: str, said: str) -> None:
    assert text.counted(number, "fault", things) == said


@pytest.mark.parametrize(
    ("items", "said"),
    [([], ""), (["a"], "a"), (["a", "b"], "a, b"), (["a", "b", "c", "d"], "a, b and 2 more")],
)
def test_the_first_are_named_and_the_rest_counted(items: list[str], said: str) -> None:
    assert text.listed(items, 2) == said


@pytest.mark.parametrize(
    ("whole", "inside"),
    [
        ("Trip time", "trip time"),
        ("EDID presented", "EDID presented"),
        ("LEDs lost", "LEDs lost"),
        ("A like terminal", "a like terminal"),
        ("", ""),
    ],
)
def test_a_label_stands_inside_a_sentence(whole: str, inside: str) -> None:
    assert text.lower_first(whole) == inside


@given(st.text(CHARACTERS), st.integers(0, 60))
def test_a_clipped_text_fits_and_begins_as_it_did(typed: str, width: int) -> None:
    short = text.clipped(typed, width)
    assert len(short) <= width or short == typed
    if short != typed:
        assert typed.startswith(short.removesuffix(text.CUT))


@given(st.text(CHARACTERS))
def test_nothing_hidden_is_left(typed: str) -> None:
    """Unicode's categories of what is no character to read (UAX 44, table 12)."""
    for said in (text.visible(typed, ""), text.escaped(typed), text.flat(typed)):
        hidden = {
            c
            for at, c in enumerate(said)
            if unicodedata.category(c)[0] == "C" or c in "\u2028\u2029"
            if not text.joins(said, at)
        }
        assert not hidden


@pytest.mark.parametrize(
    "word", ["\U0001f469\u200d\U0001f527", "\u0645\u06cc\u200c\u062e\u0648\u0627\u0645"]
)
def test_a_joiner_that_joins_is_a_part_of_the_word(word: str) -> None:
    assert text.visible(word) == text.escaped(word) == text.flat(word) == word


@pytest.mark.parametrize(("typed", "said"), [("\u200d", "[U+200D]"), ("8\u200d1", "8[U+200D]1")])
def test_a_joiner_that_joins_nothing_shows(typed: str, said: str) -> None:
    assert text.visible(typed) == said


@given(st.text(CHARACTERS, min_size=1))
def test_what_is_quoted_is_one_short_line(typed: str) -> None:
    said = text.quoted(typed)
    assert said[0] == said[-1] == "'"
    assert len(said) <= 42
    assert not any(text.is_hidden(c) and not text.joins(said, n) for n, c in enumerate(said))


@given(st.text(CHARACTERS))
def test_what_the_patterns_take_holds_no_control_character(typed: str) -> None:
    if re.match(text.NO_CONTROLS_IN_LINE, typed) and "\n" not in typed:
        assert not any(unicodedata.category(c) == "Cc" for c in typed)
        assert not set(typed) & set("\u2028\u2029\u202d\u202e\u2066")

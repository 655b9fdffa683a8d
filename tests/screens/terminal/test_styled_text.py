"""Text with roles: nothing a terminal acts on, figures whole, a sign for each meaning."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from commission_tui.checks.model.types import Figure, Limit, Verdict
from commission_tui.figures import reading_text
from commission_tui.screens.terminal.styled_text import (
    figure_line,
    plain_line,
    source_text,
)
from commission_tui.text import clipped, visible
from tests.characters import CHARACTERS


@given(st.text(CHARACTERS))
def test_visible_text_has_nothing_that_a_terminal_acts_on(text: str) -> None:
    shown = visible(text)
    assert all(char == "\n" or char.isprintable() or char.isspace() for char in shown)
    assert "\x1b" not in shown
    assert visible(shown) == shown


def test_ordinary_text_is_shown_as_it_is() -> None:
    text = "Lüster, 12'6\", 漢字 [b]"
    assert visible(text) == text


@pytest.mark.parametrize(
    ("value", "unit", "shown"),
    [
        (612.0, "cd/m2", "612 cd/m²"),
        (0.04, "cd/m2", "0.04 cd/m²"),
        (1234567.0, "px", "1234567 px"),
        (True, "", "yes"),
        (False, "", "no"),
        ("shelf 2", "", "shelf 2"),
    ],
)
def test_values_are_said_in_full(value: float | bool | str, unit: str, shown: str) -> None:
    assert reading_text(value, unit) == shown


def test_a_figure_has_uncertainty_limit_standing_and_verdict() -> None:
    limit = Limit("mean", "cd/m2", "tender", "contract", low=540.0, high=660.0)
    figure = Figure("mean luminance", 12345.6, "cd/m2", 246.9, limit, Verdict.FAIL, digits=3)
    assert plain_line(figure_line(figure)) == (
        "mean luminance 12350 ± 250 cd/m² (540 to 660 cd/m²; contract) ✕ FAIL"
    )


def test_clipped_text_fits_and_says_so() -> None:
    assert clipped("Brightness", 20) == "Brightness"
    assert clipped("Brightness", 6) == "Brig.."
    assert clipped("Brightness", 1) == "B"


def test_a_limit_says_its_standing_once() -> None:
    told = {
        source: source_text(Limit("mean", "cd/m2", source, "contract", low=1))
        for source in ("tender, page 4", "contract: luminance 600 cd/m2")
    }
    assert told["tender, page 4"] == "contract: tender, page 4"
    assert told["contract: luminance 600 cd/m2"] == "contract: luminance 600 cd/m2"

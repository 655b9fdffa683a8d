"""The colours: legible, and told apart by people with a colour deficiency."""

from __future__ import annotations

from itertools import combinations

import pytest
from textual.color import Color
from textual.theme import Theme

from commission_tui.screens.themes import DARK_HOUSE, LOW_BLUE, OFFICE, THEMES


def _relative_luminance(text: str) -> float:
    """WCAG 2.2, definition of relative luminance (W3C Recommendation, 5 October 2023)."""

    def linear(channel: float) -> float:
        return channel / 12.92 if channel <= 0.04045 else ((channel + 0.055) / 1.055) ** 2.4

    red, green, blue = (linear(c) for c in Color.parse(text).normalized)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def _contrast(one: str, other: str) -> float:
    """WCAG 2.2, definition of contrast ratio."""
    dark, light = sorted((_relative_luminance(one), _relative_luminance(other)))
    return (light + 0.05) / (dark + 0.05)


def _colours(theme: Theme) -> dict[str, str]:
    named = {
        "foreground": theme.foreground,
        "success": theme.success,
        "warning": theme.warning,
        "error": theme.error,
        "accent": theme.accent,
        "primary": theme.primary,
    }
    return {name: colour for name, colour in named.items() if colour}


@pytest.mark.parametrize("theme", THEMES, ids=lambda theme: theme.name)
def test_text_stands_out_from_its_ground(theme: Theme) -> None:
    """At least 4.5 to 1: WCAG 2.2, success criterion 1.4.3, level AA."""
    for name, colour in _colours(theme).items():
        for ground in (theme.background, theme.surface, theme.panel):
            assert ground
            assert _contrast(colour, ground) >= 4.5, name


@pytest.mark.outside
@pytest.mark.parametrize("theme", [DARK_HOUSE, OFFICE], ids=lambda theme: theme.name)
@pytest.mark.parametrize("deficiency", ["Protanomaly", "Deuteranomaly"])
def test_good_and_bad_are_told_apart_with_red_green_deficiency(
    theme: Theme, deficiency: str
) -> None:
    """Machado, Oliveira and Fernandes 2009 at full severity, as colour-science computes it."""
    import colour
    import numpy as np

    matrix = colour.matrix_cvd_Machado2009(deficiency, 1.0)
    seen = {}
    for name in ("success", "error"):
        linear = colour.models.eotf_sRGB(np.array(Color.parse(_colours(theme)[name]).normalized))
        xyz = colour.RGB_to_XYZ(np.clip(matrix @ linear, 0, 1), "sRGB")
        seen[name] = colour.XYZ_to_Lab(xyz)
    for one, other in combinations(seen, 2):
        assert float(colour.delta_E(seen[one], seen[other], method="CIE 1976")) >= 30


def test_the_low_blue_colours_hold_little_blue() -> None:
    everything = [*_colours(LOW_BLUE).values(), LOW_BLUE.background, LOW_BLUE.panel]
    for text in everything:
        assert text
        red, _, blue = Color.parse(text).normalized
        assert blue <= red / 2


def test_the_dark_grounds_are_dark() -> None:
    for theme in (DARK_HOUSE, LOW_BLUE):
        for ground in (theme.background, theme.surface, theme.panel):
            assert ground
            assert _relative_luminance(ground) < 0.025

"""The colours: legible, and told apart by people with a colour deficiency."""

from __future__ import annotations

from itertools import combinations, pairwise

import pytest
from textual.color import Color
from textual.theme import Theme

from commission_tui.screens.terminal import colours
from commission_tui.screens.terminal.colours import DARK_HOUSE, LOW_BLUE, OFFICE, THEMES
from commission_tui.screens.widgets.text_lines import STYLES
from commission_tui.wall.model.location import Cell
from commission_tui.wall.model.wall_model import Wall


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


def _variable(theme: Theme, name: str) -> str:
    return {**theme.to_color_system().generate(), **theme.variables}[name]


@pytest.mark.parametrize("theme", THEMES, ids=lambda theme: theme.name)
def test_every_role_of_text_stands_out_wherever_it_is_painted(theme: Theme) -> None:
    """At least 4.5 to 1, on the row of a list that is marked too: WCAG 2.2, 1.4.3, level AA."""
    grounds = ("background", "surface", "panel", "boost", "block-cursor-blurred-background")
    for name in grounds:
        ground = Color.parse(_variable(theme, name))
        assert ground.a == 1, name
        muted = ground.blend(Color.parse(_variable(theme, "foreground")), _share("muted"))
        for colour in (*_colours(theme).values(), muted.hex):
            assert _contrast(colour, ground.hex) >= 4.5, (name, colour)


@pytest.mark.parametrize("theme", THEMES, ids=lambda theme: theme.name)
def test_what_is_typed_selected_or_reversed_stands_out(theme: Theme) -> None:
    """At least 4.5 to 1: WCAG 2.2, 1.4.3, level AA."""
    background = Color.parse(_variable(theme, "background"))
    done = background.blend(Color.parse(_variable(theme, "success")), _share("done"))
    pairs = [
        (_variable(theme, "foreground"), _variable(theme, "primary-muted")),
        (_variable(theme, "foreground"), done.hex),
        (background.hex, _variable(theme, "accent")),
        (background.hex, _variable(theme, "warning")),
        (
            _variable(theme, "input-selection-foreground"),
            _variable(theme, "input-selection-background"),
        ),
    ]
    for text, ground in pairs:
        assert _contrast(text, ground) >= 4.5, (text, ground)


def _share(role: str) -> float:
    """How much of its colour a role mixes into the ground."""
    return float(STYLES[role].split()[-1].rstrip("%")) / 100


@pytest.mark.outside
@pytest.mark.parametrize("deficiency", ["Protanomaly", "Deuteranomaly", "Tritanomaly"])
@pytest.mark.filterwarnings("ignore:.*tritanomaly")
@pytest.mark.parametrize("theme", [DARK_HOUSE, OFFICE], ids=lambda theme: theme.name)
def test_pass_marginal_and_fail_are_told_apart_by_every_eye(theme: Theme, deficiency: str) -> None:
    """At least 8 in CIEDE2000; 2.3 is about just noticeable in CIE76 (Mahy 1994)."""
    named = _colours(theme)
    seen = [_lab_seen(named[name], deficiency) for name in ("success", "warning", "error")]
    for one, other in combinations(seen, 2):
        assert _apart(one, other) >= 8


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


# --- ports and amounts on the wall


def _apart(one: tuple[float, ...], other: tuple[float, ...]) -> float:
    """Difference in CIEDE2000, by colour-science."""
    from colour.difference import delta_E_CIE2000

    return float(delta_E_CIE2000(one, other))


def _lab_seen(text: str, deficiency: str | None) -> tuple[float, ...]:
    """CIELAB of a colour as somebody sees it: Machado, Oliveira and Fernandes 2009, full severity."""
    import colour
    import numpy as np

    linear = colour.models.eotf_sRGB(np.array(Color.parse(text).normalized))
    if deficiency is not None:
        linear = np.clip(colour.matrix_cvd_Machado2009(deficiency, 1.0) @ linear, 0, 1)
    return tuple(float(v) for v in colour.XYZ_to_Lab(colour.RGB_to_XYZ(linear, "sRGB")))


GROUNDS = {
    "dark": colours.DARK_GROUNDS,
    "low blue": colours.LOW_BLUE_GROUNDS,
    "light": colours.LIGHT_GROUNDS,
}


@pytest.mark.outside
@pytest.mark.filterwarnings("ignore:.*tritanomaly")
@pytest.mark.parametrize("deficiency", [None, "Protanomaly", "Deuteranomaly", "Tritanomaly"])
@pytest.mark.parametrize("of", GROUNDS.values(), ids=GROUNDS)
def test_any_two_port_colours_are_far_apart_for_every_eye(
    of: colours.Grounds, deficiency: str | None
) -> None:
    """At least 12 in CIEDE2000 (ISO/CIE 11664-6); 2.3 is about just noticeable in CIE76 (Mahy 1994).

    Low blue has little for a tritanope to tell apart by.
    """
    least = 7 if (of, deficiency) == (colours.LOW_BLUE_GROUNDS, "Tritanomaly") else 12
    seen = [_lab_seen(text, deficiency) for text in of.ports]
    for one, other in combinations(seen, 2):
        assert _apart(one, other) >= least


@pytest.mark.outside
@pytest.mark.filterwarnings("ignore:.*tritanomaly")
@pytest.mark.parametrize("deficiency", [None, "Protanomaly", "Deuteranomaly", "Tritanomaly"])
@pytest.mark.parametrize("of", GROUNDS.values(), ids=GROUNDS)
def test_much_less_and_much_more_are_far_apart_for_every_eye(
    of: colours.Grounds, deficiency: str | None
) -> None:
    """CIEDE2000 (ISO/CIE 11664-6) and Machado, Oliveira and Fernandes 2009, as colour-science computes them."""
    assert _apart(*(_lab_seen(of.changes[at], deficiency) for at in (0, -1))) >= 20


@pytest.mark.outside
@pytest.mark.filterwarnings("ignore:.*tritanomaly")
@pytest.mark.parametrize("deficiency", [None, "Protanomaly", "Deuteranomaly", "Tritanomaly"])
@pytest.mark.parametrize("of", GROUNDS.values(), ids=GROUNDS)
def test_neighbouring_steps_of_an_amount_or_change_are_told_apart_by_every_eye(
    of: colours.Grounds, deficiency: str | None
) -> None:
    """CIEDE2000 (ISO/CIE 11664-6) and Machado, Oliveira and Fernandes 2009, as colour-science computes them."""
    for steps in (of.amounts, of.changes):
        seen = [_lab_seen(text, deficiency) for text in steps]
        for one, other in pairwise(seen):
            assert _apart(one, other) >= 4


@pytest.mark.outside
@pytest.mark.parametrize("of", GROUNDS.values(), ids=GROUNDS)
def test_amounts_go_one_way_in_lightness_and_changes_both_ways_from_the_middle(
    of: colours.Grounds,
) -> None:
    """CIEDE2000 (ISO/CIE 11664-6) and Machado, Oliveira and Fernandes 2009, as colour-science computes them."""
    lightness = [_lab_seen(text, None)[0] for text in of.amounts]
    assert lightness in (sorted(lightness), sorted(lightness, reverse=True))
    contrast = [_apart(_lab_seen(t, None), _lab_seen(of.changes[2], None)) for t in of.changes]
    assert contrast[0] > contrast[1] > contrast[2] == 0 < contrast[3] < contrast[4]


@pytest.mark.parametrize("of", GROUNDS.values(), ids=GROUNDS)
def test_text_on_every_ground_of_the_wall_is_legible(of: colours.Grounds) -> None:
    for ground in (*of.ports, *of.amounts, *of.changes):
        assert _contrast(of.text, ground) >= 4.5, ground


def test_circuits_that_touch_differ(demo_wall: Wall) -> None:
    given = colours.circuit_colours(demo_wall)
    at = {cell: n for n, c in enumerate(demo_wall.circuits, start=1) for cell in c.cells}
    for cell, circuit in at.items():
        for beside in (Cell(cell.row, cell.column + 1), Cell(cell.row + 1, cell.column)):
            if (other := at.get(beside, circuit)) != circuit:
                assert given[other] != given[circuit]

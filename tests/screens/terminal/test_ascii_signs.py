"""What a terminal of ASCII alone is shown: every sign, each by one of its own width, none mistaken for another."""

from __future__ import annotations

from rich.segment import Segment
from textual.color import Color

from commission_tui.checks.checklists.checklist_file import shipped_files
from commission_tui.checks.faults.kinds import KINDS
from commission_tui.screens.mapping.view import PLUG_IN, STAYS
from commission_tui.screens.terminal.ascii_signs import SPELT, AsciiSigns
from commission_tui.screens.terminal.styled_text import (
    ARROW,
    CAUTION_SIGN,
    CHANGES,
    DASH,
    EDGE,
    FAULT_SIGN,
    HERE,
    MARK,
    SHADES,
    VERDICT_SIGN,
)
from tests.cases import case


def painted(text: str) -> str:
    """Return a text as it reaches such a terminal."""
    (row,) = AsciiSigns().apply([Segment(text)], Color(0, 0, 0))
    return row.text


# fmt: off
BESIDE_EACH_OTHER = {
    "verdicts": VERDICT_SIGN.values(),
    "faults on the wall": [*FAULT_SIGN.values(), DASH],
    "luminance": [*SHADES, CAUTION_SIGN, DASH, EDGE, MARK],
    "change": [*CHANGES, DASH, EDGE, MARK],
    "chains": [*ARROW.values(), EDGE, MARK],
    "mapping": [
        *ARROW.values(), *VERDICT_SIGN.values(), SHADES[1], CAUTION_SIGN,
        PLUG_IN, STAYS, "%", "?", EDGE, MARK,
    ],
    "a row that one is at": [HERE, DASH],
    "a chart": ["●", "+", "·", "⠤"],
    "how far a job is": ["━", "─"],
}
# fmt: on


def test_signs_that_stand_beside_each_other_stay_apart() -> None:
    for where, drawn in BESIDE_EACH_OTHER.items():
        with case(where):
            shown = [painted(sign) for sign in drawn]
            assert "".join(shown).isascii()
            assert [len(sign) for sign in shown] == [1] * len(drawn)
            assert len(set(shown)) == len(set(drawn))


def test_frames_strokes_and_curves_keep_their_width() -> None:
    frame = "┌──┬┐│├┤┼└┴┘⠁⣿"
    assert painted(frame).isascii()
    assert len(painted(frame)) == len(frame)


def test_a_figure_is_spelt_out_before_it_is_laid_out() -> None:
    assert painted("600 ± 12 cd/m², 4 Ω, 25 °C".translate(SPELT)) == "600 +/- 12 cd/m2, 4 ohm, 25 C"


def test_whatever_the_checklists_and_the_catalogue_of_faults_say_has_its_signs() -> None:
    said = "".join([*shipped_files().values(), *map(str, KINDS)])
    assert not said.isascii()
    assert painted(said.translate(SPELT)).isascii()

"""What stands out beside its neighbour, and ghosts."""

from __future__ import annotations

import pytest

from commission_tui.checks.model.types import Verdict
from tests.checks.helping import Values, figure, judge

LOW: Values = {"even": True}
PAIR = {"2 % grey, the odd one": 0.44, "2 % grey, beside it": 0.40}


def test_a_step_and_a_colour_beside_the_odd_one() -> None:
    """Arithmetic: 0.44 over 0.40 is 10 % more. u'v' by CIE 15: (0.3127, 0.3290) to (0.3227, 0.3290) is
    0.00713."""
    colours = {
        "x": {"2 % grey, the odd one": 0.3227, "2 % grey, beside it": 0.3127},
        "y": {"2 % grey, the odd one": 0.3290, "2 % grey, beside it": 0.3290},
    }
    outcome = judge("low-grey", LOW | {"luminance_cd_m2": PAIR} | colours)
    assert figure(outcome, "step from what is beside it").value == pytest.approx(10)
    assert figure(outcome, "colour from what is beside it").value == pytest.approx(
        0.00713, abs=1e-5
    )
    assert outcome.verdict is Verdict.FAIL
    assert outcome.where == ("2 % grey",)


def test_one_of_a_pair_says_nothing() -> None:
    alone = judge("low-grey", LOW | {"luminance_cd_m2": {"2 % grey, the odd one": 0.44}})
    assert alone.verdict is Verdict.PASS
    dark = judge("low-grey", LOW | {"luminance_cd_m2": dict.fromkeys(PAIR, 0.0)})
    assert dark.verdict is Verdict.OPEN
    assert "expected above 0 cd/m2" in dark.reason


def test_what_was_seen_fails_whatever_was_read() -> None:
    seen: Values = {"no_mosaic": False, "photo": "b.jpg", "modules_apart": "R1C1 m1,1"}
    assert judge("batch-look", seen).verdict is Verdict.FAIL


def test_a_ghost_is_a_share_of_its_white() -> None:
    there: Values = {
        "none_seen": True,
        "ghost_cd_m2": {"single line": 4.1},
        "ground_cd_m2": {"single line": 0.1},
        "white_cd_m2": {"single line": 400.0},
    }
    outcome = judge("ghosting", there)
    assert figure(outcome, "ghost over its ground, single line").value == pytest.approx(1.0)
    assert outcome.verdict is Verdict.FAIL
    faint = judge("ghosting", there | {"ghost_cd_m2": {"single line": 1.1}})
    assert faint.verdict is Verdict.PASS

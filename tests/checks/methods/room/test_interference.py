"""What the wall adds to the room: sound, radio noise, hum, the hearing loop's background."""

from __future__ import annotations

import pytest

from commission_tui.checks.model.types import Verdict
from tests.checks.helping import Values, figure, judge, meter

SUBTRACT = {3: 3.0, 4: 2.2, 5: 1.7, 6: 1.3, 7: 1.0, 8: 0.7, 9: 0.6, 10: 0.5, 12: 0.3, 15: 0.1}
"""An instrument maker's published training sheet: apart, and what to take off the higher level."""


def noise(off: float, house: float, white: float, *, no_whine: bool = True) -> Values:
    levels = {"wall off": off, "house level": house, "full white": white}
    return {"noise_dba": levels, "no_whine": no_whine}


@pytest.mark.outside
@pytest.mark.parametrize(("apart", "correction"), SUBTRACT.items())
def test_the_wall_alone_against_a_published_table(apart: int, correction: float) -> None:
    """Table in a maker's note on sound level meters, said to follow JIS Z 8731:1999 (ISO 1996-1)."""
    outcome = judge("wall-noise", noise(20.0, 20.0 + apart, 20.0 + apart))
    alone = figure(outcome, "wall alone at full white").value
    assert alone == pytest.approx(20 + apart - correction, abs=0.06)


def test_a_loud_wall_fails_at_the_state_that_is_loud() -> None:
    """By hand: 39.5 with 35.0 off is 10 lg(10^3.95 - 10^3.5) = 37.6 dBA."""
    outcome = judge("wall-noise", noise(35.0, 36.0, 39.5))
    assert figure(outcome, "wall alone at full white").value == pytest.approx(37.6, abs=0.05)
    assert outcome.verdict is Verdict.FAIL
    assert outcome.where[0] == "full white"


def test_a_wall_that_the_room_hides_cannot_be_told() -> None:
    outcome = judge("wall-noise", noise(34.0, 35.0, 35.5))
    assert outcome.verdict is Verdict.MARGINAL
    assert "the room hides the wall" in outcome.reason.lower()
    assert "±0" not in outcome.reason
    assert "quiet hour" in outcome.next_step


def test_a_hidden_wall_whose_most_is_below_the_limit_passes() -> None:
    """By hand: 31 dBA with 29.5 off leaves at most 31 - 3 = 28 dBA, below 30."""
    outcome = judge("wall-noise", noise(29.5, 30.5, 31.0))
    assert outcome.verdict is Verdict.PASS
    assert figure(outcome, "wall alone at full white, at most").value == pytest.approx(28, abs=0.03)


def test_a_room_that_fell_quiet_meanwhile_proves_nothing() -> None:
    outcome = judge("wall-noise", noise(36.0, 34.0, 34.0))
    assert outcome.verdict is Verdict.MARGINAL


def test_the_meter_s_own_error_is_carried_and_not_magnified() -> None:
    """By hand, 4 dB apart: sensitivities 1.66 and -0.66 add to 1, so 1 dB of calibration stays 1 dB
    and a scatter of 0.1 dB becomes sqrt(1.66^2 + 0.66^2) * 0.1 = 0.18 dB.
    """
    one = {"noise_dba": meter(0.1, offset=1.0)}
    found = figure(judge("wall-noise", noise(24.0, 28.0, 28.0), expanded=one), "wall alone at full")
    assert found.budget is not None
    assert found.budget.spread.calibration == pytest.approx(1.0, abs=0.01)
    assert found.budget.spread.scatter == pytest.approx(0.18, abs=0.003)


def test_a_whine_fails_however_quiet() -> None:
    outcome = judge("wall-noise", noise(20.0, 24.0, 25.0, no_whine=False))
    assert outcome.verdict is Verdict.FAIL
    assert "whine" in outcome.reason


def radio(off: float, on: float, *, clean: bool = True) -> Values:
    return {
        "band_used": {"band 1": "606 to 614"},
        "floor_off_dbm": {"band 1": off},
        "floor_on_dbm": {"band 1": on},
        "no_drop_outs": clean,
    }


def test_range_left_against_free_space() -> None:
    """Free space: power falls with the square of distance, so 6.02 dB of noise halve the range."""
    outcome = judge("radio-floor", radio(-104.0, -97.98))
    assert figure(outcome, "range left").value == pytest.approx(50, abs=0.01)
    assert outcome.verdict is Verdict.FAIL
    assert outcome.where == ("band 1",)


def test_a_floor_raised_by_the_limit_passes_and_a_fall_costs_nothing() -> None:
    assert judge("radio-floor", radio(-104.0, -101.0)).verdict is Verdict.PASS
    fallen = judge("radio-floor", radio(-104.0, -106.0))
    assert fallen.verdict is Verdict.PASS
    assert not [f for f in fallen.figures if "range" in f.name]


def test_the_scanner_s_calibration_cancels_in_the_rise() -> None:
    """By hand: 2 * sqrt(2) * 0.25 = 0.71 dB; a rise of 2 dB is told from 3, one of 2.5 is not."""
    both = dict.fromkeys(("floor_off_dbm", "floor_on_dbm"), meter(0.25, offset=1.5))
    assert judge("radio-floor", radio(-104.0, -102.0), expanded=both).verdict is Verdict.PASS
    near = judge("radio-floor", radio(-104.0, -101.5), expanded=both)
    assert near.verdict is Verdict.MARGINAL
    assert near.figures[0].expanded == pytest.approx(0.71, abs=0.005)


def test_drop_outs_fail_though_the_floor_is_low() -> None:
    outcome = judge("radio-floor", radio(-104.0, -104.0, clean=False))
    assert outcome.verdict is Verdict.FAIL
    assert "drop out" in outcome.reason


def test_a_band_read_only_once_is_open() -> None:
    assert judge("radio-floor", {"floor_off_dbm": {"band 1": -104.0}}).verdict is Verdict.OPEN


def test_hum_and_buzz() -> None:
    quiet: Values = {"off_dba": 30.0, "on_dba": 33.0, "clean": True}
    assert judge("sound-hum", quiet).verdict is Verdict.PASS
    zone = {"Main loudspeakers": 33.1, "Delay line under the balcony": 30.0}
    louder = judge("sound-hum", quiet | {"on_dba": zone})
    assert (louder.verdict, louder.where) == (Verdict.FAIL, ("Main loudspeakers",))
    heard = judge("sound-hum", quiet | {"clean": False})
    assert heard.verdict is Verdict.FAIL
    assert heard.reason.startswith("Buzz heard")


@pytest.mark.outside
@pytest.mark.parametrize(("level", "verdict"), [(-32.0, Verdict.PASS), (-31.9, Verdict.FAIL)])
def test_background_of_a_hearing_loop(level: float, verdict: Verdict) -> None:
    """IEC 60118-4: -32 dB above 0.4 A/m, A-weighted (from one secondary page)."""
    outcome = judge("loop-noise", {"loop_off_db": -45.0, "loop_on_db": level})
    assert outcome.verdict is verdict
    assert figure(outcome, "largest rise by the wall").value == pytest.approx(level + 45)


def test_a_loop_that_hums_without_the_wall_is_the_building_s() -> None:
    outcome = judge("loop-noise", {"loop_off_db": -30.0, "loop_on_db": -29.0})
    assert outcome.verdict is Verdict.FAIL
    assert "the building's own" in outcome.next_step

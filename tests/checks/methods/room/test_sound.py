"""Sound beside the picture, and the echo of the wall."""

from __future__ import annotations

import pytest

from commission_tui.checks.model.types import Reading, Verdict
from commission_tui.engineering.numeric.error_parts import Errors
from tests.checks.helping import Values, figure, judge

MAIN, LINE = "Main loudspeakers", "Delay line under the balcony"
LATE = {"whole_ms": {"wall": Reading(85.0, "ms")}}


def test_early_sound_is_told_the_delay_that_mends_it() -> None:
    """Arithmetic: a picture 85 ms late, sound 5 ms late and 12 m away, 35.0 ms at 343.2 m/s, is 45.0 ms
    early; ITU-R BT.1359-1 takes up to 45 ms."""
    values: Values = {
        "delay_ms": 0.0, "distance_m": 12.0, "chain_ms": 4.0, "stored_as": "file",
    }  # fmt: skip
    outcome = judge("sound-delays", values, beside=LATE)
    assert figure(outcome, f"sound against the picture, {MAIN}").value == pytest.approx(
        46.0, abs=0.1
    )
    assert outcome.verdict is Verdict.FAIL
    assert f"46 ms more would bring both together at {MAIN}" in outcome.reason
    later = judge("sound-delays", values | {"delay_ms": 20.0}, beside=LATE)
    assert later.verdict is Verdict.PASS


def test_what_the_picture_s_timer_may_be_off_is_carried_into_the_offset() -> None:
    """JCGM 100:2008, 5.1.2: 4 ms on the picture and 3 ms' worth of distance give 5 ms."""
    timed = {"whole_ms": {"wall": Reading(85.0, "ms", Errors(scatter=2.0))}}
    values: Values = {"delay_ms": 20.0, "distance_m": 12.0, "chain_ms": 4.0, "stored_as": "file"}
    outcome = judge("sound-delays", values, beside=timed, expanded={"distance_m": 3 * 0.34321})
    offset = figure(outcome, f"sound against the picture, {MAIN}")
    assert offset.expanded == pytest.approx(5.0, rel=0.01)


def test_delays_without_a_picture_or_a_distance_are_recorded() -> None:
    values: Values = {"delay_ms": {MAIN: 18.0, LINE: 54.0}, "stored_as": "file"}
    assert judge("sound-delays", values).verdict is Verdict.PASS
    assert judge("sound-delays", values, beside=LATE).verdict is Verdict.PASS


def test_sound_taken_from_the_picture_is_held_against_it() -> None:
    values: Values = {"taken_at": "rack", "there_and_clean": True, "delay_ms": 30.0}
    shots = {"latency_ms": {"a, 1 of 2": Reading(80.0), "a, 2 of 2": Reading(90.0)}}
    outcome = judge("sound-from-picture", values, beside=shots)
    assert figure(outcome, "sound against the picture, taken out (early)").value == 55.0
    assert outcome.verdict is Verdict.FAIL
    assert judge("sound-from-picture", values).verdict is Verdict.PASS


def test_an_echo_is_judged_where_it_is_heard() -> None:
    """Arithmetic: from 10 m sound at 343.2 m/s is back after 20/343.2 s, 58.3 ms."""
    there: Values = {"remark": {"stage": "a slap"}, "distance_m": {"stage": 10.0}}
    silent = judge("wall-echo", there | {"heard": {"stage": "nothing"}})
    assert silent.verdict is Verdict.PASS
    assert figure(silent, "echo of the wall at the stage").value == pytest.approx(58.3, abs=0.05)
    assert judge("wall-echo", there | {"heard": {"stage": "a slap"}}).verdict is Verdict.FAIL

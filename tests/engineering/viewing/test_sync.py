"""Sound against picture; positive is early sound."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from commission_tui.engineering.viewing.sync import (
    Delay,
    DelayWindow,
    SyncVerdict,
    delay_to_set,
    delay_window_ms,
    frames_to_ms,
    lipsync,
    ms_to_frames,
    sound_offset_ms,
    sound_speed_m_s,
    sound_travel_ms,
)

ANY = st.floats(allow_nan=True, allow_infinity=True)
OFFSET = st.floats(-500.0, 500.0)


def test_travel_of_sound() -> None:
    assert sound_travel_ms(0.0) == 0.0
    assert sound_travel_ms(34.321) == pytest.approx(100.0, abs=2e-3)
    assert sound_travel_ms(33.13, 0.0) == pytest.approx(100.0)


def test_frames_and_back() -> None:
    assert frames_to_ms(1, 60000 / 1001) == pytest.approx(16.68333, abs=1e-5)
    assert ms_to_frames(60.0, 50.0) == pytest.approx(3.0)


@given(st.floats(0.0, 1e4), st.floats(10.0, 240.0))
def test_frames_round_trip(frames: float, rate: float) -> None:
    assert ms_to_frames(frames_to_ms(frames, rate), rate) == pytest.approx(frames, abs=1e-9)


def test_slow_picture_makes_sound_early_and_distance_makes_it_late() -> None:
    assert sound_offset_ms(5.0, 0.0, 85.0) == 80.0
    assert sound_offset_ms(5.0, 34.321, 85.0) == pytest.approx(-20.0, abs=2e-3)
    assert sound_offset_ms(0.0, 33.13, 0.0, 0.0) == pytest.approx(-100.0)


@pytest.mark.parametrize(
    ("offset", "verdict", "within_r37"),
    [
        (0.0, "not noticed", True),
        (40.0, "not noticed", True),
        (40.1, "not noticed", False),
        (45.0, "not noticed", False),
        (45.1, "noticed", False),
        (90.0, "noticed", False),
        (90.1, "not acceptable", False),
        (-60.0, "not noticed", True),
        (-60.1, "not noticed", False),
        (-125.0, "not noticed", False),
        (-125.1, "noticed", False),
        (-185.0, "noticed", False),
        (-185.1, "not acceptable", False),
    ],
)
def test_verdicts_at_their_limits(offset: float, verdict: str, within_r37: bool) -> None:
    found = lipsync(offset)
    assert found.offset_ms == offset
    assert found.verdict == SyncVerdict(verdict)
    assert found.within_r37 is within_r37


def test_delays() -> None:
    assert delay_to_set(68.0) == Delay(68.0, 0.0)
    assert delay_to_set(68.0, 50.0) == Delay(68.0, 0.0)
    assert delay_to_set(-70.0) == Delay(0.0, 70.0)
    assert delay_to_set(-60.0, 50.0) == Delay(0.0, 60.0)
    assert delay_to_set(-59.999, 50.0) == Delay(0.0, 40.0)
    assert delay_to_set(-59.9, 50.0) == Delay(0.0, 40.0)
    assert delay_to_set(-10.0, 50.0) == Delay(0.0, 0.0)
    assert delay_to_set(0.0) == Delay(0.0, 0.0)


@given(OFFSET, st.floats(20.0, 120.0))
def test_a_delay_never_makes_sound_early(offset: float, rate: float) -> None:
    delay = delay_to_set(offset, rate)
    left = offset - delay.sound_ms + delay.picture_ms
    assert -1000.0 / rate < left <= 1e-6
    assert 0.0 in (delay.sound_ms, delay.picture_ms)


def test_one_delay_for_a_room() -> None:
    assert delay_window_ms([20.0, -20.0]) == DelayWindow(0.0, 105.0)
    assert delay_window_ms([100.0, -70.0]) == DelayWindow(55.0, 55.0)
    assert delay_window_ms([100.0, -70.1]) is None
    assert delay_window_ms([-126.0]) is None
    assert delay_window_ms([50.0], (-60.0, 40.0)) == DelayWindow(10.0, 110.0)


@given(st.lists(OFFSET, min_size=1, max_size=6), st.floats(0.0, 1.0))
def test_every_delay_in_the_window_keeps_every_seat_unnoticed(
    offsets: list[float], share: float
) -> None:
    window = delay_window_ms(offsets)
    if window is None:
        return
    assert 0.0 <= window.least_ms <= window.most_ms
    delay = window.least_ms + share * (window.most_ms - window.least_ms)
    assert all(-125.0 - 1e-9 <= offset - delay <= 45.0 + 1e-9 for offset in offsets)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: sound_speed_m_s(-50.1), "temperature_c is -50.1 °C, expected >= -50 °C"),
        (lambda: sound_speed_m_s(60.1), "temperature_c is 60.1"),
        (lambda: sound_travel_ms(-1.0), "distance_m is -1 m"),
        (lambda: sound_travel_ms(1.7e308), "travel would be inf"),
        (lambda: frames_to_ms(-1.0, 50.0), "frames is -1"),
        (lambda: frames_to_ms(1.0, 0.0), "frame_hz is 0 Hz"),
        (lambda: frames_to_ms(1e308, 1e-9), "duration would be inf"),
        (lambda: ms_to_frames(-1.0, 50.0), "duration_ms is -1"),
        (lambda: ms_to_frames(1.0, 0.0), "frame_hz is 0"),
        (lambda: ms_to_frames(1e308, 1e308), "frames would be inf"),
        (lambda: sound_offset_ms(-1.0, 1.0, 1.0), "audio_chain_ms is -1"),
        (lambda: sound_offset_ms(1.0, -1.0, 1.0), "distance_m is -1"),
        (lambda: sound_offset_ms(1.0, 1.0, -1.0), "video_ms is -1"),
        (lambda: sound_offset_ms(1.7e308, 4e307, 0.0), "offset would be -inf"),
        (lambda: lipsync(math.nan), "offset_ms is nan"),
        (lambda: delay_to_set(math.inf), "offset_ms is inf"),
        (lambda: delay_to_set(1.0, 0.0), "frame_hz is 0"),
        (lambda: delay_to_set(-1.0, 0.0), "frame_hz is 0"),
        (lambda: delay_window_ms([]), "offsets_ms has 0"),
        (lambda: delay_window_ms([1.0], (1.0, 1.0)), r"limits_ms\[1\] is 1 ms, expected > 1"),
        (lambda: delay_window_ms([1e308], (-1.7e308, 1.0)), "delay would be inf"),
    ],
)
def test_refusals(call: Any, message: str) -> None:
    with pytest.raises(ValueError, match=message):
        call()


@given(ANY, ANY, ANY, ANY)
def test_only_finite_results_or_a_value_error(a: float, b: float, c: float, d: float) -> None:
    calls: list[Any] = [
        lambda: sound_offset_ms(a, b, c, d),
        lambda: frames_to_ms(a, b),
        lambda: ms_to_frames(a, b),
        lambda: lipsync(a).offset_ms,
        lambda: delay_to_set(a, b).picture_ms,
        lambda: getattr(delay_window_ms([a, b], (c, d)), "most_ms", 0.0),
        lambda: getattr(delay_window_ms([a, b], (c, d)), "least_ms", 0.0),
    ]
    for call in calls:
        try:
            result = call()
        except ValueError:
            continue
        assert math.isfinite(result)

"""How late the picture comes, shot by shot, device by device and again hours later."""

from __future__ import annotations

import math
from collections.abc import Mapping

import numpy as np
import pytest

from commission_tui.checks.evaluation import evaluate
from commission_tui.checks.model.types import Outcome, Reading, Value, Verdict
from commission_tui.engineering.numeric.error_parts import Errors
from tests.checks.helping import fellmoor, figure, judge, scattering, shipped, wall_with

CAM1, CAM2 = "Camera 1, balcony", "Camera 2, stage left"
SHOTS = (62.5, 58.3, 66.7, 70.8, 62.5, 54.2, 66.7, 62.5, 58.3, 66.7)
FRAME_MS = 1000 / 60


def shots(first: tuple[float, ...], second: tuple[float, ...]) -> dict[str, Value]:
    return {
        f"{camera}, {n} of 10": value
        for camera, values in ((CAM1, first), (CAM2, second))
        for n, value in enumerate(values, start=1)
    }


@pytest.mark.outside
def test_mean_and_its_uncertainty_against_student() -> None:
    """ISO/IEC Guide 98-3:2008, table G.2: Student's t for 9 degrees and 95.45 % is 2.32.

    Mean 62.92 ms, s = 4.990 ms, so s/sqrt(10) = 1.578 ms and 3.66 ms; with 2 ms of the timer, which is
    off by the same at each shot and rectangular, trials by numpy give 4.02.
    """
    outcome = judge(
        "latency",
        {"latency_ms": shots(SHOTS, SHOTS)},
        expanded={"latency_ms": Errors("the timer", offset=2.0)},
    )
    first = figure(outcome, f"latency of {CAM1}")
    assert first.value == pytest.approx(62.92, abs=0.005)
    random = np.random.default_rng(1)
    trials = random.normal(0, 2.32 / 2 * 1.578, 400_000) + random.uniform(-2, 2, 400_000)
    assert first.expanded == pytest.approx(np.quantile(abs(trials), math.erf(2**0.5)), abs=0.02)
    assert outcome.verdict is Verdict.PASS
    assert figure(outcome, f"spread on {CAM1}").value == pytest.approx(70.8 - 54.2)


def test_latency_in_frames_by_arithmetic() -> None:
    """85 ms are 5.1 frames at 60 Hz (85 / 16.667)."""
    outcome = judge("latency", {"latency_ms": 85.0})
    assert figure(outcome, f"{CAM1} in frames").value == pytest.approx(5.1)


def test_each_camera_is_judged_by_itself_and_named() -> None:
    outcome = judge("latency", {"latency_ms": shots((60.0,) * 10, (104.0,) * 10)})
    assert outcome.verdict is Verdict.FAIL
    assert outcome.where == (CAM2,)
    assert f"not usable: {CAM2}" in outcome.reason


def test_a_single_late_shot_does_not_fail_a_good_mean() -> None:
    late = (*(60.0,) * 9, 100.0)
    outcome = judge("latency", {"latency_ms": shots(late, (60.0,) * 10)})
    assert outcome.verdict is Verdict.PASS


def test_scatter_alone_can_keep_a_mean_from_being_told() -> None:
    outcome = judge("latency", {"latency_ms": shots((70.0, 88.0) * 5, (60.0,) * 10)})
    assert outcome.verdict is Verdict.MARGINAL
    assert outcome.where == (CAM1,)


def test_the_contract_s_latency_replaces_common_practice() -> None:
    wall = wall_with(("pixel_faults_ppm = 10", "pixel_faults_ppm = 10\nlatency_ms = 50"))
    outcome = judge("latency", {"latency_ms": 62.0}, wall=wall)
    assert outcome.verdict is Verdict.FAIL
    assert "the limit of 50 ms" in outcome.reason


def test_devices_against_the_whole_by_arithmetic() -> None:
    """20 + 17 + 25 = 62 ms; 79.5 - 62 = 17.5 ms are 1.05 frames at 60 Hz; 25 of 62 are 40 %."""
    parts = {"camera": 20.0, "mixer": 17.0, "processor and wall": 25.0}
    outcome = judge("latency-by-device", {"device_ms": parts, "whole_ms": 79.5})
    assert figure(outcome, "devices over the whole").value == pytest.approx(-1.05)
    assert figure(outcome, "share of the processor").value == pytest.approx(100 * 25 / 62)
    assert outcome.verdict is Verdict.FAIL
    near = judge("latency-by-device", {"device_ms": parts, "whole_ms": 62 + 16.5})
    assert near.verdict is Verdict.PASS
    assert "most of it in the processor and wall, 40 %" in near.reason


def test_devices_without_the_whole_are_open() -> None:
    parts = {"camera": 20.0, "mixer": 17.0}
    assert judge("latency-by-device", {"device_ms": parts}).verdict is Verdict.OPEN
    assert judge("latency-by-device", {"whole_ms": 62.0}).verdict is Verdict.OPEN
    none = judge("latency-by-device", {"device_ms": dict.fromkeys(parts, 0.0), "whole_ms": 0.0})
    assert none.verdict is Verdict.PASS


@pytest.mark.parametrize("sign", [1, -1])
def test_a_screen_more_than_a_frame_apart_fails_whichever_is_late(sign: int) -> None:
    screen = "side screen, house left"
    inside = judge("screens-together", {"apart_ms": {screen: sign * 16.6}})
    outside = judge("screens-together", {"apart_ms": {screen: sign * 16.8, "balcony screens": 0.0}})
    assert (inside.verdict, outside.verdict) == (Verdict.PASS, Verdict.FAIL)
    assert outside.where == (screen,)
    assert figure(outside, "mean, wall late is plus").value == pytest.approx(sign * 8.4)


def again(
    after: Mapping[str, float], first: Mapping[str, float], expanded: float | None = None
) -> Outcome:
    check = shipped().check("latency-again")
    read = {camera: Reading(value, "ms", scattering(expanded)) for camera, value in after.items()}
    baseline = {
        f"{camera}, {n} of 10": Reading(value, "ms", scattering(expanded))
        for camera, value in first.items()
        for n in range(1, 11)
    }
    fields = {"after_hours_ms": read, "after_format_ms": read}
    return evaluate(check, fellmoor(), fields, baseline={"latency_ms": baseline})


@pytest.mark.parametrize(
    ("later", "verdict"),
    [
        (FRAME_MS * 0.99, Verdict.PASS),
        (FRAME_MS * 1.01, Verdict.FAIL),
        (-FRAME_MS * 1.01, Verdict.FAIL),
    ],
)
def test_a_drift_of_a_frame_is_the_limit_both_ways(later: float, verdict: Verdict) -> None:
    outcome = again({CAM1: 60.0, CAM2: 60.0 + later}, {CAM1: 60.0, CAM2: 60.0})
    assert outcome.verdict is verdict
    assert outcome.where == ((CAM2,) if verdict is Verdict.FAIL else ())


def test_drift_carries_the_scatter_of_the_later_shot() -> None:
    """Ten first shots that agree, and one later with ±3 ms: 0.18 of a frame, so 0.9 is not told."""
    outcome = again({CAM1: 60 + 0.9 * FRAME_MS, CAM2: 60.0}, {CAM1: 60.0, CAM2: 60.0}, 3.0)
    assert outcome.verdict is Verdict.MARGINAL
    assert outcome.figures[0].expanded == pytest.approx(3 / FRAME_MS)


def test_a_camera_without_a_first_latency_is_not_passed_over() -> None:
    outcome = again({CAM1: 60.0, CAM2: 60.0}, {CAM1: 60.0})
    assert outcome.verdict is Verdict.OPEN
    assert f"no first latency of {CAM2}" in outcome.reason
    worse = again({CAM1: 90.0, CAM2: 60.0}, {CAM1: 60.0})
    assert worse.verdict is Verdict.FAIL
    assert CAM2 in worse.reason

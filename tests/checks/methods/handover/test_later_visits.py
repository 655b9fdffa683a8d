"""What a later visit is held against: light left, pixels, spares and circuits of the handover."""

from __future__ import annotations

import math

import pytest

from commission_tui.checks.evaluation import evaluate
from commission_tui.checks.model.types import Outcome, Reading, SeenFault, Verdict
from tests.checks.helping import fellmoor, figure, shipped


def judged(
    check_id: str,
    values: dict[str, dict[str, float | bool]],
    before: dict[str, dict[str, float]],
    *,
    hours: float | None = None,
    faults: tuple[SeenFault, ...] = (),
) -> Outcome:
    check = shipped().check(check_id)
    return evaluate(
        check,
        fellmoor(),
        {f: {p: Reading(v) for p, v in at.items()} for f, at in values.items()},
        faults,
        baseline={f: {p: Reading(v) for p, v in at.items()} for f, at in before.items()},
        hours_run=hours,
    )


TWELVE = [str(cell) for cell in list(fellmoor().cabinets)[:12]]


def test_light_left_and_its_decay() -> None:
    """Hand-worked: 190 of 200 after 2,900 h is 95 %, so 0.95^(1000/2900) after 1,000 h."""
    now = {"luminance_cd_m2": dict.fromkeys(TWELVE, 190.0)}
    then = {"luminance_cd_m2": dict.fromkeys(TWELVE, 200.0)}
    outcome = judged("light-left", now, then, hours=2900.0)
    assert figure(outcome, "light left").value == pytest.approx(95)
    rate = figure(outcome, "decay in 1000 h").value
    assert rate == pytest.approx(100 * (1 - 0.95 ** (1 / 2.9)))
    assert "too few to tell a life" in outcome.reason


def test_one_cabinet_that_fell_alone_is_no_ageing() -> None:
    levels: dict[str, float | bool] = {
        place: 198.0 + 0.1 * number for number, place in enumerate(TWELVE)
    }
    levels[TWELVE[4]] = 150.0
    outcome = judged(
        "light-left",
        {"luminance_cd_m2": levels},
        {"luminance_cd_m2": dict.fromkeys(TWELVE, 200.0)},
    )
    assert f"damage, an exchange or a setting: {TWELVE[4]}" in outcome.reason
    assert "no hours run noted" in outcome.reason


def test_new_pixels_are_told_from_known_ones() -> None:
    swept: dict[str, dict[str, float | bool]] = {
        "swept": dict.fromkeys(("red", "green", "blue", "white", "black"), True)
    }
    faults = (
        SeenFault("pixel dark", "R1C1 x1 y1", "open", 0),
        SeenFault("pixel dark", "R1C1 x9 y9", "open", 1),
        SeenFault("pixel dark", "R2C1 x9 y9", "verified", 1),
    )
    outcome = judged("pixels-again", swept, {}, faults=faults)
    assert figure(outcome, "new since").value == 1
    assert figure(outcome, "known from").value == 1
    # 2 of 72 x 200 x 200 pixels in use.
    assert figure(outcome, "pixel faults per million").value == pytest.approx(2e6 / 2_880_000)


def test_spares_that_nobody_accounts_for_fail_and_the_rest_is_weighed_by_poisson() -> None:
    """Hand-worked: mean 5 failures, 6 spares: P(X <= 6) = 0.762 (Poisson, tables of any handbook)."""
    one = {"counted": 6.0, "lit": 6.0, "used": 1.0, "failures_a_year": 1.0, "years_left": 5.0}
    values: dict[str, dict[str, float | bool]] = {k: {"wall": v} for k, v in one.items()}
    good = judged("spares-again", values, {"counted": {"wall": 7.0}})
    assert good.verdict is Verdict.PASS
    chance = 100 * sum(math.exp(-5) * 5**k / math.factorial(k) for k in range(7))
    assert figure(good, "chance").value == pytest.approx(chance)
    assert chance == pytest.approx(76.2, abs=0.05)
    short = judged("spares-again", values, {"counted": {"wall": 9.0}})
    assert short.verdict is Verdict.FAIL
    assert short.reason.startswith("Not accounted for: 2 of the handover's spares")


def test_a_circuit_that_draws_more_than_at_the_handover_is_named() -> None:
    circuits = [circuit.name for circuit in fellmoor().circuits]
    now: dict[str, float | bool] = dict.fromkeys(circuits, 8.2)
    now[circuits[2]] = 9.9
    outcome = judged(
        "circuits-again", {"current_a": now}, {"current_a": dict.fromkeys(circuits, 8.4)}
    )
    assert outcome.verdict is Verdict.FAIL
    assert outcome.where[0] == circuits[2]
    first = figure(outcome, f"current on full white at {circuits[2]}")
    assert first.value == pytest.approx(100 * (9.9 / 8.4 - 1))

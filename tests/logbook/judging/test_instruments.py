"""Readings taken again: averaged, and what that gains."""

from __future__ import annotations

import math

import pytest

from commission_tui.checks.model.types import Reading, Verdict
from commission_tui.engineering.numeric.error_parts import Errors
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.judging.instruments import averaged
from commission_tui.logbook.judging.outcomes import current_readings
from commission_tui.logbook.logbook import OpenJob, body
from tests.logbook.four_checks import POINTS
from tests.logbook.four_checks import job as job  # the fixture


def test_repeats_are_averaged_and_their_scatter_counts(job: OpenJob) -> None:
    for point in POINTS[1:]:
        job.read("level", "luminance_cd_m2", point, 600.0)
    job.read("level", "luminance_cd_m2", "point 1", 538.0, confirmed=True)
    assert job.outcome("level").verdict is Verdict.MARGINAL
    job.read("level", "luminance_cd_m2", "point 1", 560.0, again=True)
    job.read("level", "luminance_cd_m2", "point 1", 561.0, again=True)
    figure = next(f for f in job.outcome("level").figures if f.name.endswith("point 1"))
    assert figure.value == pytest.approx((538 + 560 + 561) / 3)
    assert len(job.state.readings["level"]["luminance_cd_m2", "point 1"]) == 3


def test_a_mean_has_the_uncertainty_of_the_guide() -> None:
    """Hand-worked by JCGM 100:2008, 4.2.3 and F.2.2.1: scatter falls, calibration does not."""
    one = Errors("meter", offset=0.2, scatter=0.15)
    found = averaged([Reading(v, "cd/m2", one) for v in (10.0, 10.1, 9.9, 10.2, 9.8)])
    assert found.value == pytest.approx(10.0)
    assert found.errors is not None
    assert (found.errors.offset, found.taken) == (0.2, 5)
    assert found.errors.scatter == pytest.approx(0.15 / math.sqrt(5))


@pytest.mark.parametrize(
    ("values", "step"),
    [
        ((600.0, 601.0, 599.0, 601.0, 600.0), 1.0),
        ((600.0, 600.1, 600.3, 600.2, 600.0), 0.1),
        ((600.0, 600.0, 600.0, 600.0, 600.0), None),
    ],
)
def test_what_the_last_digit_hides_is_not_averaged_out(
    job: OpenJob, values: tuple[float, ...], step: float | None
) -> None:
    """Step/√12 stays in the mean (JCGM 100:2008, F.2.2.1); without scatter in sight it is assumed as before."""
    accuracy = {"cd/m2": {"percent": 2.0}}
    job.record(body(e.Instrument, key="spot", name="Spot", serial="1", accuracy=accuracy))
    at = ("level", "luminance_cd_m2", "point 1")
    job.read(*at, values[0])
    alone = current_readings(job.state, "level")[at[1]][at[2]].errors
    for value in values[1:]:
        job.read(*at, value, again=True)
    mean = current_readings(job.state, "level")[at[1]][at[2]]
    assert alone is not None
    assert mean.errors is not None
    if step is None:
        assert mean.assumed
        assert mean.errors.scatter == pytest.approx(alone.scatter / math.sqrt(5))
    else:
        assert mean.errors.fixed == pytest.approx(step / math.sqrt(12))


def test_words_are_not_averaged() -> None:
    assert averaged([Reading("a"), Reading("b")]) == Reading("b")

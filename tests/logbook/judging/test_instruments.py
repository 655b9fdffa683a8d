"""Readings taken again: averaged, and what that gains."""

from __future__ import annotations

import math

import pytest

from commission_tui.checks.model.types import Reading, Verdict
from commission_tui.engineering.numeric.error_parts import Errors
from commission_tui.logbook.judging.instruments import averaged
from commission_tui.logbook.logbook import OpenJob
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


def test_words_are_not_averaged() -> None:
    assert averaged([Reading("a"), Reading("b")]) == Reading("b")

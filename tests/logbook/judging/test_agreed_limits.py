"""Limits as agreed: frozen before the first reading, agreed anew, never moved by a revision."""

from __future__ import annotations

import pytest

from commission_tui.checks.model.types import Verdict
from commission_tui.errors import InputError
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.judging.agreed_limits import (
    frozen_at,
    limit_body,
    limits_at_first,
    limits_moved,
    limits_of,
    slipped_bound,
)
from commission_tui.logbook.logbook import OpenJob, body
from tests.checks.helping import FELLMOOR
from tests.logbook.four_checks import job as job  # the fixture
from tests.logbook.four_checks import read_level


def test_limits_are_frozen_with_source_before_the_first_reading(job: OpenJob) -> None:
    assert frozen_at(job.state, "level") is None
    first = job.read("level", "luminance_cd_m2", "point 1", 600.0)
    (frozen,) = [x for x in job.state.entries.values() if isinstance(x.body, e.LimitsFrozen)]
    assert frozen.id < first.id
    assert isinstance(frozen.body, e.LimitsFrozen)
    assert frozen.body.limits[0].low == pytest.approx(540)
    assert frozen.body.limits[0].source.startswith("contract: luminance 600 cd/m²")
    job.read("level", "luminance_cd_m2", "point 2", 600.0)
    assert len(job.state.limits["level"]) == 1


def test_a_revised_target_does_not_move_a_frozen_limit(job: OpenJob) -> None:
    read_level(job, 560.0)
    text = FELLMOOR.read_text(encoding="utf-8").replace(
        "luminance_cd_m2 = 600", "luminance_cd_m2 = 800"
    )
    job.record(body(e.Design, text=text, reason="client wants more"))
    assert job.outcome("level").verdict is Verdict.PASS
    ((was, now),) = limits_moved(job.state, "level")
    assert was.low == pytest.approx(540)
    assert now.low == pytest.approx(720)


def test_a_limit_agreed_anew_counts_and_says_who_and_why(job: OpenJob) -> None:
    read_level(job, 560.0)
    change = limit_body(
        job.state,
        "level",
        "luminance_cd_m2",
        low=600.0,
        high=None,
        source="Addendum 2",
        agreed_by="Marit Hollis",
        reason="brighter hall",
    )
    job.record(change)
    assert job.outcome("level").verdict is Verdict.FAIL
    assert limits_of(job.state, "level")["luminance_cd_m2"].source == "Addendum 2"
    assert limits_at_first(job.state, "level")["luminance_cd_m2"].low == pytest.approx(540)
    assert not limits_moved(job.state, "level")


@pytest.mark.parametrize(
    ("name", "low", "high", "said"),
    [
        ("lumens", 1.0, None, "lumens"),
        ("luminance_cd_m2", None, None, "neither"),
        ("luminance_cd_m2", 9001100.0, 110.0, "low 9001100 above high 110"),
    ],
)
def test_a_limit_without_meaning_is_refused(
    job: OpenJob, name: str, low: float | None, high: float | None, said: str
) -> None:
    with pytest.raises(InputError, match=said):
        limit_body(
            job.state, "level", name, low=low, high=high, source="s", agreed_by="x", reason="r"
        )


def test_a_limit_that_can_never_fail_is_refused(job: OpenJob) -> None:
    """A ratio of at least -3 made a check pass whatever was read."""
    said = {"source": "mail", "agreed_by": "M. Hollis", "reason": "addendum"}
    (name, *_) = limits_of(job.state, "level")
    with pytest.raises(
        InputError,
        match=f"{limits_of(job.state, 'level')[name].label}: found -3, expected a number from 0 on",
    ):
        limit_body(job.state, "level", name, low=-3, high=None, **said)
    limit_body(job.state, "level", name, low=0.8, high=None, **said)


@pytest.mark.parametrize(
    ("new", "before", "asked"),
    [
        (5.0, 80.0, True), (0.7, 7.0, True), (8.0, 0.8, True), (6.3, 0.63, True),
        (0.001, 0.9, True), (0.71, 7.0, False), (7.9, 0.8, False), (60.0, 80.0, False),
        (None, 80.0, False), (5.0, None, False),
    ],
)  # fmt: skip
def test_a_limit_is_asked_about_from_ten_times_the_one_before(
    new: float | None, before: float | None, asked: bool
) -> None:
    assert bool(slipped_bound(new, before)) is asked

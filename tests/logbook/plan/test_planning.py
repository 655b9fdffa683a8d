"""The plan by worth: a small wall, one evening, one person."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from commission_tui.errors import InputError
from commission_tui.logbook.actions.scope_actions import settle
from commission_tui.logbook.logbook import Logbook, OpenJob
from commission_tui.logbook.plan.planning import OTHER_TRADES, Odds, findings, plan, tasks, to_do
from tests.logbook.four_checks import POINTS
from tests.logbook.state.test_agreed_checks import evening_wall

ALONE = ("power on", "house dark")


def opened(book: Logbook, name: str, scope: str) -> OpenJob:
    return book.create(
        by="A. Technician",
        name=name,
        client="Council",
        integrator="Firm",
        wall_text=evening_wall(),
        scope=scope,
    )


@pytest.fixture
def book(tmp_path: Path) -> Logbook:
    return Logbook(tmp_path / "l.db")


@pytest.mark.parametrize("scope", ["short", "middle", "all"])
def test_an_evening_alone_in_the_dark_begins_with_what_spoils_openings(
    book: Logbook, scope: str
) -> None:
    job = opened(book, "Evening", scope)
    made = plan(job.state, job.outcomes(), 240, ALONE)
    first = [task.check for task in made.now[:12]]
    assert {
        *("cabinet-mapping", "scan-direction", "solid-colours", "brightness", "pixel-faults"),
        *("input-picture", "cameras", "front-light"),
    } <= set(first)
    assert made.minutes <= 240


def test_the_order_is_one_that_the_wall_allows(book: Logbook) -> None:
    job = opened(book, "Evening", "all")
    made = plan(job.state, job.outcomes(), 2000, ALONE)
    order = [task.check for task in made.now]
    for task in made.now:
        for before in set(task.after) & set(order):
            assert order.index(before) < order.index(task.check), (before, task.check)
    assert order.index("cabinet-mapping") < order.index("brightness") < order.index("grey-scale")


def test_who_would_help_and_is_not_there_is_named_and_keeps_nothing_out(book: Logbook) -> None:
    job = opened(book, "Evening", "short")
    made = plan(job.state, job.outcomes(), 240, ALONE)
    (pixels,) = [task for task in made.now if task.check == "pixel-faults"]
    assert pixels.alone == ("second person",)
    helped = plan(job.state, job.outcomes(), 240, (*ALONE, "second person"))
    assert all(task.alone == () for task in helped.now if task.check == "pixel-faults")


def test_how_often_is_a_guess_until_it_is_counted() -> None:
    """Beta(k + 1/2, n - k + 1/2) has the mean (k + 1/2) / (n + 1): arithmetic."""
    assert Odds((1, 10)).mean == pytest.approx(1.5 / 11)
    assert Odds((1, 10), (30, 40)).mean == pytest.approx(31.5 / 51)
    assert "guess 1 of 10, counted 30 of 40" in Odds((1, 10), (30, 40)).words


@pytest.mark.outside
def test_the_mean_is_that_of_the_beta_distribution() -> None:
    """scipy.stats.beta, the mean of the distribution."""
    stats = pytest.importorskip("scipy.stats")
    for finds, of in ((0, 1), (3, 10), (12, 12), (7, 40)):
        expected = stats.beta(finds + 0.5, of - finds + 0.5).mean()
        assert Odds((finds, of)).mean == pytest.approx(expected)


def test_a_logbook_learns_which_checks_find_something(book: Logbook) -> None:
    for number in range(3):
        job = opened(book, f"Job {number}", "short")
        job.fault("cabinet shows wrong tile", "R1C1", "stop", check="sign-off-walk")
        for name, place in job.outcome("sign-off-walk").to_do:
            item = job.state.checklist.check("sign-off-walk").field(name)
            answers: dict[str, float | str | bool] = {"number": 1.0, "text": "seen", "yes-no": True}
            value = answers.get(item.kind, "".join(item.choices[:1]))
            job.read("sign-off-walk", name, place, value, confirmed=True)
    last = opened(book, "Last", "short")
    counted = findings(book.path, last.id)
    assert counted["sign-off-walk"] == (3, 3)
    assert "hoists" not in counted
    before = plan(last.state, last.outcomes(), 240, ALONE)
    after = plan(last.state, last.outcomes(), 240, ALONE, {"spares": (90, 100)})
    spares = [[t.worth for t in p.now if t.check == "spares"] for p in (before, after)]
    assert spares[1] > spares[0]


def test_a_feature_that_is_settled_changes_the_plan(book: Logbook) -> None:
    job = opened(book, "Evening", "short")
    settle(job, "backup runs", "yes")
    made = plan(job.state, job.outcomes(), 600, ALONE)
    assert "loop-failure" in [task.check for task in made.now]


def test_the_plan_takes_what_blocks_most_per_minute_and_names_what_is_lacking(
    four_checks: OpenJob,
) -> None:
    made = plan(four_checks.state, four_checks.outcomes(), 12, ["house dark"])
    assert [task.check for task in made.now] == ["label", "level"]
    assert [task.check for task in made.later] == ["tiles"]
    dark = plan(four_checks.state, four_checks.outcomes(), 12, [])
    assert [(task.check, lacks) for task, lacks in dark.lacking] == [("level", ("house dark",))]
    assert (
        plan(four_checks.state, four_checks.outcomes(), 9, ["house dark"]).now[0].check == "level"
    )


def test_danger_comes_first_whatever_it_takes(four_checks: OpenJob) -> None:
    four_checks.fault("lock or bolt not home", "R1C1", "danger")
    made = plan(four_checks.state, four_checks.outcomes(), 20, ["house dark"])
    assert made.now[0].fault == 1
    assert made.minutes <= 20


def test_a_check_half_done_takes_half_its_time(four_checks: OpenJob) -> None:
    for point in POINTS[:3]:
        four_checks.read("level", "luminance_cd_m2", point, 600.0)
    (level,) = [
        task for task in tasks(four_checks.state, four_checks.outcomes()) if task.check == "level"
    ]
    assert level.minutes == pytest.approx(6)


@pytest.mark.parametrize("minutes", [0.0, -3.0, math.nan, math.inf])
def test_a_time_without_meaning_is_refused(four_checks: OpenJob, minutes: float) -> None:
    with pytest.raises(InputError, match="minutes"):
        plan(four_checks.state, four_checks.outcomes(), minutes, [])


def test_the_technicians_own_hours_and_the_other_trades_are_counted_apart(book: Logbook) -> None:
    job = opened(book, "Evening", "short")
    job.fault("pixel dark", "R1C1 x4 y4", "near")
    left = to_do(job.state, job.outcomes())
    open_checks = [o for o in job.outcomes().values() if o.verdict == "open"]
    assert left.own.checks + left.others.checks == len(open_checks)
    assert (left.own.faults, left.others.faults) == (1, 0)
    every = tasks(job.state, job.outcomes())
    theirs = [task for task in every if set(task.needs) & OTHER_TRADES]
    assert left.others.minutes == pytest.approx(sum(task.minutes for task in theirs))
    assert left.own.minutes == pytest.approx(sum(t.minutes for t in every) - left.others.minutes)
    assert left.others.checks

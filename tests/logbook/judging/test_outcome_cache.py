"""A held verdict is the one that judging anew gives, whatever was logged since."""

from __future__ import annotations

import random
from collections.abc import Callable
from contextlib import closing
from dataclasses import replace
from datetime import UTC, datetime
from functools import lru_cache, partial
from typing import Any

import pytest

from commission_tui.checks.model.types import Outcome, Verdict
from commission_tui.errors import StoreError
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.entry_factory import body, changed_body
from commission_tui.logbook.integrity.kept_results import odd_results
from commission_tui.logbook.judging import outcome_cache, outcomes
from commission_tui.logbook.judging.agreed_limits import limit_body
from commission_tui.logbook.judging.doubts import changes
from commission_tui.logbook.judging.outcome_cache import OutcomeCache
from commission_tui.logbook.judging.outcome_cache import affected_checks as checks_changed
from commission_tui.logbook.logbook import Logbook, OpenJob
from commission_tui.logbook.state.fold import fold
from commission_tui.logbook.state.state import NO_READINGS, State
from tests.logbook.four_checks import METER, POINTS
from tests.logbook.four_checks import job as job  # the fixture, on a checklist of four checks

STEPS = 4


def anew(state: State) -> dict[str, Outcome]:
    record = lru_cache(partial(outcomes.record_of, state))
    return {c.id: outcomes.judged_check(state, c.id, record=record) for c in state.checklist}


def test_each_verdict_of_the_demo_is_held_as_long_as_it_stands(demo_job: OpenJob) -> None:
    """Its whole story, with visits, settings, exchanges and corrections, some entries at a time."""
    entries = demo_job.state.in_order()
    cache, state = OutcomeCache(), State()
    known: dict[str, Outcome] = {}
    for number in range(STEPS):
        at = slice(len(entries) * number // STEPS, len(entries) * (number + 1) // STEPS)
        before, state = state, fold(entries[at], state)
        found = anew(state)
        assert cache.outcomes(state) == found
        assert list(cache.outcomes(state)) == list(found)
        other = {check for check, outcome in found.items() if known.get(check) != outcome}
        assert other <= checks_changed(before, state)
        known = found


def _read(job: OpenJob, rng: random.Random) -> None:
    job.read(
        "level", "luminance_cd_m2", rng.choice(POINTS), rng.uniform(400, 800), confirmed=True,
        again=rng.random() < 0.2,
    )  # fmt: skip


def _see(job: OpenJob, rng: random.Random) -> None:
    job.read("tiles", "seen", rng.choice(list(map(str, job.state.wall.cabinets))), True)


def _fault(job: OpenJob, rng: random.Random) -> None:
    job.fault("cabinet dark", "R1C1", rng.choice(["stop", "note"]))


def _set(job: OpenJob, rng: random.Random) -> None:
    job.record(body(e.SettingLogged, setting="brightness level", value=f"{rng.randint(1, 9)}0 %"))


def _exchange(job: OpenJob, rng: random.Random) -> None:
    serial = f"N{rng.random()}"
    job.record(body(e.PartFitted, part="module", location="R2C2 m1,1", serial=serial, replaces="M"))


def _keep(job: OpenJob, rng: random.Random) -> None:
    if found := changes(job.state):
        change = rng.choice(found).id
        job.record(body(e.ResultsKept, change=change, checks=("tiles",), reason="looked at"))


def _limit(job: OpenJob, rng: random.Random) -> None:
    job.record(
        limit_body(
            job.state, "level", "luminance_cd_m2", low=rng.uniform(400, 700), high=None,
            source="agreed", agreed_by="Client", reason="seen together",
        )
    )  # fmt: skip


def _meter(job: OpenJob, rng: random.Random) -> None:
    accuracy = {"cd/m2": {"percent": rng.uniform(1, 9)}}
    job.record(body(e.Instrument, **METER | {"accuracy": accuracy}))


def _skip(job: OpenJob, _: random.Random) -> None:
    job.skip("label", "there is none")


def _visit(job: OpenJob, rng: random.Random) -> None:
    job.record(body(e.VisitBegun, name=f"visit {rng.random()}"))


def _move(job: OpenJob, rng: random.Random) -> None:
    """Put a reading right so that it belongs to another check, or to none."""
    check, other = rng.sample(["again", "level"], 2)
    slots = job.state.readings.get(check, NO_READINGS)
    if slots:
        last = rng.choice(list(slots.values()))[-1]
        moved = changed_body(last.body, check=other)
        job.correct(last.id, moved if rng.random() < 0.7 else None, "not this one")


WAYS: list[Callable[[OpenJob, random.Random], None]] = [
    *(_read, _read, _read, _see, _see, _fault, _set, _exchange, _keep, _limit, _meter, _skip),
    *(_visit, _move, _move),
]


@pytest.mark.parametrize("seed", range(3))
def test_whatever_is_logged_the_verdicts_are_those_judged_anew(job: OpenJob, seed: int) -> None:
    rng = random.Random(seed)  # noqa: S311 (a test that repeats)
    for _ in range(60):
        before = job.state
        known = anew(before)
        rng.choice(WAYS)(job, rng)
        found = anew(job.state)
        other = {check for check, outcome in found.items() if known[check] != outcome}
        assert other <= checks_changed(before, job.state)
        if rng.random() < 0.5:
            assert {check: job.outcome(check) for check in found} == found
        assert job.outcomes() == found
        assert {check: job.outcome(check).to_do for check in found} == {
            check: outcome.to_do for check, outcome in found.items()
        }


@pytest.mark.parametrize("seed", range(2))
def test_what_stood_at_an_earlier_moment_is_judged_from_what_stands_now(
    job: OpenJob, seed: int
) -> None:
    """As a past signature is: verdicts taken over from now are those judged anew for then."""
    rng = random.Random(seed)  # noqa: S311 (a test that repeats)
    now = OutcomeCache()
    for _ in range(40):
        rng.choice(WAYS)(job, rng)
        found = dict(now.outcomes(job.state))
        entries = job.state.in_order()
        then = fold(entries[: rng.randint(4, len(entries))])
        assert now.as_it_is().outcomes(then) == anew(then)
        assert now.outcomes(job.state) == found


def test_a_visit_that_another_laptop_began_in_between_is_taken_in(job: OpenJob) -> None:
    """Its clock is behind: what it logs sorts before readings that are folded already."""
    for point in POINTS[:5]:
        job.read("level", "luminance_cd_m2", point, 600.0)
    then = datetime.now(UTC)
    with closing(Logbook(job.database, clock=lambda: then)) as book:
        other = book.open(job.id, "B. Technician")
        for point in POINTS[5:]:
            job.read("level", "luminance_cd_m2", point, 600.0)
        assert job.outcome("level").verdict is Verdict.PASS
        other.record(body(e.VisitBegun, name="a year later"))
        job.refresh()
        assert job.outcome("level").verdict is Verdict.OPEN
        assert job.outcomes() == other.outcomes() == anew(job.state)
    assert odd_results(job.database) == []


def test_what_could_not_be_written_leaves_no_verdict_behind(
    job: OpenJob, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The verdicts are judged before the disk answers."""

    def full(*_: object, **__: object) -> int:
        raise StoreError("the disk is full; nothing was written")

    for point in POINTS[:8]:
        job.read("level", "luminance_cd_m2", point, 600.0)
    with monkeypatch.context() as broken:
        broken.setattr(job._store, "append", full)
        with pytest.raises(StoreError):
            job.read("level", "luminance_cd_m2", POINTS[8], 10.0, confirmed=True)
        with pytest.raises(StoreError):
            job.read("tiles", "seen", "R1C1", False)
    assert job.outcomes() == anew(job.state)
    job.read("level", "luminance_cd_m2", POINTS[8], 600.0)
    assert job.outcome("level") == outcomes.judged_check(job.state, "level")
    assert job.outcomes() == anew(job.state)


def test_a_check_is_judged_once_while_nothing_bears_on_it(
    job: OpenJob, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[str] = []
    judge = outcomes.judged_check

    def noted(state: State, check: str, **more: Any) -> Outcome:
        asked.append(check)
        return replace(judge(state, check, **more))

    monkeypatch.setattr(outcome_cache, "judged_check", noted)
    job.outcomes()
    asked.clear()
    job.record(body(e.Note, text="nothing rests on it"))
    job.fault("cabinet dark", "R1C1", "note")  # which no method here looks for
    job.outcomes()
    assert asked == []
    job.read("level", "luminance_cd_m2", POINTS[0], 600.0)
    job.outcomes()
    # What is held against the first visit's level is judged again with it.
    assert sorted(asked) == ["again", "level"]

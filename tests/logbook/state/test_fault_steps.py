"""One step for many faults: allowed item by item, all in one transaction, the rest named."""

from __future__ import annotations

from datetime import date

import pytest

from commission_tui.errors import InputError
from commission_tui.logbook.logbook import OpenJob
from commission_tui.logbook.state.fault_steps import (
    AsItIs,
    same_before,
    sorted_by_step,
    work_bodies,
)


def test_a_step_for_many_leaves_alone_those_it_is_not_open_to(job: OpenJob) -> None:
    for place in ("R1C1", "R1C2", "R1C3"):
        job.fault("cabinet dark", place, "stop")
    first, second, third = job.state.faults
    job.work(second, "mended", note="reseated")
    before = len(job.state.entries)
    ids = [first.id, second.id, third.id]
    done, bodies = work_bodies(job.state, ids, "mended", note="ribbon changed")
    job.record_all(bodies)
    assert [fault.number for fault in done.allowed] == [1, 3]
    assert [fault.number for fault in done.left_alone] == [2]
    assert [fault.state for fault in job.state.faults] == ["mended"] * 3
    assert len(job.state.entries) == before + 2
    assert [f.work[-1].body.note for f in job.state.faults] == [
        "ribbon changed", "reseated", "ribbon changed",
    ]  # fmt: skip


def test_nothing_is_logged_when_no_fault_can_take_the_step_or_nobody_accepts(job: OpenJob) -> None:
    job.fault("cabinet dark", "R1C1", "stop")
    job.fault("cabinet dark", "R1C2", "stop")
    ids = [fault.id for fault in job.state.faults]
    before = len(job.state.entries)
    with pytest.raises(InputError, match="verified: no fault here is ready"):
        work_bodies(job.state, ids, "verified")
    with pytest.raises(InputError, match="who accepts it for the client"):
        work_bodies(job.state, ids, "accepted", taken=AsItIs(" ", "Our firm", date(2026, 7, 14)))
    assert len(job.state.entries) == before


def test_a_fault_is_taken_as_it_stands_now(job: OpenJob) -> None:
    job.fault("cabinet dark", "R1C1", "stop")
    job.fault("cabinet dark", "R1C2", "stop")
    shown = job.state.faults
    job.work(shown[0], "mended")
    assert [f.number for f in sorted_by_step(shown, "mended").allowed] == [1, 2]
    done, _ = work_bodies(job.state, [fault.id for fault in shown], "mended")
    assert [fault.number for fault in done.left_alone] == [1]


def test_the_latest_fault_of_that_kind_at_that_place_is_the_same_before(job: OpenJob) -> None:
    for kind, place in (
        ("cabinet dark", "R1C1"),
        ("cabinet dark", "R1C2"),
        ("dark seam", "R1C1 right"),
    ):
        job.fault(kind, place, "stop")
        assert same_before(job.state, job.state.faults[-1]) is None
    job.fault("cabinet dark", "R1C1", "stop")
    same = same_before(job.state, job.state.faults[-1])
    assert same is not None
    assert same.number == 1

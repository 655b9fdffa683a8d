"""What a merge left for people to look at, told on the overview and on the walk."""

from __future__ import annotations

import re
from datetime import timedelta
from pathlib import Path

import pytest

from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.ids_and_clock import IdSource
from commission_tui.logbook.integrity.merge import database_source, merge
from commission_tui.logbook.logbook import Logbook, OpenJob, body
from commission_tui.logbook.store.backup import copy_database
from tests.screens.conftest import SMALL_WALL
from tests.screens.helping import ROOMY, everything, running, text_of, walk_of


@pytest.fixture
def merged(logbook: Logbook, ready: OpenJob, tmp_path: Path) -> OpenJob:
    """The same point read on two laptops, and the design revised on both."""
    with_copy = Logbook(copy_database(logbook.path, tmp_path / "other.db"))
    other = with_copy.open(ready.id, "B. Colleague")
    ready.read("nine", "luminance_cd_m2", "point 1", 600.0)
    other.read("nine", "luminance_cd_m2", "point 1", 612.0)
    for job, kilograms in ((ready, 9), (other, 10)):
        text = SMALL_WALL.replace("weight_kg = 8", f"weight_kg = {kilograms}")
        job.record(body(e.Design, text=text, reason=f"weighed, {kilograms} kg"))
    with_copy.close()
    with database_source(tmp_path / "other.db") as source:
        merge(logbook, [source])
    ready.refresh()
    return ready


async def test_the_overview_tells_designs_made_apart_until_one_is_logged_again(
    logbook: Logbook, merged: OpenJob
) -> None:
    async with running(logbook, merged, size=ROOMY) as pilot:
        said = text_of(pilot, "#next")
        assert "CAUTION" in said
        assert "2 design revisions were made apart" in said
        merged.record(body(e.Design, text=SMALL_WALL, reason="the first holds"))
        await pilot.pause()
        assert "made apart" not in text_of(pilot, "#next")


async def test_what_two_people_read_is_told_with_who(logbook: Logbook, merged: OpenJob) -> None:
    async with running(logbook, merged, size=ROOMY) as pilot:
        assert "1 read by more than one person" in text_of(pilot, "#next")
        await pilot.press("f3")
        walk_of(pilot).go_to("nine", "point 1")
        await pilot.pause()
        assert "by 2" in text_of(pilot, "#readings")
        said = text_of(pilot, "#guide-text")
        assert "600 cd/m² by A. Technician" in said
        assert "612 cd/m² by B. Colleague" in said


async def test_corrections_made_apart_and_a_fault_logged_twice_are_told(
    logbook: Logbook, ready: OpenJob, tmp_path: Path
) -> None:
    read = ready.read("nine", "luminance_cd_m2", "point 1", 600.0)
    with_copy = Logbook(copy_database(logbook.path, tmp_path / "other.db"))
    other = with_copy.open(ready.id, "B. Colleague")
    for job, value in ((ready, 610.0), (other, 595.0)):
        job.correct(read.id, job.reading("nine", "luminance_cd_m2", "point 1", value), "wrong")
        job.fault("cabinet dark", "R1C1", "stop")
        job.record(body(e.SettingLogged, setting="brightness level", value=f"{value:g} nits"))
    with_copy.close()
    with database_source(tmp_path / "other.db") as source:
        merge(logbook, [source])
    ready.refresh()
    async with running(logbook, ready, size=ROOMY) as pilot:
        said = " ".join(text_of(pilot, "#next").split())
        assert "A. Technician 610 cd/m², B. Colleague 595 cd/m²" in said
        level = (
            "1 logged by two who did not know of each other: brightness level: wall: A. Technician"
        )
        assert f"{level} 610 nits" in said
        assert "cabinet dark at R1C1: A. Technician fault 1, B. Colleague fault 2" in said


async def test_what_one_person_read_twice_is_not_told(logbook: Logbook, ready: OpenJob) -> None:
    ready.read("nine", "luminance_cd_m2", "point 1", 600.0)
    ready.read("nine", "luminance_cd_m2", "point 1", 602.0)
    async with running(logbook, ready) as pilot:
        assert "more than one person" not in text_of(pilot, "#next")


async def test_another_person_on_a_later_visit_is_not_told(
    logbook: Logbook, ready: OpenJob
) -> None:
    ready.read("nine", "luminance_cd_m2", "point 1", 600.0)
    ready.record(body(e.VisitBegun, name="30 days"))
    logbook.open(ready.id, "B. Colleague").read("nine", "luminance_cd_m2", "point 1", 590.0)
    ready.refresh()
    async with running(logbook, ready, size=ROOMY) as pilot:
        assert "more than one person" not in text_of(pilot, "#next")
        await pilot.press("f3")
        walk_of(pilot).go_to("nine", "point 1")
        await pilot.pause()
        assert "Read here" not in text_of(pilot, "#guide-text")


async def test_a_fault_that_has_another_number_is_found_by_the_id_that_the_merge_named(
    logbook: Logbook, ready: OpenJob, tmp_path: Path
) -> None:
    apart = copy_database(logbook.path, tmp_path / "other.db")
    with_copy = Logbook(apart, logbook.clock, IdSource(lambda _: 0x5A5A))
    with_copy.open(ready.id, "B. Colleague").fault("cabinet dark", "R1C1", "stop")
    ready.fault("dark seam", "R2C1 right", "near")
    mine = ready.state.faults[0]
    assert mine.number == 1
    with_copy.close()
    with database_source(tmp_path / "other.db") as source:
        told = merge(logbook, [source]).told
    ready.refresh()
    (said,) = [line for line in told if "is now fault" in line]
    ids = re.findall(r"id ([0-9a-f]+)\)", said)
    async with running(logbook, ready, size=ROOMY) as pilot:
        await pilot.press("f5", "slash", *ids[0], "enter")
        await pilot.pause()
        assert text_of(pilot, "#summary").startswith("1 of 2 shown")
        assert f"  2 {ids[0]} " in everything(pilot)
        assert f"id {ids[0]}" in text_of(pilot, "#history-text")


async def test_a_clock_behind_the_entries_is_told_on_the_overview(
    logbook: Logbook, ready: OpenJob
) -> None:
    now = logbook.clock()
    behind = Logbook(logbook.path, lambda: now - timedelta(days=1))
    job = behind.open(ready.id, "A. Technician")
    async with running(behind, job, size=ROOMY) as pilot:
        assert "one of the clocks is wrong" in " ".join(text_of(pilot, "#next").split())
    behind.close()

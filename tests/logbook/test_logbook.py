"""The logbook: durable entries, corrections, and the state as a fold of them."""

from __future__ import annotations

import contextlib
import json
import operator
import random
import sqlite3
import stat
from datetime import date, timedelta
from functools import partial
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from commission_tui.errors import InputError, StoreError
from commission_tui.logbook.actions.taking_back import undo
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.ids_and_clock import IdSource
from commission_tui.logbook.entries.models import BODY, ENTRY, Entry
from commission_tui.logbook.integrity.clock_differences import clock_behind
from commission_tui.logbook.logbook import Logbook, OddReadingError, OpenJob, body
from commission_tui.logbook.state.fault_steps import AsItIs
from commission_tui.logbook.state.fold import fold
from commission_tui.logbook.state.state import State

METER = {
    "key": "meter",
    "name": "Spot meter",
    "serial": "0042",
    "accuracy": {"cd/m2": {"percent": 2.0}},
}


def entries_of(job: OpenJob) -> list[Entry]:
    return [job.state.entries[key] for key in sorted(job.state.entries)]


@pytest.fixture
def metered(job: OpenJob) -> OpenJob:
    job.record(body(e.Instrument, **METER))
    return job


@pytest.fixture
def nine(metered: OpenJob) -> tuple[str, str]:
    """A check and field of nine points in cd/m2, from the shipped checklists."""
    for check in metered.state.checklist:
        for item in check.fields:
            if item.per == "nine points" and item.unit == "cd/m2":
                return check.id, item.name
    raise AssertionError("no nine-point luminance check is shipped")


def test_what_was_acknowledged_is_there_when_opened_again(
    metered: OpenJob, nine: tuple[str, str], logbook: Logbook
) -> None:
    entry = metered.read(*nine, "point 1", 612.0)
    again = Logbook(logbook.path)
    reopened = again.open("Fellmoor Town Hall", "B. Technician")
    again.close()
    latest = reopened.state.latest(*nine, "point 1")
    assert latest is not None
    assert (latest.id, latest.body.value, latest.body.instrument) == (entry.id, 612.0, "meter")
    assert reopened.state == metered.state


def test_a_correction_keeps_the_old_value_and_says_who_and_why(
    metered: OpenJob, nine: tuple[str, str]
) -> None:
    entry = metered.read(*nine, "point 1", 6120.0, confirmed=True)
    right = metered.reading(*nine, "point 1", 612.0)
    metered.correct(entry.id, right, "one digit too many")
    latest = metered.state.latest(*nine, "point 1")
    assert latest is not None
    assert latest.body.value == 612.0
    assert latest.corrected
    first, correction = metered.state.history(entry.id)
    assert isinstance(first.body, e.ReadingTaken)
    assert isinstance(correction.body, e.Correction)
    assert first.body.value == 6120.0
    assert (correction.by, correction.body.reason) == ("A. Technician", "one digit too many")


def test_a_correction_can_move_a_reading_to_another_place(
    metered: OpenJob, nine: tuple[str, str]
) -> None:
    entry = metered.read(*nine, "point 1", 612.0)
    metered.correct(entry.id, metered.reading(*nine, "point 2", 612.0), "one point too far left")
    assert metered.state.latest(*nine, "point 1") is None
    assert metered.state.latest(*nine, "point 2") is not None


def test_undo_brings_back_the_reading_before(metered: OpenJob, nine: tuple[str, str]) -> None:
    metered.read(*nine, "point 1", 612.0)
    metered.read(*nine, "point 1", 599.0)
    undo(metered)
    latest = metered.state.latest(*nine, "point 1")
    assert latest is not None
    assert latest.body.value == 612.0
    undo(metered)
    assert metered.state.latest(*nine, "point 1") is None
    assert len([x for x in entries_of(metered) if x.body.kind == "reading"]) == 2


def test_undo_takes_back_a_correction_where_that_was_last(
    metered: OpenJob, nine: tuple[str, str]
) -> None:
    def stands(point: str) -> list[object]:
        return [one.body.value for one in metered.state.slot(*nine, point)]

    first = metered.read(*nine, "point 1", 612.0)
    metered.read(*nine, "point 2", 600.0)
    for value in (611.0, 610.0):
        metered.correct(first.id, metered.reading(*nine, "point 1", value), "typed wrong")
    for one, two in (([611.0], [600.0]), ([612.0], [600.0]), ([612.0], []), ([], [])):
        undo(metered)
        assert (stands("point 1"), stands("point 2")) == (one, two)
    undo(metered)  # the meter, logged before
    assert not metered.state.instruments
    with pytest.raises(InputError, match="found nothing to withdraw"):
        undo(metered)


def test_a_reading_outside_the_sane_range_is_asked_about_once(
    metered: OpenJob, nine: tuple[str, str]
) -> None:
    high = metered.state.checklist.check(nine[0]).field(nine[1]).high
    assert high is not None
    with pytest.raises(OddReadingError, match="above"):
        metered.read(*nine, "point 1", high * 2)
    assert metered.state.latest(*nine, "point 1") is None
    entry = metered.read(*nine, "point 1", high * 2, confirmed=True)
    assert isinstance(entry.body, e.ReadingTaken)
    assert "above" in entry.body.odd


def test_a_measured_field_wants_an_instrument_first(job: OpenJob) -> None:
    for check in job.state.checklist:
        for item in check.fields:
            if item.measured and item.per == "nine points":
                with pytest.raises(InputError, match="no instrument chosen that measures"):
                    job.read(check.id, item.name, "point 1", 600.0)
                return
    raise AssertionError("no measured nine-point field is shipped")


@pytest.mark.parametrize(
    ("check", "field", "place", "value", "expected"),
    [
        ("nonsense", "luminance", "point 1", 1.0, "expected a check of this job"),
        ("", "nonsense", "point 1", 1.0, "field: found 'nonsense', expected one of"),
        ("", "", "point 10", 1.0, "place: found 'point 10', expected such as point 1 or point 2"),
        ("", "", "point 1", float("nan"), "expected a number"),
        ("", "", "point 1", float("inf"), "expected a number"),
        ("", "", "point 1", "bright", "expected a number"),
        ("", "", "point 1", True, "expected a number"),
    ],
)
def test_a_reading_without_meaning_is_refused_and_nothing_written(
    metered: OpenJob,
    nine: tuple[str, str],
    check: str,
    field: str,
    place: str,
    value: Any,
    expected: str,
) -> None:
    before = len(metered.state.entries)
    with pytest.raises(InputError, match=expected):
        metered.read(check or nine[0], field or nine[1], place, value)
    assert len(metered.state.entries) == before


def test_the_way_of_a_fault(job: OpenJob) -> None:
    job.fault("pixel dark", "x1211 y402", "near")
    fault = job.state.faults[0]
    assert fault.found.body.location == "R3C7 x11 y2"
    assert fault.state == "open"
    with pytest.raises(InputError, match="it can be accepted or mended now"):
        job.work(fault, "verified")
    job.work(fault, "mended", note="module changed")
    job.work(job.state.faults[0], "reopened")
    assert job.state.faults[0].state == "open"
    with pytest.raises(InputError, match="who accepts it"):
        job.work(job.state.faults[0], "accepted")
    job.work(
        job.state.faults[0], "accepted", taken=AsItIs("C. Director", "Our firm", date(2026, 7, 14))
    )
    assert job.state.faults[0].state == "accepted"
    assert len(job.state.faults[0].work) == 3


@pytest.mark.parametrize("location", ["R7C1", "R1C13", "R1C12 right", "x2400 y0", "R1C1 x200 y0"])
def test_a_fault_must_be_on_the_wall(job: OpenJob, location: str) -> None:
    with pytest.raises(InputError, match="location: found"):
        job.fault("cabinet dark", location, "stop")


@pytest.mark.parametrize("text", ["\x1b[31mred", "a\x00b", "a\u202eb", "", "   ", "x" * 5000])
def test_text_that_would_not_print_as_typed_is_refused(job: OpenJob, text: str) -> None:
    with pytest.raises(InputError):
        job.record(body(e.Note, text=text))


@pytest.mark.parametrize("text", ["[red]x[/]", "#panic()", "=1+1", "<b>", "Ünïcode 漢字 🙂"])
def test_markup_is_data(job: OpenJob, text: str) -> None:
    job.record(body(e.Note, text=text))
    assert job.state.notes[-1].body.text == text


def test_the_database_itself_refuses_to_change_an_entry(job: OpenJob, logbook: Logbook) -> None:
    with contextlib.closing(sqlite3.connect(logbook.path)) as other, other:
        for statement in (
            "UPDATE entries SET by = 'x'",
            "DELETE FROM entries",
            "INSERT OR REPLACE INTO entries SELECT id, job, at, 'x', kind, NULL, NULL, digest, body FROM entries",
            "REPLACE INTO entries SELECT id, job, at, 'x', kind, NULL, NULL, digest, body FROM entries LIMIT 1",
        ):
            with pytest.raises(sqlite3.IntegrityError, match="written once"):
                other.execute(statement)
    other.close()


def test_the_views_say_what_stands(metered: OpenJob, nine: tuple[str, str]) -> None:
    entry = metered.read(*nine, "point 1", 6120.0, confirmed=True)
    metered.correct(entry.id, metered.reading(*nine, "point 1", 612.0), "typed wrong")
    metered.read(*nine, "point 2", 600.0)
    undo(metered)
    metered.fault("pixel dark", "R1C1 x1 y1", "near")
    metered.work(metered.state.faults[0], "mended")
    with contextlib.closing(sqlite3.connect(metered.database)) as other, other:
        readings = other.execute("SELECT place, value, correction_reason FROM readings").fetchall()
        faults = other.execute("SELECT location, state FROM faults").fetchall()
        verdict = other.execute(
            'SELECT verdict FROM verdicts WHERE "check" = ?', (nine[0],)
        ).fetchone()
    other.close()
    assert readings == [("point 1", 612.0, "typed wrong")]
    assert faults == [("R1C1 x1 y1", "mended")]
    assert verdict == (str(metered.outcome(nine[0]).verdict),)


def test_several_entries_are_written_together_or_not_at_all(
    metered: OpenJob, nine: tuple[str, str]
) -> None:
    good = metered.reading(*nine, "point 1", 600.0)
    before = metered.state
    connection = metered._store._db.conn
    pages = connection.execute("PRAGMA page_count").fetchone()[0]
    # SQLite itself then says that the disk is full, in the middle of the transaction.
    connection.execute(f"PRAGMA max_page_count = {pages}")
    with pytest.raises(StoreError, match="disk is full; nothing was written"):
        metered.record_all([good, *[body(e.Note, text="x" * 4000)] * 100])
    assert metered.state is before
    connection.execute("PRAGMA max_page_count = 1000000")
    assert not metered.refresh()
    assert metered.read(*nine, "point 1", 600.0).id in metered.state.entries


def test_two_programs_see_each_other(job: OpenJob, logbook: Logbook) -> None:
    other = Logbook(logbook.path)
    theirs = other.open(job.id, "B. Technician")
    theirs.record(body(e.Note, text="from the other laptop"))
    seen: list[State] = []
    job.subscribe(seen.append)
    assert job.refresh()
    assert [note.by for note in job.state.notes] == ["B. Technician"]
    assert len(seen) == 1
    assert not job.refresh()
    job.record(body(e.Note, text="and back"))
    assert theirs.refresh()
    assert theirs.state == job.state
    other.close()


def test_the_database_is_for_its_owner_alone(logbook: Logbook) -> None:
    assert stat.S_IMODE(logbook.path.stat().st_mode) == 0o600


@pytest.mark.parametrize("content", [b"not a database, but long enough to be read as one" * 30])
def test_a_file_that_is_no_database_is_one_line(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "x.db"
    path.write_bytes(content)
    with pytest.raises(StoreError, match="expected a logbook"):
        Logbook(path)
    assert path.read_bytes() == content


def test_another_programs_database_is_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "x.db"
    with contextlib.closing(sqlite3.connect(path)) as other, other:
        other.execute("CREATE TABLE recipes (name)")
    other.close()
    with pytest.raises(StoreError, match="another program"):
        Logbook(path)


def test_a_newer_database_is_refused(logbook: Logbook) -> None:
    with contextlib.closing(sqlite3.connect(logbook.path)) as other, other:
        other.execute(
            "INSERT INTO _sqlite_migrations (migration_set, name, applied_at) "
            "VALUES ('commission_tui', 'm999_later', '2030-01-01')"
        )
    other.close()
    with pytest.raises(StoreError, match="newer version"):
        Logbook(logbook.path)


def test_a_job_is_found_by_name_or_by_the_end_of_its_id(job: OpenJob, logbook: Logbook) -> None:
    assert logbook.open("fellmoor town hall", "x").id == job.id
    assert logbook.open(job.id[-12:], "x").id == job.id
    with pytest.raises(InputError, match="found no job"):
        logbook.open("somewhere else", "x")


@settings(
    max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(moments=st.lists(st.integers(0, 3), min_size=1, max_size=50))
def test_ids_always_grow_even_when_the_clock_goes_back(moments: list[int]) -> None:
    from datetime import UTC, datetime

    ids = IdSource(lambda bits: (1 << bits) - 1)
    made = [ids.next(datetime.fromtimestamp(1_700_000_000 + m, UTC)) for m in moments]
    assert made == sorted(set(made))
    assert all(identifier[14] == "7" and identifier[19] in "89ab" for identifier in made)


def test_ids_go_on_after_one_that_was_seen() -> None:
    from datetime import UTC, datetime

    first, second = IdSource(), IdSource()
    late = first.next(datetime(2030, 1, 1, tzinfo=UTC))
    second.after(late)
    assert second.next(datetime(2026, 1, 1, tzinfo=UTC)) > late


def test_the_fold_is_the_same_in_steps_and_at_once(metered: OpenJob, nine: tuple[str, str]) -> None:
    rng = random.Random(4)  # noqa: S311 (a test's history, no secret)
    made: list[str] = []
    for step in range(60):
        if made and rng.random() < 0.3:
            target = rng.choice(made)
            right = metered.reading(*nine, f"point {rng.randint(1, 9)}", float(500 + step))
            metered.correct(target, right if rng.random() < 0.7 else None, "again")
        else:
            made.append(metered.read(*nine, f"point {rng.randint(1, 9)}", 500.0 + step).id)
    assert fold(entries_of(metered)) == metered.state
    halves = fold(entries_of(metered)[:30])
    assert fold(entries_of(metered)[30:], halves) == metered.state
    assert fold([entries_of(metered)[5]], metered.state) == metered.state


def test_an_entry_goes_through_json_unchanged(metered: OpenJob, nine: tuple[str, str]) -> None:
    metered.read(*nine, "point 1", 1e3 / 3)
    for entry in entries_of(metered):
        assert ENTRY.validate_json(ENTRY.dump_json(entry)) == entry
        assert json.loads(BODY.dump_json(entry.body))["kind"] == entry.body.kind


def test_a_clock_behind_the_latest_entry_is_told_when_the_job_is_opened(
    job: OpenJob, logbook: Logbook
) -> None:
    assert clock_behind(job.state, job.now()) == ""
    now = logbook.clock()
    for behind, told in ((timedelta(minutes=3), False), (timedelta(hours=20), True)):
        book = Logbook(logbook.path, partial(operator.sub, now, behind))
        there = book.open(job.id, "B. Technician")
        doubt = clock_behind(there.state, there.now())
        assert ("one of the clocks is wrong" in doubt) is told
        book.close()

"""What the columns of a table are taken for before anybody says so, and what is then logged."""

from __future__ import annotations

import contextlib
import csv
from datetime import UTC, datetime
from pathlib import Path

import openpyxl
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from commission_tui.errors import InputError
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.entry_factory import body, changed_body
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.logbook import Logbook
from commission_tui.logbook.tables.table_logging import TakenTable, already_logged, log_table
from commission_tui.logbook.tables.table_mapping import remembered_mappings
from commission_tui.logbook.tables.table_proposal import (
    NO_HEADINGS,
    TableHead,
    TablePlan,
    is_certain,
    meanings,
    proposed_plan,
    read_head,
    read_planned,
)
from commission_tui.logbook.tables.table_rows import TableRows, why_withheld
from commission_tui.progress import StoppedError
from tests.characters import CHARACTERS

CHECK, FIELD = "brightness", "luminance_cd_m2"


def table(tmp_path: Path, text: str) -> Path:
    path = tmp_path / "meter.csv"
    path.write_text(text, encoding="utf-8")
    return path


def planned(
    job: OpenJob, path: Path, check: str = CHECK, known: tuple[e.TableMapping, ...] = ()
) -> tuple[TableHead, TablePlan]:
    head = read_head(path)
    definition = job.state.checklist.check(check)
    return head, proposed_plan(job.state.wall, definition, head, known)


@pytest.mark.parametrize(
    ("text", "targets"),
    [
        ("Point;L (fL);Time\n1;170,5;09:00\n", ("place", FIELD, "time")),
        ("Point,Lv,x,y\n1,600,0.31,0.33\n", ("place", FIELD, "", "")),
        ("No,Luminance cd m2\n1,600\n2,601\n", ("place", FIELD)),
        ("A,B\npoint 1,600\npoint 2,601\n", ("place", FIELD)),
        ("meter,4\ndone,yes\nPosition,Luminance [cd/m2],Remark\n1,600,\n", ("place", FIELD, "")),
        ("Lv,Lv,Point\n600,600,1\n", ("", "", "place")),
        (",,\na,b,c\n", ("", "", "")),
    ],
)
def test_headings_and_what_stands_below_tell(
    metered: OpenJob, tmp_path: Path, text: str, targets: tuple[str, ...]
) -> None:
    _, plan = planned(metered, table(tmp_path, text))
    assert plan.targets == targets


@pytest.mark.parametrize(
    ("text", "check", "targets"),
    [
        ("R1C1\t605.2\nR1C2\t605.8\n", "cabinet-luminance", ("place", FIELD)),
        ("1;600,5\n2;601\n3;602\n", CHECK, ("place", FIELD)),
        ("09:00,point 1,600\n09:01,point 2,601\n", CHECK, ("", "place", FIELD)),
    ],
)
def test_a_first_row_that_is_a_place_and_a_number_is_a_row(
    metered: OpenJob, tmp_path: Path, text: str, check: str, targets: tuple[str, ...]
) -> None:
    path = table(tmp_path, text)
    _, plan = planned(metered, path, check)
    assert (plan.heading, plan.targets) == (NO_HEADINGS, targets)
    rows = read_planned(metered, path, plan)
    assert len(rows.good) == len(text.splitlines())
    at = targets.index("place") + 1
    assert any(
        note.startswith("no headings: ") and f"column {at} as place" in note for note in rows.notes
    )
    columns = plan.mapping(metered.state.checklist.check(check), "bare")
    assert columns is not None
    _, again = planned(metered, path, check, (columns,))
    assert (again.remembered, again.heading, again.targets) == ("bare", NO_HEADINGS, targets)
    _, other = planned(metered, table(tmp_path, "Point,Lv\n1,600\n"), CHECK, (columns,))
    assert not other.remembered


@pytest.mark.parametrize(
    ("text", "field", "certain"),
    [
        ("place,luminance_cd_m2\nR1C1,600\n", None, True),
        ("cabinet,L (fL)\nR1C1,600\n", None, True),
        ("cabinet,A\nR1C1,600\n", None, False),
        ("cabinet,A\nR1C1,600\n", FIELD, True),
        ("R1C1,600\nR1C2,601\n", None, False),
        ("cabinet,xy\nR1C1,0.3\n", None, False),
    ],
)
def test_a_proposal_is_certain_where_a_column_can_be_no_other_field(
    metered: OpenJob, tmp_path: Path, text: str, field: str | None, certain: bool
) -> None:
    check = metered.state.checklist.check("cabinet-luminance")
    head = read_head(table(tmp_path, text))
    plan = proposed_plan(metered.state.wall, check, head, (), field)
    assert is_certain(check, plan, field) is certain


def test_a_heading_twice_is_taken_for_nothing(metered: OpenJob, tmp_path: Path) -> None:
    _, plan = planned(metered, table(tmp_path, "Lv,Lv,Point\n600,600,1\n"))
    assert plan.targets == ("", "", "place")
    assert not plan.readable(0)
    assert meanings(metered.state.checklist.check(CHECK), plan, 0) == ("",)


def test_a_table_of_what_every_cabinet_shows_is_read_too(job: OpenJob, tmp_path: Path) -> None:
    text = "position,seen,angle\nR2C3,R2C4,\nR2C4,dark,\n"
    path = table(tmp_path, text)
    _, plan = planned(job, path, "cabinet-mapping")
    assert plan.targets == ("place", "seen", "")
    assert [(r.place, r.value) for r in read_planned(job, path, plan).good] == [
        ("R2C3", "R2C4"),
        ("R2C4", "dark"),
    ]


def test_the_plain_table_keeps_its_columns(metered: OpenJob, tmp_path: Path) -> None:
    path = table(tmp_path, "Place,Value,Unit\npoint 1,600,cd/m2\n")
    head, plan = planned(metered, path)
    assert plan.plain
    check = metered.state.checklist.check(CHECK)
    names = tuple(item.name for item in check.fields)
    assert [meanings(check, plan, i) for i in range(3)] == [("place",), names, ("unit",)]
    assert [(r.place, r.value) for r in read_planned(metered, path, plan).good] == [
        ("point 1", 600.0)
    ]
    assert head.below(plan, 1) == ["600"]


def test_a_mapping_that_fits_goes_before_headings_and_the_latest_of_them(
    metered: OpenJob, logbook: Logbook, tmp_path: Path
) -> None:
    for name, columns in (
        ("old", {"P": "place", "A": FIELD}),
        ("new", {"P": "place", "B": FIELD}),
        ("of no column here", {"P": "place", "Z": FIELD}),
        ("OLD", {"P": "place", "A": FIELD, "When": "time"}),
    ):
        metered.record(body(e.TableMapping, name=name, check=CHECK, columns=columns))
    known = tuple(reversed(list(remembered_mappings(logbook.store, metered.state).values())))
    assert [mapping.name for mapping in known] == ["OLD", "of no column here", "new"]
    _, plan = planned(metered, table(tmp_path, "made by,me\nP,A,B\n1,600,700\n"), known=known)
    assert (plan.remembered, plan.targets, plan.heading) == ("new", ("place", "", FIELD), 1)
    changed = plan.with_target(1, FIELD)
    assert (changed.remembered, changed.targets) == ("", ("place", FIELD, ""))


def test_what_cannot_be_read_is_one_line(metered: OpenJob, tmp_path: Path) -> None:
    path = table(tmp_path, "Point,Lv\n1,600\n")
    _, plan = planned(metered, path)
    with pytest.raises(InputError, match=r"^columns: found no place"):
        read_planned(metered, path, plan.with_target(0, ""))
    with pytest.raises(InputError, match=r"^columns: found no field"):
        read_planned(metered, path, plan.with_target(1, ""))
    for text in ("", "\n\n", ",,\n"):
        with pytest.raises(InputError, match="found no rows"):
            read_head(table(tmp_path, text))


def test_the_sheets_of_a_workbook_are_named(metered: OpenJob, tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    assert book.active is not None
    book.active.title = "Cover"
    book.active.append(["made by me"])
    book.create_sheet("Readings").append(["Point", "Lv"])
    path = tmp_path / "meter.xlsx"
    book.save(path)
    assert read_head(path).sheets == ("Cover", "Readings")
    assert read_head(path, "Readings").rows[0].cells == ("Point", "Lv")
    assert read_head(table(tmp_path, "a\n")).sheets == ()
    _, plan = planned(metered, path)
    assert plan.targets == ("",)


def rows_of(job: OpenJob, path: Path) -> TableRows:
    return read_planned(job, path, planned(job, path)[1])


def taken(job: OpenJob, path: Path, remember: e.TableMapping | None = None) -> TakenTable:
    return TakenTable(tuple(rows_of(job, path).good), job.state, remember)


NINE = "Point,Lv\n" + "".join(f"{n},{600 + n}\n" for n in range(1, 10))


def now() -> datetime:
    return datetime(2026, 5, 4, 12, tzinfo=UTC)


def log(job: OpenJob, table: TakenTable, stop_at: int | None = None) -> int:
    told: list[tuple[int, int]] = []

    def progress(done: int, of: int) -> None:
        told.append((done, of))
        if stop_at is not None and len(told) > stop_at:
            raise StoppedError

    count = log_table(job.database, job.id, job.by, table, clock=now, progress=progress)
    assert {of for _, of in told} == {count}
    return count


def test_a_table_is_logged_whole_with_how_it_is_read(metered: OpenJob, tmp_path: Path) -> None:
    mapping = body(e.TableMapping, name="m", check=CHECK, columns={"Point": "place", "Lv": FIELD})
    table_taken = taken(metered, table(tmp_path, NINE), mapping)
    assert not already_logged(metered.state, table_taken.readings)
    assert log(metered, table_taken) == 9
    assert metered.refresh()
    latest = metered.state.latest(CHECK, FIELD, "point 9")
    assert latest is not None
    assert latest.body.value == 609
    assert [logged.body.name for logged in metered.state.mappings] == ["m"]
    standing = already_logged(metered.state, table_taken.readings)
    assert (len(standing.slots), standing.same) == (9, 9)
    assert "imported before" in standing.text(9)
    lower = [changed_body(one, value=600.0) for one in table_taken.readings]
    assert already_logged(metered.state, lower).same == 0


@pytest.mark.parametrize("stop_at", [0, 1])
def test_stopped_before_the_transaction_nothing_is_logged(
    metered: OpenJob, tmp_path: Path, stop_at: int
) -> None:
    with pytest.raises(StoppedError):
        log(metered, taken(metered, table(tmp_path, NINE)), stop_at)
    assert not metered.refresh()


def test_a_job_that_changed_meanwhile_is_asked_about_again(
    metered: OpenJob, tmp_path: Path
) -> None:
    table_taken = taken(metered, table(tmp_path, NINE))
    metered.record(
        body(e.Instrument, key="n", name="Other", serial="2", accuracy={"cd/m2": {"percent": 4}})
    )
    with pytest.raises(InputError, match="changed meanwhile"):
        log(metered, table_taken)
    assert CHECK not in metered.state.readings


def test_reading_a_table_tells_how_far_it_is_and_can_be_stopped(
    metered: OpenJob, tmp_path: Path
) -> None:
    path = table(tmp_path, NINE)
    _, plan = planned(metered, path)
    told: list[tuple[int, int]] = []
    read_planned(metered, path, plan, progress=lambda *so_far: told.append(so_far))
    assert told == [(0, 0), (0, 9)]

    def stop(_done: int, of: int) -> None:
        if of:
            raise StoppedError

    with pytest.raises(StoppedError):
        read_planned(metered, path, plan, progress=stop)


@pytest.mark.parametrize(
    ("bad", "odd", "answers", "why"),
    [
        (["x"], [], {"skip_bad": False, "confirm": True}, "refused"),
        (["x"], ["y"], {"skip_bad": True, "confirm": False}, "odd"),
        (["x"], ["y"], {"skip_bad": True, "confirm": True}, None),
        ([], [], {"skip_bad": False, "confirm": False}, None),
    ],
)
def test_what_keeps_a_table_from_being_logged(
    metered: OpenJob,
    tmp_path: Path,
    bad: list[str],
    odd: list[str],
    answers: dict[str, bool],
    why: str | None,
) -> None:
    good = rows_of(metered, table(tmp_path, NINE)).good
    assert why_withheld(TableRows(good, bad, odd), **answers) == why
    assert why_withheld(TableRows([], bad, odd), skip_bad=True, confirm=True) == "nothing"


CELLS = st.one_of(
    st.text(CHARACTERS, max_size=12),
    st.sampled_from(
        ["Point", "L (fL)", "x", "place", "value", "R1C1", "1", "=1+1", "[b]", "\x1b[0m"]
    ),
)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(rows=st.lists(st.lists(CELLS, max_size=6), max_size=6))
def test_no_table_stops_the_proposal_or_what_follows_from_it(
    metered: OpenJob, tmp_path: Path, rows: list[list[str]]
) -> None:
    path = tmp_path / "any.csv"
    with path.open("w", encoding="utf-8", errors="replace", newline="") as file:
        csv.writer(file).writerows(rows)
    check = metered.state.checklist.check(CHECK)
    try:
        head, plan = planned(metered, path)
        assert len(plan.targets) == len(plan.headings)
        named = [target for target in plan.targets if target]
        assert len(named) == len(set(named))
        for index in range(len(plan.headings)):
            assert plan.targets[index] in meanings(check, plan, index)
            head.below(plan, index)
        read_planned(metered, path, plan)
    except InputError as error:
        assert "\n" not in str(error)  # noqa: PT017 (only one of the ways that are right)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(content=st.binary(max_size=200))
def test_no_bytes_stop_the_proposal(metered: OpenJob, tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "any"
    path.write_bytes(content)
    with contextlib.suppress(InputError):
        planned(metered, path)


def test_the_widest_table_is_proposed_in_one_look(metered: OpenJob, tmp_path: Path) -> None:
    names = ",".join(f"c{n}" for n in range(254))
    path = table(tmp_path, f"{names},Point,L (fL)\n" * 60)
    _, plan = planned(metered, path)
    assert plan.targets[-2:] == ("place", FIELD)

"""Decimal commas between commas: more cells than headings, and digits under another heading."""

from __future__ import annotations

from pathlib import Path

import openpyxl
import pytest

from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.tables.table_import import read_table
from commission_tui.logbook.tables.table_mapping import columns_given, new_mapping
from commission_tui.logbook.tables.table_rows import TableRows

CHECK, FIELD = "cabinet-luminance", "luminance_cd_m2"
EXCESS = "found 3 cells under 2 headings"
COMMA = "; a decimal comma between commas?"


def imported(
    job: OpenJob, path: Path, content: str, *columns: str, decimal: str | None = None
) -> TableRows:
    path.write_text(content, encoding="utf-8")
    check = job.state.checklist.check(CHECK)
    named = columns or ("place=place", f"{FIELD}={FIELD}")
    mapping = new_mapping(check, "meter", columns_given(named))
    return read_table(job, path, mapping=mapping, decimal=decimal)


@pytest.mark.parametrize("decimal", [None, "comma", "point"])
@pytest.mark.parametrize(
    ("rows", "bad"),
    [
        ("R1C1,148,9\nR1C2,149,9\n", "lines 2, 3"),
        ('R1C1,"148,9"\nR1C2,149,9\n', "line 3"),
        ("R1C1,148\nR1C2,149,9,\n", "line 3"),
    ],
)
def test_a_row_with_more_cells_than_headings_is_refused(
    metered: OpenJob, tmp_path: Path, rows: str, bad: str, decimal: str | None
) -> None:
    found = imported(metered, tmp_path / "m.csv", f"place,{FIELD}\n{rows}", decimal=decimal)
    assert f"{bad}: {EXCESS}{COMMA}" in found.told


def test_a_heading_row_that_ends_in_commas_has_no_more_headings(
    metered: OpenJob, tmp_path: Path
) -> None:
    rows = imported(metered, tmp_path / "m.csv", f"place,{FIELD},\nR1C1,148,9\nR1C2,149,\n")
    assert rows.told == [f"line 2: {EXCESS}{COMMA}"]
    assert [one.value for one in rows.good] == [149.0]


def test_the_plain_table_says_the_same(metered: OpenJob, tmp_path: Path) -> None:
    path = tmp_path / "m.csv"
    path.write_text("place,value\nR1C1,148,9\nR1C2,149,\n", encoding="utf-8")
    rows = read_table(metered, path, check=CHECK, field=FIELD)
    assert rows.told == [f"line 2: {EXCESS}{COMMA}"]
    assert [one.value for one in rows.good] == [149.0]


def test_without_headings_the_first_row_says_how_many(metered: OpenJob, tmp_path: Path) -> None:
    columns = ("column 1=place", f"column 2={FIELD}")
    rows = imported(metered, tmp_path / "m.csv", "R1C1,151\nR1C2,149,9\n", *columns)
    assert rows.told == [f"line 2: {EXCESS}{COMMA}"]


def test_behind_a_semicolon_no_comma_is_thought_of(metered: OpenJob, tmp_path: Path) -> None:
    rows = imported(metered, tmp_path / "m.csv", f"place;{FIELD}\nR1C1;148,9;x\n")
    assert rows.told == [f"line 2: {EXCESS}"]


def test_a_remark_beside_a_spreadsheet_is_let_be_but_not_a_number(
    metered: OpenJob, tmp_path: Path
) -> None:
    book = openpyxl.Workbook()
    assert book.active is not None
    for row in (["place", FIELD], ["R1C1", 148.5, "spot"], ["R1C2", 149, 9], ["R1C3", 150]):
        book.active.append(row)
    book.save(tmp_path / "m.xlsx")
    mapping = new_mapping(
        metered.state.checklist.check(CHECK), "meter", {"place": "place", FIELD: FIELD}
    )
    rows = read_table(metered, tmp_path / "m.xlsx", mapping=mapping)
    assert rows.told == [f"row 3: {EXCESS}{COMMA}"]
    assert [one.place for one in rows.good] == ["R1C1", "R1C3"]


def test_digits_under_a_heading_beside_whole_numbers_are_asked_about(
    metered: OpenJob, tmp_path: Path
) -> None:
    path = tmp_path / "m.csv"
    content = f"place,{FIELD},comment\nR1C1,205,100\nR1C2,206,9\nR1C3,207,\n"
    rows = imported(metered, path, content)
    assert len(rows.good) == 3
    asking = [line for line in rows.odd if "its decimals?" in line]
    assert len(asking) == 2
    assert "line 2: " in asking[0]
    assert "205, and '100' right of it: its decimals?" in asking[0]
    # Somebody who says that decimals begin with a point has answered.
    assert rows.odd[0] not in imported(metered, path, content, decimal="point").odd


@pytest.mark.parametrize(
    "content",
    [
        "place,L,comment\nR1C1,205,ok\nR1C2,206,9\n",  # words among them
        "place,L,comment\nR1C1,205.5,1\nR1C2,206,2\n",  # decimals of its own
        "place,L,comment\nR1C1,205,\nR1C2,206,\n",  # nothing
        "place,L,CCT (K)\nR1C1,205,650\nR1C2,206,651\n",  # a unit
        "place,L,serial\nR1C1,205,10077\nR1C2,206,10078\n",  # more digits than decimals
        "place;L;comment\nR1C1;205;1\nR1C2;206;2\n",  # no comma parts them
    ],
)
def test_what_can_be_no_decimals_is_not(metered: OpenJob, tmp_path: Path, content: str) -> None:
    rows = imported(metered, tmp_path / "m.csv", content, "place=place", f"L={FIELD}")
    assert len(rows.good) == 2
    assert not [line for line in rows.odd if "decimals?" in line]


def test_digits_under_a_time_are_no_time(metered: OpenJob, tmp_path: Path) -> None:
    content = f"place,{FIELD},time\nR1C1,148,9\n"
    named = ("place=place", f"{FIELD}={FIELD}", "time=time")
    rows = imported(metered, tmp_path / "m.csv", content, *named)
    assert "found '9', expected a day or a time of day" in rows.bad[0]

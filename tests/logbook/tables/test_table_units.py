"""Units without brackets in a heading, and behind a number in its cell."""

from __future__ import annotations

from pathlib import Path

import pytest

from commission_tui.errors import InputError
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.tables.table_import import read_table
from commission_tui.logbook.tables.table_mapping import (
    columns_given,
    heading_unit,
    new_mapping,
    split_last_word,
)
from commission_tui.logbook.tables.table_proposal import proposed_plan, read_head, read_planned
from commission_tui.logbook.tables.table_rows import TableRows

CHECK, FIELD = "cabinet-luminance", "luminance_cd_m2"
FOOT_LAMBERT = 3.4262591  # cd/m²: NIST SP 811, appendix B.8


def imported(job: OpenJob, tmp_path: Path, content: str, *columns: str) -> TableRows:
    path = tmp_path / "meter.csv"
    path.write_text(content, encoding="utf-8")
    check = job.state.checklist.check(CHECK)
    if columns:
        return read_table(job, path, mapping=new_mapping(check, "meter", columns_given(columns)))
    plan = proposed_plan(job.state.wall, check, read_head(path), (), FIELD)
    return read_planned(job, path, plan)


@pytest.mark.parametrize(
    ("heading", "name"),
    [
        ("Luminance fL", "Luminance"),
        ("Luminance in fL", "Luminance"),
        ("luminance_fl", "luminance"),
        ("Lv, footlamberts", "Lv"),
        ("fL", ""),
    ],
)
def test_a_unit_that_ends_a_heading_is_converted_and_told(
    metered: OpenJob, tmp_path: Path, heading: str, name: str
) -> None:
    assert split_last_word(heading)[0] == name
    content = f"place;{heading}\nR1C1;58,4\n"
    for columns in ((), ("place=place", f"{heading}={FIELD}")):
        rows = imported(metered, tmp_path, content, *columns)
        assert rows.good[0].value == pytest.approx(58.4 * FOOT_LAMBERT)
        assert any(note.startswith(f"column '{heading}': converted from f") for note in rows.notes)
    if name:  # a mapping of the bare name finds it too
        rows = imported(metered, tmp_path, content, "place=place", f"{name}={FIELD}")
        assert rows.good[0].value == pytest.approx(58.4 * FOOT_LAMBERT)


@pytest.mark.parametrize("columns", [(), ("place=place", f"L={FIELD}", "x=x", "when=time")])
def test_a_row_of_units_is_no_reading_but_the_units_of_its_columns(
    metered: OpenJob, tmp_path: Path, columns: tuple[str, ...]
) -> None:
    content = "place;L;x;when\n;[fL];;s\nR1C1;58,4;0,31;12:00\nR1C2;58,6;0,31;12:01\n"
    rows = imported(metered, tmp_path, content, *columns)
    assert (rows.count.read, rows.bad, rows.count.empty) == (2, [], 0)
    assert rows.good[0].value == pytest.approx(58.4 * FOOT_LAMBERT)
    assert "line 2 is read as the units of the columns" in rows.notes
    with pytest.raises(InputError, match="found the unit 'fL' below 'cd/m2', expected one unit"):
        imported(metered, tmp_path, content.replace(";L;", ";L (cd/m2);"), *columns)


def test_a_row_of_units_in_a_table_of_place_and_value(metered: OpenJob, tmp_path: Path) -> None:
    (tmp_path / "meter.csv").write_text("place,value\n,fL\nR1C1,58.4\n", encoding="utf-8")
    rows = read_table(metered, tmp_path / "meter.csv", check=CHECK, field=FIELD)
    assert [one.value for one in rows.good] == [pytest.approx(58.4 * FOOT_LAMBERT)]
    (tmp_path / "meter.csv").write_text("place,value\nR1C1,fL\n", encoding="utf-8")
    rows = read_table(metered, tmp_path / "meter.csv", check=CHECK, field=FIELD)
    assert (rows.good, rows.count.refused) == ([], 1)


@pytest.mark.parametrize("heading", ["Luminance in lux", "Luminance lx", "L %", "lux"])
def test_a_unit_of_another_quantity_at_the_end_of_a_heading_is_refused(
    metered: OpenJob, tmp_path: Path, heading: str
) -> None:
    with pytest.raises(InputError, match=r"found the unit '.*', expected cd/m2"):
        imported(metered, tmp_path, f"P,{heading}\nR1C1,58.4\n", "P=place", f"{heading}={FIELD}")


@pytest.mark.parametrize(
    "heading",
    ["A", "C1", "R2", "point m", "L min", "Luminance TR", "Reading second", "L in", "Lv K"],
)
def test_what_only_looks_like_a_unit_is_none(
    metered: OpenJob, tmp_path: Path, heading: str
) -> None:
    rows = imported(
        metered, tmp_path, f"P,{heading}\nR1C1,200.5\n", "P=place", f"{heading}={FIELD}"
    )
    assert (rows.good[0].value, rows.bad) == (200.5, [])


def test_a_letter_that_would_change_the_values_is_asked_about(job: OpenJob) -> None:
    item = next(
        item
        for check in job.state.checklist
        for item in check.fields
        if item.unit == "mm" and item.kind == "number"
    )
    assert heading_unit(item, "Gap mm") == ""
    assert heading_unit(item, "Gap (m)") == "m"
    assert heading_unit(item, "Gap cm") == "cm"
    for heading in ("Gap m", "Gap in"):
        with pytest.raises(InputError, match=r"which may be its unit; expected .* 'Gap \(mm\)'"):
            heading_unit(item, heading)


def test_no_field_of_ours_is_taken_for_one_in_another_unit(job: OpenJob) -> None:
    named = [
        (item, text)
        for check in job.state.checklist
        for item in check.fields
        for text in (item.name, item.label)
    ]
    assert len(named) > 500
    assert [text for item, text in named if heading_unit(item, text)] == []


@pytest.mark.parametrize(
    ("cell", "value"),
    [
        ("58.4 fL", 58.4 * FOOT_LAMBERT),
        ("58,4fL", 58.4 * FOOT_LAMBERT),
        ("200.5 nits", 200.5),
        ("0.2005 kcd/m2", 200.5),
        ("200.5", 200.5),
    ],
)
def test_a_number_may_have_its_unit_in_the_cell(
    metered: OpenJob, tmp_path: Path, cell: str, value: float
) -> None:
    rows = imported(metered, tmp_path, f"place;{FIELD}\nR1C1;{cell}\n")
    assert rows.bad == []
    assert rows.good[0].value == pytest.approx(value)


@pytest.mark.parametrize(
    ("heading", "cell", "said"),
    [
        ("L", "58.4 lx", "'58.4 lx': from_unit is lx"),
        ("L (fL)", "200 nits", "'200 nits' in a column of fL, expected one unit"),
        ("L", "58.4 furlongs", "'58.4 furlongs', expected a number in cd/m2"),
    ],
)
def test_a_unit_in_a_cell_that_cannot_be_is_refused(
    metered: OpenJob, tmp_path: Path, heading: str, cell: str, said: str
) -> None:
    rows = imported(
        metered, tmp_path, f"P;{heading}\nR1C1;{cell}\n", "P=place", f"{heading}={FIELD}"
    )
    assert not rows.good
    assert said in rows.bad[0]

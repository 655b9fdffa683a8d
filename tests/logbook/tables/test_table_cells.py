"""Tables as meters and spreadsheets write them: mapped, converted, bounded, taken whole or not."""

from __future__ import annotations

import zipfile
from datetime import datetime
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from commission_tui.errors import InputError
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.logbook import Logbook
from commission_tui.logbook.tables.table_import import read_table
from commission_tui.logbook.tables.table_mapping import (
    columns_given,
    find_mapping,
    new_mapping,
    split_unit,
)
from commission_tui.logbook.tables.table_rows import TableRows

CHECK, FIELD = "cabinet-luminance", "luminance_cd_m2"


def mapping(job: OpenJob, *columns: str, check: str = CHECK) -> e.TableMapping:
    return new_mapping(job.state.checklist.check(check), "meter", columns_given(columns))


def workbook(tmp_path: Path, rows: list[list[Any]], sheet: str = "Data") -> Path:
    book = openpyxl.Workbook()
    page = book.active
    assert page is not None
    page.title = sheet
    for row in rows:
        page.append(row)
    path = tmp_path / "meter.xlsx"
    book.save(path)
    return path


def text(tmp_path: Path, content: str, encoding: str = "utf-8") -> Path:
    path = tmp_path / "meter.csv"
    path.write_text(content, encoding=encoding)
    return path


def values(rows: TableRows) -> dict[str, object]:
    return {reading.place: reading.value for reading in rows.good}


# --- mapped columns


def test_a_meters_own_table_is_read_by_its_mapping(metered: OpenJob, tmp_path: Path) -> None:
    path = text(
        tmp_path,
        "Meter 7\t\t\nFirmware 2\t\t\nTime\tPos\tLv (cd/m²)\tNote\n"
        "2026-05-04 21:10\tr1c1\t200.5\tfirst\n2026-05-04 21:11\tR1C2\t201\t\n",
    )
    rows = read_table(
        metered, path, mapping=mapping(metered, "Pos=place", f"Lv={FIELD}", "Time=time")
    )
    assert not rows.bad
    assert values(rows) == {"R1C1": 200.5, "R1C2": 201.0}
    assert [r.meter_time for r in rows.good] == ["2026-05-04 21:10", "2026-05-04 21:11"]
    assert rows.notes == []


def test_a_time_that_is_none_or_is_still_to_come_is_refused(
    metered: OpenJob, tmp_path: Path
) -> None:
    rows = ["yesterday", "2031-01-01 10:00", "1/2/2031 10:00", "21:10:05", "04.05.2026 21:10", ""]
    lines = "".join(f"{time},R1C{n},200\n" for n, time in enumerate(rows, start=1))
    path = text(tmp_path, f"Time,Pos,Lv\n{lines}")
    found = read_table(
        metered, path, mapping=mapping(metered, "Pos=place", f"Lv={FIELD}", "Time=time")
    )
    assert [r.meter_time for r in found.good] == ["21:10:05", "04.05.2026 21:10", None]
    assert found.told[0] == ("line 2: time: found 'yesterday', expected a day or a time of day")
    assert "lines 3 and 4: time: found '2031-01-01 10:00'" in found.told[1].replace(", 4", " and 4")


def test_a_unit_of_its_own_column_is_converted_as_that_of_a_heading_is(
    metered: OpenJob, tmp_path: Path
) -> None:
    # 1 fL = 3.4262591 cd/m²: NIST SP 811, appendix B.8.
    path = text(tmp_path, "place,value,unit\nR1C1,58.4,fL\nR1C2,200,cd/m2\nR1C3,200,lx\n")
    rows = read_table(metered, path, check=CHECK, field=FIELD)
    assert values(rows) == {"R1C1": pytest.approx(200.0935, abs=1e-3), "R1C2": 200.0}
    assert rows.notes == ["column 'unit': converted from fL to cd/m2"]
    assert "found the unit 'lx', expected cd/m2" in rows.bad[0]


def test_a_unit_in_the_heading_is_converted_and_told(metered: OpenJob, tmp_path: Path) -> None:
    # 1 fL = 3.4262591 cd/m²: NIST SP 811, appendix B.8.
    path = text(tmp_path, "P,L (fL)\nR1C1,58.4\n")
    rows = read_table(metered, path, mapping=mapping(metered, "P=place", f"L={FIELD}"))
    assert values(rows)["R1C1"] == pytest.approx(58.4 * 3.4262591)
    assert rows.good[0].unit == "cd/m2"
    assert rows.notes == ["column 'L (fL)': converted from fL to cd/m2"]


def test_a_unit_of_another_quantity_is_refused(metered: OpenJob, tmp_path: Path) -> None:
    path = text(tmp_path, "P,L [lx]\nR1C1,58.4\n")
    with pytest.raises(InputError, match=r"column 'L \[lx\]': found the unit 'lx'"):
        read_table(metered, path, mapping=mapping(metered, "P=place", f"L={FIELD}"))


def test_row_and_column_make_a_place(metered: OpenJob, tmp_path: Path) -> None:
    path = workbook(tmp_path, [["Row", "Col", "L"], [3, 7, 201.5]])
    columns = mapping(metered, "Row=row", "Col=column", f"L={FIELD}")
    assert values(read_table(metered, path, mapping=columns)) == {"R3C7": 201.5}


def test_a_point_may_be_its_number(metered: OpenJob, tmp_path: Path) -> None:
    path = workbook(tmp_path, [["Point", "L"], [1, 600], ["2", 601], ["POINT 3", 602]])
    columns = mapping(metered, "Point=place", f"L={FIELD}", check="brightness")
    found = values(read_table(metered, path, mapping=columns))
    assert found == {"point 1": 600.0, "point 2": 601.0, "point 3": 602.0}


@pytest.mark.parametrize(
    ("columns", "said"),
    [
        (["P=place"], "found no field"),
        ([f"L={FIELD}"], "found no place"),
        (["P=plaice", f"L={FIELD}"], "found 'plaice', .*did you mean 'place'"),
        (["P=place", f"L={FIELD}", f"M={FIELD}"], f"found {FIELD} twice"),
        (["P=place", "P=row"], "found 'P' twice"),
        (["P"], "found 'P', expected HEADING=FIELD"),
    ],
)
def test_a_mapping_that_is_none_is_one_line(
    metered: OpenJob, columns: list[str], said: str
) -> None:
    with pytest.raises(InputError, match=said):
        mapping(metered, *columns)


def test_a_heading_that_is_missing_is_named(metered: OpenJob, tmp_path: Path) -> None:
    path = text(tmp_path, "P,Lum\nR1C1,58.4\n")
    with pytest.raises(InputError, match=r"the heading 'L'.*the first row is: P, Lum"):
        read_table(metered, path, mapping=mapping(metered, "P=place", f"L={FIELD}"))


def test_a_mapping_is_remembered_in_every_job(
    logbook: Logbook, metered: OpenJob, demo_wall_text: str
) -> None:
    first = metered.record(mapping(metered, "P=place", f"L={FIELD}"))
    other = logbook.create(
        by="B", name="Other", client="C", integrator="I", wall_text=demo_wall_text
    )
    found = find_mapping(logbook.store, other.state, "METER")
    assert found.columns == {"P": "place", "L": FIELD}
    other.record(mapping(other, "Q=place", f"L={FIELD}"))
    assert "Q" in find_mapping(logbook.store, other.state, "meter").columns
    assert "P" in find_mapping(logbook.store, metered.state, "meter").columns
    metered.correct(first.id, None, "typed wrong")
    assert "Q" in find_mapping(logbook.store, metered.state, "meter").columns
    with pytest.raises(InputError, match=r"found 'metre', expected meter.*did you mean"):
        find_mapping(logbook.store, other.state, "metre")


@pytest.mark.parametrize(
    ("heading", "parts"),
    [
        ("L (fL)", ("L", "fL")),
        ("L [cd/m²]", ("L", "cd/m²")),
        ("Lv", ("Lv", "")),
        ("(fL)", ("(fL)", "")),
        ("L (a) (lx)", ("L (a)", "lx")),
    ],
)
def test_a_heading_and_its_unit(heading: str, parts: tuple[str, str]) -> None:
    assert split_unit(heading) == parts


# --- numbers


@pytest.mark.parametrize("delimiter", [";", "\t"])
def test_a_decimal_comma_is_seen(metered: OpenJob, tmp_path: Path, delimiter: str) -> None:
    path = text(tmp_path, "place;value\nR1C1;200,5\nR1C2;1201,125\n".replace(";", delimiter))
    rows = read_table(metered, path, check=CHECK, field=FIELD)
    assert values(rows) == {"R1C1": 200.5, "R1C2": 1201.125}
    assert "numbers are read with a decimal comma" in rows.notes


def test_a_comma_that_may_part_thousands_is_refused(metered: OpenJob, tmp_path: Path) -> None:
    path = text(tmp_path, "place;value\nR1C1;1,200\nR1C2;1,205\n")
    rows = read_table(metered, path, check=CHECK, field=FIELD)
    assert not rows.good
    assert rows.told == [
        "lines 2, 3: value: found '1,200', '1,205', whose comma may part thousands or decimals"
    ]
    assert rows.unclear
    said = read_table(metered, path, check=CHECK, field=FIELD, decimal="comma")
    assert values(said) == {"R1C1": 1.2, "R1C2": 1.205}
    said = read_table(metered, path, check=CHECK, field=FIELD, decimal="point")
    assert values(said) == {"R1C1": 1200.0, "R1C2": 1205.0}
    assert "thousands are parted: 1,200 is read as 1200" in said.notes
    assert not said.unclear


@pytest.mark.parametrize(
    ("cells", "read"),
    [
        (("1.605,5", "1.600"), (1605.5, 1600.0)),  # the first leaves no other way for the second
        (("1,605.5", "1,600"), (1605.5, 1600.0)),
        (("999,5", "1.605"), (999.5, 1605.0)),
        (("999.5", "1,605"), (999.5, 1605.0)),
        (("1.605.500", "12,5"), (1605500.0, 12.5)),
        (("0,605", "0,61"), (0.605, 0.61)),  # no thousands begin with 0
        (("1.605", "1.600"), (1.605, 1.6)),  # as this program's own tables
    ],
)
def test_thousands_are_parted_where_the_other_figures_make_it_certain(
    metered: OpenJob, tmp_path: Path, cells: tuple[str, str], read: tuple[float, float]
) -> None:
    path = text(tmp_path, "place;value\nR1C1;{}\nR1C2;{}\n".format(*cells))
    assert tuple(values(read_table(metered, path, check=CHECK, field=FIELD)).values()) == read


@pytest.mark.parametrize("decimal", ["point", "comma"])
def test_a_number_against_what_was_said_of_the_decimals_is_refused(
    metered: OpenJob, tmp_path: Path, decimal: str
) -> None:
    wrong = {"point": "12,5", "comma": "12.5"}[decimal]
    path = text(tmp_path, f"place;value\nR1C1;{wrong}\n")
    rows = read_table(metered, path, check=CHECK, field=FIELD, decimal=decimal)
    assert not rows.good
    assert f"found '{wrong}', expected a decimal {decimal}" in rows.bad[0]


def test_of_commas_beside_points_only_what_can_be_read_one_way_is_read(
    metered: OpenJob, tmp_path: Path
) -> None:
    lines = "R1C1;200,5\nR1C2;201.5 cd/m2\nR1C3;1.605\nR1C4;1,605\nR1C5;1.200,5\nR1C6;203\n"
    path = text(tmp_path, f"place;value\n{lines}")
    rows = read_table(metered, path, check=CHECK, field=FIELD)
    assert values(rows) == {"R1C1": 200.5, "R1C2": 201.5, "R1C5": 1200.5, "R1C6": 203.0}
    assert rows.told == [
        "lines 4, 5: value: found '1.605', '1,605', which may be thousands or decimals"
    ]
    assert rows.unclear
    assert "decimal points and decimal commas: each number is read by its own" in rows.notes


def test_number_cells_stand_beside_text_with_either_sign(metered: OpenJob, tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    for row in (("place", "value"), ("R1C1", 795.1), ("R1C2", "794,4"), ("R1C3", "798.4 cd/m2")):
        book.active.append(row)  # type: ignore[union-attr]
    book.save(tmp_path / "meter.xlsx")
    rows = read_table(metered, tmp_path / "meter.xlsx", check=CHECK, field=FIELD)
    assert (values(rows), rows.bad) == ({"R1C1": 795.1, "R1C2": 794.4, "R1C3": 798.4}, [])


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
def test_text_as_programs_save_it(metered: OpenJob, tmp_path: Path, encoding: str) -> None:
    path = text(tmp_path, "place,value\nR1C1,200\n", encoding)
    assert values(read_table(metered, path, check=CHECK, field=FIELD)) == {"R1C1": 200.0}


def test_an_older_programs_letters_are_read_and_told(metered: OpenJob, tmp_path: Path) -> None:
    """0xB2 is the raised two of Windows-1252 (from memory)."""
    path = tmp_path / "meter.csv"
    path.write_bytes(b"Place,L (cd/m\xb2)\nR1C1,200\n")
    rows = read_table(metered, path, mapping=mapping(metered, "Place=place", f"L={FIELD}"))
    assert values(rows) == {"R1C1": 200.0}
    assert "the file is not UTF-8: its letters are read as Windows-1252" in rows.notes
    path.write_bytes(b"Place,L (cd/m\x81)\nR1C1,200\n")  # which no letter has
    with pytest.raises(InputError, match="not UTF-8 text"):
        read_table(metered, path, check=CHECK, field=FIELD)


def test_slips_among_the_rows_are_named(metered: OpenJob, tmp_path: Path) -> None:
    lines = "".join(f"R1C{c},{200 + c}\n" for c in range(1, 8)) + "R1C8,59.9\n"
    rows = read_table(metered, text(tmp_path, "place,value\n" + lines), check=CHECK, field=FIELD)
    assert len(rows.good) == 8
    (odd,) = rows.odd
    assert "line 9" in odd
    assert "footlamberts" in odd
    assert rows.good[-1].odd


# --- spreadsheets


def test_a_spreadsheet_with_the_plain_columns(metered: OpenJob, tmp_path: Path) -> None:
    path = workbook(
        tmp_path,
        [
            ["Check", "Field", "Place", "Value", "Unit"],
            ["brightness", FIELD, "point 1", 612.5, "cd/m2"],
            [],
            ["cabinet-mapping", "all_in_place", "wall", True],
        ],
    )
    rows = read_table(metered, path)
    assert not rows.bad
    assert [(r.check, r.value) for r in rows.good] == [
        ("brightness", 612.5),
        ("cabinet-mapping", True),
    ]


def test_each_bad_row_of_a_spreadsheet_is_named(metered: OpenJob, tmp_path: Path) -> None:
    path = workbook(
        tmp_path,
        [
            ["place", "value"],
            ["R1C1", 200],
            ["R9C9", 200],
            ["R1C2", "dark"],
            ["R1C1", 201],
            ["R1C3", "#DIV/0!"],
            ["R1C4", datetime(2026, 5, 4)],
        ],
    )
    rows = read_table(metered, path, check=CHECK, field=FIELD)
    assert values(rows) == {"R1C1": 200.0}
    assert [line.split(": ")[1] for line in rows.bad] == [
        "row 3",
        "row 4",
        "row 5",
        "row 6",
        "row 7",
    ]
    assert "again, first on row 2" in rows.bad[2]


def test_a_formula_is_read_as_last_computed(metered: OpenJob, tmp_path: Path) -> None:
    # As a spreadsheet program saves it: the formula and the value it had.
    path = workbook(tmp_path, [["place", "value"], ["R1C1", "=100+100"], ["R1C2", "=1/1"]])
    changed(path, b"<f>100+100</f><v></v>", b"<f>100+100</f><v>200</v>")
    rows = read_table(metered, path, check=CHECK, field=FIELD)
    assert values(rows) == {"R1C1": 200.0}
    assert "row 3: value: found a formula that was never computed" in rows.bad[0]
    assert rows.notes[-1].startswith("1 cell with formulas")


def changed(path: Path, old: bytes, new: bytes) -> None:
    """Change one part of a spreadsheet."""
    parts = {}
    with zipfile.ZipFile(path) as archive:
        for name in archive.namelist():
            parts[name] = archive.read(name)
    found = [name for name, content in parts.items() if old in content]
    assert found, parts["xl/worksheets/sheet1.xml"][-400:]
    for name in found:
        parts[name] = parts[name].replace(old, new)
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in parts.items():
            archive.writestr(name, content)


def test_the_sheet_can_be_named(metered: OpenJob, tmp_path: Path) -> None:
    path = workbook(tmp_path, [["place", "value"], ["R1C1", 200]])
    book = openpyxl.load_workbook(path)
    book.create_sheet("Other").append(["something"])
    book.save(path)
    rows = read_table(metered, path, check=CHECK, field=FIELD, sheet="Data")
    assert rows.notes == ["sheet 'Data' is read"]
    with pytest.raises(InputError, match="found no sheet 'Dat', expected one of Data, Other"):
        read_table(metered, path, check=CHECK, field=FIELD, sheet="Dat")


def test_a_percentage_is_a_number_of_percent(metered: OpenJob, tmp_path: Path) -> None:
    found = [
        (check.id, item.name, check.field(item.name).where)
        for check in metered.state.checklist
        for item in check.fields
        if item.unit == "%" and item.where == "wall" and not item.measured
    ]
    if not found:
        pytest.skip("no check records a percentage for the wall")
    check, field, _ = found[0]
    path = workbook(tmp_path, [["place", "value"], ["wall", 0.05]])
    book = openpyxl.load_workbook(path)
    page = book.active
    assert page is not None
    page["B2"].number_format = "0.0%"
    book.save(path)
    assert values(read_table(metered, path, check=check, field=field)) == {"wall": 5.0}

"""Tables as meters and spreadsheets write them: mapped, converted, bounded, taken whole or not."""

from __future__ import annotations

import io
import struct
import zipfile
from datetime import datetime
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from commission_tui.errors import InputError
from commission_tui.logbook import entries as e
from commission_tui.logbook.importing import TableRows, read_table
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.making import body
from commission_tui.logbook.service import Logbook
from commission_tui.logbook.sheets import MOST_COLUMNS
from commission_tui.logbook.table_mapping import (
    columns_given,
    find_mapping,
    new_mapping,
    split_unit,
)

CHECK, FIELD = "cabinet-luminance", "luminance_cd_m2"


@pytest.fixture
def metered(job: OpenJob) -> OpenJob:
    accuracy = {"cd/m2": {"percent": 2}, "xy": {"absolute": 0.002}}
    job.record(body(e.Instrument, key="m", name="Meter", serial="1", accuracy=accuracy))
    return job


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
    assert "found '1,200', expected a decimal point" in rows.bad[0]
    said = read_table(metered, path, check=CHECK, field=FIELD, decimal="comma")
    assert values(said) == {"R1C1": 1.2, "R1C2": 1.205}


def test_commas_beside_points_are_refused(metered: OpenJob, tmp_path: Path) -> None:
    path = text(tmp_path, "place;value\nR1C1;200,5\nR1C2;201.5\n")
    rows = read_table(metered, path, check=CHECK, field=FIELD)
    assert values(rows) == {"R1C2": 201.5}
    assert "line 2" in rows.bad[0]


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
def test_text_as_programs_save_it(metered: OpenJob, tmp_path: Path, encoding: str) -> None:
    path = text(tmp_path, "place,value\nR1C1,200\n", encoding)
    assert values(read_table(metered, path, check=CHECK, field=FIELD)) == {"R1C1": 200.0}


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
    assert rows.notes[-1].startswith("2 cells hold formulas")


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


def bomb(tmp_path: Path, size: int) -> Path:
    path = workbook(tmp_path, [["place", "value"], ["R1C1", 200]])
    with zipfile.ZipFile(path, "a", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("xl/media/zeros.bin", b"\0" * size)
    return path


def test_a_file_that_unpacks_to_too_much_is_refused(metered: OpenJob, tmp_path: Path) -> None:
    path = bomb(tmp_path, 70_000_000)
    assert path.stat().st_size < 200_000
    with pytest.raises(InputError, match="unpacks to"):
        read_table(metered, path, check=CHECK, field=FIELD)


def test_entities_that_grow_are_refused(metered: OpenJob, tmp_path: Path) -> None:
    path = workbook(tmp_path, [["place", "value"], ["R1C1", 200]])
    changed(
        path,
        b"<worksheet",
        b'<!DOCTYPE w [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;">]><worksheet',
    )
    with pytest.raises(InputError, match="not a spreadsheet that can be read"):
        read_table(metered, path, check=CHECK, field=FIELD)


def test_a_row_far_below_is_not_waited_for(metered: OpenJob, tmp_path: Path) -> None:
    path = workbook(tmp_path, [["place", "value"], ["R1C1", 200]])
    changed(path, b'<row r="2"', b'<row r="900000000"')
    with pytest.raises(InputError, match="more than 100000 rows"):
        read_table(metered, path, check=CHECK, field=FIELD)


def test_too_many_columns_are_refused(metered: OpenJob, tmp_path: Path) -> None:
    path = workbook(tmp_path, [["x"] * (MOST_COLUMNS + 1)])
    with pytest.raises(InputError, match=f"expected {MOST_COLUMNS} at most"):
        read_table(metered, path, check=CHECK, field=FIELD)


def test_an_endless_cell_is_refused(metered: OpenJob, tmp_path: Path) -> None:
    path = workbook(tmp_path, [["place", "value"], ["R1C1", "9" * 20_000]])
    with pytest.raises(InputError, match="row 2: found a cell of 20000 characters"):
        read_table(metered, path, check=CHECK, field=FIELD)


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"PK\x03\x04 and nothing more", "not a spreadsheet"),
        (b"\xd0\xcf\x11\xe0 an old one", "an old spreadsheet"),
    ],
)
def test_other_files_are_one_line(
    metered: OpenJob, tmp_path: Path, content: bytes, said: str
) -> None:
    path = tmp_path / "x.xlsx"
    path.write_bytes(content)
    with pytest.raises(InputError, match=said):
        read_table(metered, path, check=CHECK, field=FIELD)


def test_a_zip_of_something_else_is_one_line(metered: OpenJob, tmp_path: Path) -> None:
    path = tmp_path / "x.xlsx"
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("letter.txt", "hello")
    with pytest.raises(InputError, match="not a spreadsheet"):
        read_table(metered, path, check=CHECK, field=FIELD)


# --- whatever comes


QUIET = settings(
    suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=60, deadline=None
)


def told(job: OpenJob, path: Path, **words: Any) -> None:
    """Read a table: rows, or one printable line."""
    before = len(job.state.entries)
    try:
        rows = read_table(job, path, **words)
    except InputError as error:
        rows = TableRows([], [str(error)])
    assert all("\n" not in line for line in (*rows.bad, *rows.odd, *rows.notes))
    slots = [(r.check, r.field, r.place) for r in rows.good]
    assert len(set(slots)) == len(slots)
    assert len(job.state.entries) == before


@QUIET
@given(st.binary(max_size=400))
def test_no_bytes_stop_it(metered: OpenJob, tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "x.csv"
    for start in (b"", b"place,value\n", b"PK\x03\x04", b"place;value\nR1C1;"):
        path.write_bytes(start + content)
        told(metered, path, check=CHECK, field=FIELD)


@QUIET
@given(
    st.lists(
        st.lists(
            st.one_of(
                st.text(max_size=12),
                st.floats(allow_nan=True),
                st.integers(-(10**400), 10**400),
                st.booleans(),
                st.sampled_from(
                    ["R1C1", "R1C2", "point 1", "200,5", "=1/0", "1e999", "place", "L"]
                ),
            ),
            max_size=4,
        ),
        max_size=6,
    )
)
def test_no_table_stops_it(metered: OpenJob, tmp_path: Path, rows: list[list[object]]) -> None:
    for delimiter in ",;\t":
        made = "\n".join(delimiter.join(str(cell) for cell in row) for row in rows)
        path = tmp_path / "x.csv"
        path.write_text(f"P{delimiter}L (fL)\n{made}", encoding="utf-8", errors="replace")
        told(metered, path, mapping=mapping(metered, "P=place", f"L={FIELD}"))
        told(metered, path, check=CHECK, field=FIELD)


@QUIET
@given(st.data())
def test_no_damage_to_a_spreadsheet_stops_it(
    metered: OpenJob, tmp_path: Path, data: st.DataObject
) -> None:
    content = bytearray(SOUND)
    for _ in range(data.draw(st.integers(1, 6))):
        at = data.draw(st.integers(0, len(content) - 1))
        content[at] = data.draw(st.integers(0, 255))
    path = tmp_path / "x.xlsx"
    path.write_bytes(bytes(content))
    told(metered, path, check=CHECK, field=FIELD)


@QUIET
@given(st.data())
def test_no_damage_inside_a_spreadsheet_stops_it(
    metered: OpenJob, tmp_path: Path, data: st.DataObject
) -> None:
    """As above, but every part is packed anew, so that the damage reaches the parsers."""
    name = data.draw(st.sampled_from(sorted(PARTS)))
    part = bytearray(PARTS[name])
    for _ in range(data.draw(st.integers(1, 4))):
        part[data.draw(st.integers(0, len(part) - 1))] = data.draw(st.integers(0, 255))
    path = tmp_path / "x.xlsx"
    with zipfile.ZipFile(path, "w") as archive:
        for other, content in PARTS.items():
            archive.writestr(other, bytes(part) if other == name else content)
    told(metered, path, check=CHECK, field=FIELD)


def _sound() -> bytes:
    book = openpyxl.Workbook()
    page = book.active
    assert page is not None
    for row in (["place", "value"], ["R1C1", 200], ["R1C2", "=1+1"], ["R1C3", 0.5]):
        page.append(row)
    page["B4"].number_format = "0%"
    kept = io.BytesIO()
    book.save(kept)
    return kept.getvalue()


SOUND = _sound()
with zipfile.ZipFile(io.BytesIO(SOUND)) as _archive:
    PARTS = {part: _archive.read(part) for part in _archive.namelist()}


def test_a_size_that_is_told_wrong_is_no_way_in(metered: OpenJob, tmp_path: Path) -> None:
    """The directory says that a part is small; what is unpacked is then cut off there."""
    path = bomb(tmp_path, 70_000_000)
    content = bytearray(path.read_bytes())
    size = struct.pack("<I", 70_000_000)
    while (at := content.find(size)) >= 0:
        content[at : at + 4] = struct.pack("<I", 10)
    path.write_bytes(bytes(content))
    told(metered, path, check=CHECK, field=FIELD)

"""Tables that are not what they say: damaged, huge, hostile; rows or one line, never more."""

from __future__ import annotations

import io
import struct
import zipfile
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from commission_tui.errors import InputError
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.tables import workbooks
from commission_tui.logbook.tables.table_import import read_table
from commission_tui.logbook.tables.table_rows import TableRows
from commission_tui.logbook.tables.table_sheet import MOST_COLUMNS
from tests.characters import CHARACTERS
from tests.logbook.tables.test_table_cells import CHECK, FIELD, changed, mapping, workbook


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


def test_a_row_far_below_is_not_waited_for(
    metered: OpenJob, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(workbooks, "MOST_ROWS", 1000)  # to count to all of them takes seconds
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
    suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=30, deadline=None
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
                st.text(CHARACTERS, max_size=12),
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

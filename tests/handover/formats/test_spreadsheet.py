"""The spreadsheet: the same tables as in CSV, no formula whatever was typed, the same bytes.

Read back with openpyxl, the reference library for the format in Python.
"""

from __future__ import annotations

import csv
import io
import time
import zipfile
from pathlib import Path

import openpyxl
import pytest

from commission_tui.handover.formats.open_formats import LONGEST_CELL
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.job import OpenJob
from tests.handover.filled_job import filled
from tests.handover.helping import HOSTILE, export_csv, export_spreadsheet, make_job


@pytest.fixture
def job(tmp_path: Path) -> OpenJob:
    return filled(tmp_path)


def opened(content: bytes) -> openpyxl.Workbook:
    return openpyxl.load_workbook(io.BytesIO(content))


@pytest.mark.outside
def test_it_has_the_tables_and_figures_of_the_csv(job: OpenJob) -> None:
    """Read with PyPI ``openpyxl``."""
    book = opened(export_spreadsheet(job))
    tables = export_csv(job)
    assert book.sheetnames == list(tables)
    for name, content in tables.items():
        wanted = list(csv.reader(io.StringIO(content.decode("utf-8-sig"), newline="")))
        found = list(book[name].iter_rows(values_only=True))
        assert len(found) == len(wanted), name
        for row, line in zip(found, wanted, strict=True):
            for cell, text in zip(row, line, strict=False):
                assert same(cell, text), (cell, text)


def same(cell: object, text: str) -> bool:
    """Whether a cell holds what CSV holds, to the 16 digits of a spreadsheet."""
    if isinstance(cell, int | float):
        return cell == pytest.approx(float(text), rel=1e-15, abs=0)
    return (cell or "") == text


@pytest.mark.outside
@pytest.mark.parametrize(
    "typed",
    [
        "=1+1",
        "+1+1",
        "-1+1",
        "@SUM(A1)",
        "＝1+1",
        "=HYPERLINK(1)",
        HOSTILE,
        "x" * 200,
        "#REF!",
        "1e5",
    ],
)
def test_no_cell_is_ever_a_formula_or_a_number_by_chance(tmp_path: Path, typed: str) -> None:
    """Read with PyPI ``openpyxl``."""
    job = make_job(tmp_path)
    job.fault(typed, "R1C1", "near", note=typed, seen_on=typed)
    sheet = opened(export_spreadsheet(job))["faults"]
    columns = [cell.value for cell in sheet[1]]
    for name in ("fault", "note", "seen_on"):
        cell = sheet.cell(2, columns.index(name) + 1)
        assert (cell.value, cell.data_type) == (typed, "s")
    packed = zipfile.ZipFile(io.BytesIO(export_spreadsheet(job)))
    for member in packed.namelist():
        assert b"<f>" not in packed.read(member)


@pytest.mark.outside
def test_odd_characters_and_long_words_stay_words(tmp_path: Path) -> None:
    """Read with PyPI ``openpyxl``."""
    job = make_job(tmp_path)
    job.fault("zero\u200bwidth", "R1C1", "near", note="שלום עולם " * 300)
    slip = job.record(e.Note(text="x" * 4000))
    job.correct(slip.id, e.Note(text="y" * 4000), "z")
    design = job.state.designs[0]
    job.correct(design.id, e.Design(text=design.body.text + "\n# " + "long " * 9000), "long")
    book = opened(export_spreadsheet(job))
    assert book["faults"].cell(2, 5).value == "zero[U+200B]width"
    assert str(book["faults"].cell(2, 9).value).startswith("שלום עולם")
    cells = [str(cell.value) for row in book["corrections"].iter_rows() for cell in row]
    longest = max(cells, key=len)
    assert len(longest) == LONGEST_CELL
    assert "the record holds them all" in longest


def test_the_same_record_gives_the_same_bytes_whenever(job: OpenJob) -> None:
    first = export_spreadsheet(job)
    time.sleep(2.1)  # a packed file has times of two seconds' grain
    assert export_spreadsheet(job) == first


@pytest.mark.outside
def test_every_table_can_be_filtered_and_keeps_its_head_in_sight(job: OpenJob) -> None:
    """Read with PyPI ``openpyxl``."""
    for sheet in opened(export_spreadsheet(job)):
        assert sheet.freeze_panes == "A2"
        assert sheet.auto_filter.ref == sheet.dimensions

"""The tables of the record as one spreadsheet (Office Open XML), a sheet a table.

Text is text: no cell is ever a formula, whatever was typed. Numbers are numbers, to the 16
digits that such a file takes; CSV and JSON have them whole. The same record gives the same bytes: nothing in the file says when or by what it was packed.
"""

from __future__ import annotations

import io
import re
import zipfile
from typing import TYPE_CHECKING, Any

from commission_tui.handover.content.document_inputs import Context
from commission_tui.handover.font_coverage import shown_text
from commission_tui.handover.formats.open_formats import Cell, tables
from commission_tui.logbook.job import OpenJob
from commission_tui.text import clipped

if TYPE_CHECKING:
    from openpyxl import Workbook
    from openpyxl.worksheet.worksheet import Worksheet

LONGEST_CELL = 32_767
"""Of a cell in Office Open XML (ECMA-376-1, 18.3.1.96; the limit that programs keep)."""
_WIDEST = 60
_LONGEST_PROPERTY = 250
_EPOCH = (1980, 1, 1, 0, 0, 0)
_CHANGED = re.compile(rb"(<dcterms:(created|modified)[^>]*>)[^<]*(</dcterms:\2>)")


def export_spreadsheet(job: OpenJob, *, without_contacts: bool = False) -> bytes:
    """Return every table of a job as one spreadsheet."""
    from openpyxl import Workbook

    context = Context(job, without_contacts)
    book = Workbook()
    for sheet in book.worksheets:
        book.remove(sheet)
    for name, (header, rows) in tables(context).items():
        sheet = book.create_sheet(name)
        _fill(sheet, [header.split(","), *rows])
    title = clipped(shown_text(context.state.title.name), _LONGEST_PROPERTY)
    book.properties.title = title
    book.properties.creator = clipped(shown_text(context.state.title.integrator), _LONGEST_PROPERTY)
    return _repacked(book, context.last_at)


def _fill(sheet: Worksheet, rows: list[Any]) -> None:
    from openpyxl.styles import Font
    from openpyxl.utils import get_column_letter

    widths: dict[int, int] = {}
    for number, row in enumerate(rows, start=1):
        for column, value in enumerate(row, start=1):
            if value is None:
                continue
            _put(sheet, number, column, value)
            widths[column] = max(widths.get(column, 0), len(str(value)))
    for cell in sheet[1]:
        cell.font = Font(bold=True)
    for column, width in widths.items():
        sheet.column_dimensions[get_column_letter(column)].width = min(width, _WIDEST) + 2
    sheet.freeze_panes = "A2"
    if widths:
        sheet.auto_filter.ref = sheet.dimensions


def _put(sheet: Worksheet, row: int, column: int, value: Cell) -> None:
    cell = sheet.cell(row, column)
    if isinstance(value, bool):
        cell.value = "yes" if value else "no"
    elif isinstance(value, int | float):
        cell.value = value
    else:
        cell.value = _text(str(value))
        # A program takes text that begins like a formula for one, unless it is said to be text.
        cell.data_type = "s"


def _text(typed: str) -> str:
    """Return what a cell can hold: invisible characters named, what is too long cut and said."""
    shown = shown_text(typed)
    if len(shown) <= LONGEST_CELL:
        return shown
    note = f" … ({len(shown)} characters; the record holds them all)"
    return shown[: LONGEST_CELL - len(note)] + note


def _repacked(book: Workbook, last_at: str) -> bytes:
    """Pack it again without the time of packing: it is dated as its last entry is."""
    packed = io.BytesIO()
    book.save(packed)
    moment = f"{last_at[:19]}Z".encode("ascii")
    out = io.BytesIO()
    with (
        zipfile.ZipFile(packed) as before,
        zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as after,
    ):
        for name in sorted(before.namelist()):
            content = before.read(name)
            if name == "docProps/core.xml":
                content = _CHANGED.sub(rb"\g<1>" + moment + rb"\g<3>", content)
            member = zipfile.ZipInfo(name, _EPOCH)
            member.compress_type = zipfile.ZIP_DEFLATED
            member.external_attr = 0o644 << 16
            after.writestr(member, content)
    return out.getvalue()

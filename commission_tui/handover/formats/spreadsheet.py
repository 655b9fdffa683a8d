"""The tables of the record as one spreadsheet (Office Open XML), a sheet a table.

Text is text: no cell is ever a formula, whatever was typed. Numbers are numbers, to the 16
digits that such a file takes; CSV and JSON have them whole. The same record gives the same bytes: nothing in the file says when or by what it was packed.
"""

from __future__ import annotations

import io
from collections.abc import Sequence
from datetime import datetime
from typing import TYPE_CHECKING

from commission_tui.handover.content.document_inputs import Context
from commission_tui.handover.font_coverage import shown_text
from commission_tui.handover.formats.open_formats import Cell, csv_tables
from commission_tui.logbook.job import OpenJob
from commission_tui.text import clipped

if TYPE_CHECKING:
    from xlsxwriter import Workbook

LONGEST_CELL = 32_767
"""Of a cell in Office Open XML (ECMA-376-1, 18.3.1.96; the limit that programs keep)."""
_WIDEST = 60
_LONGEST_PROPERTY = 250


def export_spreadsheet(job: OpenJob, *, without_contacts: bool = False) -> bytes:
    """Return every table of a job as one spreadsheet, dated as the job's last entry is."""
    from xlsxwriter import Workbook

    context = Context(job, without_contacts)
    packed = io.BytesIO()
    with Workbook(packed, {"in_memory": True}) as book:
        book.set_properties(
            {
                "title": clipped(shown_text(context.state.title.name), _LONGEST_PROPERTY),
                "author": clipped(shown_text(context.state.title.integrator), _LONGEST_PROPERTY),
                "created": datetime.fromisoformat(context.last_at).replace(tzinfo=None),
            }
        )
        for name, (header, rows) in csv_tables(context).items():
            _add(book, name, [header.split(","), *rows])
    return packed.getvalue()


def _add(book: Workbook, name: str, rows: Sequence[Sequence[Cell]]) -> None:
    sheet = book.add_worksheet(name)
    bold = book.add_format({"bold": True})
    for number, row in enumerate(rows):
        for column, value in enumerate(row):
            style = None if number else bold
            if isinstance(value, bool):
                sheet.write_string(number, column, "yes" if value else "no", style)
            elif isinstance(value, int | float):
                sheet.write_number(number, column, value, style)
            elif value is not None:
                sheet.write_string(number, column, _text(str(value)), style)
    sheet.autofit(_WIDEST * 7)
    sheet.freeze_panes(1, 0)
    sheet.autofilter(0, 0, len(rows) - 1, max(0, len(rows[0]) - 1))


def _text(typed: str) -> str:
    """Return what a cell can hold: invisible characters named, what is too long cut and said."""
    shown = shown_text(typed)
    if len(shown) <= LONGEST_CELL:
        return shown
    note = f" … ({len(shown)} characters; the record holds them all)"
    return shown[: LONGEST_CELL - len(note)] + note

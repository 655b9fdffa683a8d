"""The record in forms that any program reads: JSON, CSV, a spreadsheet, and one page of HTML.

Numbers are whole, as the logbook has them (only ``text``, a figure or a limit as every screen and page
prints it, is rounded), times are ISO 8601 in UTC, units are the stored ones.

JSON, keys sorted:

``fingerprint``  SHA-256 of the record without its signatures
``job``          ``id``, ``name``, ``client``, ``integrator``, ``reference``
``program``      the version that made it, and judged
``record``       the canonical record: ``entries``, ``photos``, ``record`` (its version)
``verdicts``     for each check: ``check``, ``title``, ``stage``, ``verdict``, ``so_far`` (while
                 readings are missing), ``reason``, ``next_step``, ``where``, ``figures`` (``name``, ``value``, ``unit``, ``expanded``,
                 ``text``, ``verdict``, and a ``limit`` with ``low``, ``high``, ``unit``, ``text``,
                 ``source``, ``standing``)

CSV, a table a file: ``readings``, ``verdicts``, ``faults``, ``instruments``, ``corrections``. The spreadsheet
(Office Open XML) has a sheet a table. Text is text there: no cell is ever a formula, whatever was typed;
numbers have the 16 digits that such a file takes. Nothing in it says when or by what it was packed.
"""

from __future__ import annotations

import csv
import io
import json
import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import asdict
from datetime import datetime
from typing import TYPE_CHECKING

from commission_tui.handover.content.document_inputs import Context
from commission_tui.handover.document import build_from
from commission_tui.handover.drawings.drawing_list import drawings
from commission_tui.handover.font_coverage import all_visible, shown_text
from commission_tui.handover.formats.verdict_rows import check_verdicts, results
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.chain import body_json, canonical_json
from commission_tui.logbook.entries.logged import Logged
from commission_tui.logbook.entries.record_form import record_bytes
from commission_tui.logbook.integrity.known_before import KnownBefore
from commission_tui.logbook.judging.instruments import reading_with_errors
from commission_tui.logbook.judging.visits import meter_times, visit_names, with_repeats
from commission_tui.logbook.state.meters import all_meters
from commission_tui.text import clipped

if TYPE_CHECKING:
    from xlsxwriter import Workbook


_NUMBER = r"(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?"
_PLAIN_NUMBER = re.compile(
    rf"[+-]?{_NUMBER}(?: ± {_NUMBER}| to [+-]?{_NUMBER})?(?: [%\w/²°Ω·]{{1,12}})?"
)
"""A number, and a figure or a limit as it is printed: no formula."""
_FORMULA_STARTS = tuple("=+-@\t\r\n＝＋－＠")
"""What spreadsheets take for the beginning of a formula, also in full width (OWASP, CSV Injection)."""
_PARTED = re.compile(r"(?<=[;|\t\r\n])")
"""Where programs part that take no comma: a formula may begin after each."""

CellValue = str | float | int | bool | None
Row = Sequence[CellValue]
Tables = dict[str, tuple[str, Iterator[Row]]]
"""Name to the headings, with commas between, and the rows."""
LONGEST_CELL = 32_767
"""Of a cell in Office Open XML (ECMA-376-1, 18.3.1.96; the limit that programs keep)."""
_WIDEST = 60
_LONGEST_PROPERTY = 250


def export_json(context: Context) -> bytes:
    """Return the record with the verdicts that follow from it."""
    data = asdict(results(context)) | {"record": json.loads(record_bytes(context.entries))}
    text = json.dumps(data, sort_keys=True, ensure_ascii=False, allow_nan=False, indent=1)
    return f"{text}\n".encode()


def export_csv(context: Context) -> dict[str, bytes]:
    """Return each table as CSV (RFC 4180, UTF-8, a byte order mark for spreadsheets)."""
    return {name: _csv(*table) for name, table in csv_tables(context).items()}


def csv_tables(context: Context) -> Tables:
    """Return every table of a job as headings and rows; what a meter's own clock said where one said it."""
    timed = ",meter_time" if meter_times(context.state) else ""
    return {
        "readings": (
            "id,at,by,check,field,place,value,unit,expanded,instrument,corrected,stands,"
            f"instrument_name,instrument_serial,visit{timed}",
            _reading_rows(context, timed=bool(timed)),
        ),
        "verdicts": (
            "check,title,stage,verdict,reason,figure,value,unit,expanded,text,low,high,limit,source,"
            "standing,figure_verdict",
            _verdict_rows(context),
        ),
        "faults": (
            "number,id,at,by,fault,location,severity,state,note,seen_on,check,last_action,last_at,"
            "last_by,last_note,accepted_by,owner,due",
            _fault_rows(context),
        ),
        "instruments": (
            "key,name,serial,calibration_due,certificate,unit,percent,absolute,"
            "repeatability_percent,repeatability_absolute,resolution",
            _instrument_rows(context),
        ),
        "corrections": (
            "id,at,by,corrects,kind,was,now,reason",
            _correction_rows(context),
        ),
    }


def _reading_rows(context: Context, *, timed: bool) -> Iterator[Row]:
    """Give every reading with its visit; at a place what stands is the last on it, with those it repeats."""
    visits = visit_names(context.state)
    for check_id in sorted(context.state.readings):
        for number, visit in enumerate(visits):
            for _, slot in context.slots(check_id, number):
                counting = {logged.id for logged in with_repeats(slot)}
                for logged in slot:
                    stands = logged.id in counting
                    row = (*_reading_row(context, check_id, logged, stands=stands), visit)
                    yield (*row, logged.body.meter_time) if timed else row


def _reading_row(
    context: Context, check_id: str, logged: Logged[e.ReadingTaken], *, stands: bool
) -> Row:
    body = logged.body
    known = context.state.meter_of(logged)
    return (
        *(logged.id, logged.at, logged.by, check_id, body.field, body.place),
        *(body.value, body.unit, reading_with_errors(context.state, logged).expanded),
        *(body.instrument, logged.corrected, stands),
        # As it is called now: a key keeps the name that was typed first, with its slips.
        *((known.body.name, known.body.serial) if known else (None, None)),
    )


def _verdict_rows(context: Context) -> Iterator[Row]:
    for item in check_verdicts(context):
        head = (item.check, item.title, item.stage, item.verdict, item.reason)
        for figure in item.figures:
            limit = figure.limit
            yield (
                *head,
                *(figure.name, figure.value, figure.unit, figure.expanded, figure.text),
                *((limit.low, limit.high, limit.text) if limit else (None,) * 3),
                *((limit.source, limit.standing) if limit else (None, None)),
                figure.verdict,
            )
        if not item.figures:
            yield (*head, *(None,) * 11)


def _fault_rows(context: Context) -> Iterator[Row]:
    for fault in context.faults:
        found = fault.found
        last = fault.work[-1] if fault.work else None
        signed, taken = fault.signed_for, fault.exception
        done: Row = (None,) * 7
        if signed is not None and taken is not None:
            done = (
                *("accepted", signed.at, signed.by, taken.consent),
                *(signed.body.name, taken.owner, taken.due.isoformat()),
            )
        elif last is not None:
            body = last.body
            done = (
                *(body.action, last.at, last.by, body.note, body.accepted_by, body.owner),
                body.due.isoformat() if body.due else None,
            )
        yield (
            *(fault.number, fault.id, found.at, found.by, found.body.fault, found.body.location),
            *(found.body.severity, fault.state, found.body.note, found.body.seen_on),
            found.body.check,
            *done,
        )


def _instrument_rows(context: Context) -> Iterator[Row]:
    for logged in all_meters(context.state):
        body = logged.body
        due = body.calibration_due.isoformat() if body.calibration_due else None
        for unit, accuracy in sorted(body.accuracy.items()):
            is_known = bool(accuracy.percent or accuracy.absolute)
            yield (
                *(body.key, body.name, body.serial, due, body.certificate),
                *((unit, accuracy.percent, accuracy.absolute) if is_known else (unit, None, None)),
                *(accuracy.repeatability_percent, accuracy.repeatability_absolute),
                accuracy.resolution,
            )


def _correction_rows(context: Context) -> Iterator[Row]:
    state, known = context.state, KnownBefore(context.state)
    for corrected in sorted(state.corrections):
        if corrected not in state.entries:
            continue
        for later, said, before in known.corrections(state.entries[corrected]):
            kind = before.kind if before is not None else None
            yield (
                *(later.id, later.at, later.by, corrected, kind),
                *(_body(before), _body(said.replacement), said.reason),
            )


def _body(body: e.AnyBody | None) -> str | None:
    return None if body is None else canonical_json(body_json(body))


def _csv(header: str, rows: Iterable[Row]) -> bytes:
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(header.split(","))
    writer.writerows([_cell(value) for value in row] for row in rows)
    return b"\xef\xbb\xbf" + out.getvalue().encode("utf-8")


def _cell(value: CellValue) -> str:
    """Return a cell that no spreadsheet takes for a formula, wherever it parts what it reads."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        return repr(value)
    return "".join(f"'{piece}" if _is_risky(piece) else piece for piece in _PARTED.split(value))


def _is_risky(piece: str) -> bool:
    """Whether a part of a cell begins as a formula does and is no number."""
    bare = piece.lstrip(" \"'")
    return bare.startswith(_FORMULA_STARTS) and not _PLAIN_NUMBER.fullmatch(bare.rstrip())


def export_html(context: Context) -> bytes:
    """Return the document as one page that needs nothing else and no network."""
    # Here, not at the top: only this form needs it.
    from jinja2 import Environment, PackageLoader, StrictUndefined
    from markupsafe import Markup

    environment = Environment(
        loader=PackageLoader("commission_tui.handover.formats", "."),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    drawn = list(drawings(context))
    data = all_visible(asdict(build_from(context, drawn)))
    # The drawings are built as trees by our own code, so their text is escaped already.
    data["svg"] = {one.file: Markup(one.svg.decode("utf-8")) for _, one in drawn}  # noqa: S704
    return environment.get_template("page.html.jinja").render(data).encode("utf-8")


def export_spreadsheet(context: Context) -> bytes:
    """Return every table of a job as one spreadsheet, dated as the job's last entry is."""
    from xlsxwriter import Workbook

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


def _add(book: Workbook, name: str, rows: Sequence[Sequence[CellValue]]) -> None:
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

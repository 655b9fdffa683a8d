"""A meter's table of readings, row by row: what is sound, and what is wrong where."""

from __future__ import annotations

import csv
import io
import math
import re
from dataclasses import dataclass
from pathlib import Path

from commission_tui.checks.definition import FieldDefinition
from commission_tui.checks.types import Value
from commission_tui.errors import InputError, nearest
from commission_tui.files import read_text
from commission_tui.logbook.entries import ReadingTaken
from commission_tui.logbook.service import OpenJob

COLUMNS = ("check", "field", "place", "value", "unit")
_LONGEST = 50_000_000
_MOST_BAD = 1000
_COMMA_DECIMAL = re.compile(r"^[+-]?\d+,\d+$")


@dataclass(frozen=True, slots=True)
class TableRows:
    """The rows of a table as readings, and one line for each row that is none."""

    good: list[ReadingTaken]
    bad: list[str]


def read_table(
    job: OpenJob, path: Path, *, check: str | None = None, field: str | None = None
) -> TableRows:
    """Read a CSV file (comma, semicolon or tab) against a job; nothing is logged.

    Columns: ``place`` and ``value``; ``check`` and ``field`` unless given; ``unit`` is compared
    with the field's. Numbers have a decimal point.

    Raises
    ------
    InputError
        When the file as a whole is not sound: unreadable, no header, a column missing or unknown.
    """
    text = read_text(path, _LONGEST, "a table of readings", InputError)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=_delimiter(text), strict=True)
    try:
        header = [name.strip().lower() for name in next(reader, [])]
        _sound_header(path, header, check, field)
        good: list[ReadingTaken] = []
        bad: list[str] = []
        seen: dict[tuple[str, str, str], int] = {}
        for cells in reader:
            if not any(cell.strip() for cell in cells):
                continue
            where = f"{path}: line {reader.line_num}"
            try:
                row = _row(header, cells)
                made = _reading(job, row, check, field)
                _once(seen, made, reader.line_num)
                good.append(made)
            except InputError as error:
                bad.append(f"{where}: {error}")
                _not_another_table(bad)
    except csv.Error as error:
        raise InputError(f"{path}: line {reader.line_num}: not CSV: {error}") from None
    if not good and not bad:
        raise InputError(f"{path}: found no rows under the header, expected readings")
    return TableRows(good, bad)


def _not_another_table(bad: list[str]) -> None:
    if len(bad) > _MOST_BAD:
        raise InputError(
            f"{bad[0]}; found more than {_MOST_BAD} such rows, expected a table of this job's "
            "readings; nothing was taken"
        )


def _once(seen: dict[tuple[str, str, str], int], made: ReadingTaken, line: int) -> None:
    slot = (made.check, made.field, made.place)
    if slot in seen:
        raise InputError(f"place: found {made.place} again, first on line {seen[slot]}")
    seen[slot] = line


def _delimiter(text: str) -> str:
    header = text.split("\n", 1)[0]
    return max(",;\t", key=header.count)


def _sound_header(path: Path, header: list[str], check: str | None, field: str | None) -> None:
    needed = {"place", "value"} | {
        name for name, given in (("check", check), ("field", field)) if given is None
    }
    for name in header:
        if name not in COLUMNS:
            raise InputError(
                f"{path}: line 1: found column {name[:40]!r}, expected {', '.join(COLUMNS)}"
                f"{nearest(name, COLUMNS)}"
            )
    if len(set(header)) != len(header):
        raise InputError(f"{path}: line 1: found a column twice, expected each once")
    for name in COLUMNS:
        if name in needed and name not in header:
            raise InputError(f"{path}: line 1: column {name} is missing")


def _row(header: list[str], cells: list[str]) -> dict[str, str]:
    if len(cells) != len(header):
        raise InputError(f"found {len(cells)} cells, expected {len(header)}")
    return {name: cell.strip() for name, cell in zip(header, cells, strict=True)}


def _reading(
    job: OpenJob, row: dict[str, str], check: str | None, field: str | None
) -> ReadingTaken:
    check_id = row.get("check") or check or ""
    field_name = row.get("field") or field or ""
    item = job.state.checklist.check(check_id).field(field_name)
    unit = row.get("unit")
    if unit and unit != item.unit:
        raise InputError(f"unit: found {unit[:20]!r}, expected {item.unit!r}")
    value = _value(item, row["value"])
    return job.reading(check_id, field_name, row["place"], value, confirmed=True)


def _value(item: FieldDefinition, text: str) -> Value:
    if item.kind != "number":
        return text
    if _COMMA_DECIMAL.match(text):
        raise InputError(f"value: found {text[:40]!r}, expected a decimal point, not a comma")
    try:
        number = float(text)
    except ValueError:
        number = math.nan
    if not math.isfinite(number) or "_" in text:
        raise InputError(f"value: found {text[:40]!r}, expected a number in {item.unit or 'count'}")
    return number

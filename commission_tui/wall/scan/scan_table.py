"""A table of what the stepped line did: one row a cabinet or a module."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping
from pathlib import Path

from commission_tui.errors import InputError, did_you_mean
from commission_tui.files import read_text
from commission_tui.text import counted, quoted
from commission_tui.wall.model.location import Location, parse_location
from commission_tui.wall.model.wall_model import Wall
from commission_tui.wall.scan.scan import SWEEPS, ScanReading, Sweep

_COLUMNS = ["location", "across", "down"]
_LONGEST = 20_000_000


def read_scan_table(path: Path, wall: Wall) -> dict[Location, ScanReading]:
    """Read a CSV file ``location,across,down``; an empty cell means the right way.

    Raises
    ------
    InputError
        One line: file, line, what was found, what was expected.
    """
    text = read_text(path, _LONGEST, "a table of cabinets or modules", InputError)
    rows = csv.reader(io.StringIO(text, newline=""), strict=True)
    found: dict[Location, ScanReading] = {}
    try:
        header = [name.strip().lower() for name in next(rows, [])]
        if header != _COLUMNS:
            raise InputError(
                f"{path}: line 1: found {quoted(','.join(header), 60)}, expected {','.join(_COLUMNS)}"
            )
        for cells in rows:
            if any(cell.strip() for cell in cells):
                _take(found, cells, wall, f"{path}: line {rows.line_num}")
    except csv.Error as error:
        raise InputError(f"{path}: line {rows.line_num}: not CSV: {error}") from None
    if not found:
        raise InputError(f"{path}: found no rows under the header, expected what was seen")
    return found


def scan_table_text(readings: Mapping[Location, ScanReading]) -> str:
    """Return a table that `read_scan_table` reads back."""
    table = io.StringIO(newline="")
    writer = csv.writer(table, lineterminator="\n")  # the place of a module holds a comma
    writer.writerow(_COLUMNS)
    writer.writerows((str(at), reading.across, reading.down) for at, reading in readings.items())
    return table.getvalue()


def _take(found: dict[Location, ScanReading], cells: list[str], wall: Wall, where: str) -> None:
    if len(cells) != len(_COLUMNS):
        raise InputError(f"{where}: found {counted(len(cells), 'cell')}, expected {len(_COLUMNS)}")
    try:
        at = wall.resolve(parse_location(cells[0]))
    except InputError as error:
        raise InputError(f"{where}: {error}") from None
    if at.form not in ("cabinet", "module"):
        raise InputError(f"{where}: location: found {at}, expected a cabinet or a module")
    if at in found:
        raise InputError(f"{where}: location: found {at} a second time, expected each once")
    across, down = (
        _sweep(where, name, cell) for name, cell in zip(_COLUMNS[1:], cells[1:], strict=True)
    )
    found[at] = ScanReading(across, down)


def _sweep(where: str, column: str, cell: str) -> Sweep:
    word = " ".join(cell.lower().split()) or SWEEPS[0]
    if word in SWEEPS:
        return SWEEPS[SWEEPS.index(word)]
    raise InputError(
        f"{where}: {column}: found {quoted(word)}, expected {', '.join(SWEEPS)}{did_you_mean(word, SWEEPS)}"
    )

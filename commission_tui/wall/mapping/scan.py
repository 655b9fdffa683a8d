"""Scan direction: what a lit line, stepped pixel by pixel, tells of modules and cabinets.

A line that runs backwards in both sweeps is a thing hung or set upside down; in one sweep only, a
scan table of the wrong direction. A line that jumps crosses modules that are connected in another
order; one that interleaves (comb) is driven with the table of another module type. What most
cabinets of a type do lies in that type's programme; what one does lies in that cabinet.
Common practice, no published source.
"""

from __future__ import annotations

import csv
import io
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from commission_tui.errors import InputError, did_you_mean
from commission_tui.files import delimiter_of, read_text
from commission_tui.text import counted, listed, quoted
from commission_tui.wall.model.location import Cell, Location, parse_location
from commission_tui.wall.model.wall_model import Cabinet, Wall

Sweep = Literal["right way", "backwards", "jumps", "comb"]
SWEEPS: tuple[Sweep, ...] = ("right way", "backwards", "jumps", "comb")
ScanKind = Literal["turned", "scan-direction", "scan-table", "hub-order"]
_MOST_OF_A_TYPE = 0.5
_NAMED = 12


@dataclass(frozen=True, slots=True)
class ScanReading:
    """What the line does in a cabinet or a module, stepped across and then down."""

    across: Sweep = "right way"
    down: Sweep = "right way"

    @property
    def kind(self) -> ScanKind | None:
        """What it points to, the worst first; None when the line runs the right way."""
        both = {self.across, self.down}
        if "comb" in both:
            return "scan-table"
        if "jumps" in both:
            return "hub-order"
        if both == {"backwards"}:
            return "turned"
        return "scan-direction" if "backwards" in both else None


@dataclass(frozen=True, slots=True)
class ScanFinding:
    """One thing that is wrong, and in how much of the wall."""

    kind: ScanKind
    scope: Literal["cabinet type", "cabinet", "module"]
    where: str
    places: tuple[Location, ...]
    says: str
    correction: str


@dataclass(frozen=True, slots=True)
class ScanDiagnosis:
    findings: tuple[ScanFinding, ...]
    tearing_seams: tuple[Location, ...]
    """Seams whose two cabinets refresh in different directions: moving pictures tear on camera."""

    def lines(self) -> Iterator[str]:
        """Yield the diagnosis as text."""
        for finding in self.findings:
            yield f"{finding.kind} ({finding.scope}, {finding.where}): {finding.says}"
            yield f"  {finding.correction}"
        if self.tearing_seams:
            yield f"may tear on camera at: {listed(self.tearing_seams, _NAMED)}"
        if not self.findings:
            yield "every line that was read runs the right way"


def diagnose_scan(wall: Wall, readings: Mapping[Location, ScanReading]) -> ScanDiagnosis:
    """Say what is turned or scanned wrongly, from readings of cabinets or single modules.

    Raises
    ------
    InputError
        When a reading is of no cabinet or module of this wall, or names an unknown movement.
    """
    cabinets, modules = _sorted(wall, readings)
    findings: list[ScanFinding] = []
    kinds = {cell: reading.kind for cell, reading in cabinets.items()}
    for name in dict.fromkeys(cabinet.type_name for cabinet in wall.cabinets.values()):
        alike = {c: kind for c, kind in kinds.items() if wall.cabinets[c].type_name == name}
        findings += _by_type(wall, name, alike)
        findings += _modules(wall, name, modules)
    return ScanDiagnosis(tuple(findings), _tearing(wall, cabinets))


def _sorted(
    wall: Wall, readings: Mapping[Location, ScanReading]
) -> tuple[dict[Cell, ScanReading], dict[Location, ScanReading]]:
    """Split readings by cabinets and modules; a cabinet whose modules all do the same is one."""
    cabinets: dict[Cell, ScanReading] = {}
    modules: dict[Location, ScanReading] = {}
    for place, reading in readings.items():
        for movement in (reading.across, reading.down):
            if movement not in SWEEPS:
                raise InputError(f"{place}: found '{movement}', expected {', '.join(SWEEPS)}")
        wall.resolve(place)
        if place.cell is None or place.form not in {"cabinet", "module"}:
            raise InputError(f"position: found {place}, expected a cabinet or a module")
        if place.module is None:
            cabinets[place.cell] = reading
        else:
            modules[place] = reading
    for cell in dict.fromkeys(place.cell for place in modules if place.cell):
        own = [place for place in modules if place.cell == cell]
        alike, cabinet = {modules[place] for place in own}, wall.cabinets[cell]
        if len(alike) == 1 and len(own) == cabinet.module_columns * cabinet.module_rows:
            cabinets.setdefault(cell, alike.pop())
            for place in own:
                del modules[place]
    return cabinets, modules


def _by_type(wall: Wall, name: str, kinds: Mapping[Cell, ScanKind | None]) -> Iterable[ScanFinding]:
    for kind in dict.fromkeys(kind for kind in kinds.values() if kind):
        places = [Location(cell=cell) for cell, found in kinds.items() if found == kind]
        yield from _in_most(wall, kind, name, "cabinet", places, len(kinds))


def _modules(
    wall: Wall, name: str, modules: Mapping[Location, ScanReading]
) -> Iterable[ScanFinding]:
    """Find the module place that is wrong in most cabinets of a type, else single modules."""
    by_place: dict[tuple[tuple[int, int], ScanKind], list[Location]] = {}
    looked = Counter[tuple[int, int]]()
    for place, reading in modules.items():
        if place.cell is None or place.module is None:
            continue
        if wall.cabinets[place.cell].type_name != name:
            continue
        looked[place.module] += 1
        if reading.kind:
            by_place.setdefault((place.module, reading.kind), []).append(place)
    for (module, kind), places in by_place.items():
        where = f"{name} m{module[0]},{module[1]}"
        yield from _in_most(wall, kind, where, "module", places, looked[module])


def _in_most(
    wall: Wall,
    kind: ScanKind,
    where: str,
    scope: Literal["cabinet", "module"],
    places: Sequence[Location],
    looked: int,
) -> Iterable[ScanFinding]:
    """Return one finding of a type where most that was looked at is alike, else one of each place."""
    if len(places) >= 2 and len(places) >= _MOST_OF_A_TYPE * looked:
        return [_finding(wall, kind, "cabinet type", where, tuple(places))]
    return [_finding(wall, kind, scope, str(place), (place,)) for place in places]


_SAYS: dict[ScanKind, str] = {
    "turned": "{where} is upside down",
    "scan-direction": "{where} is scanned in the wrong direction, across or down",
    "scan-table": "{where} is driven with the scan table of another module type",
    "hub-order": "the modules of {where} are connected in another order than the programme says",
}
_TYPE_CORRECTIONS: dict[ScanKind, str] = {
    "turned": "set the rotation of type {where} in the programme once, or have it re-hung",
    "scan-direction": "set the scan direction of type {where} in the programme once",
    "scan-table": "load the programme that belongs to the modules of type {where} once",
    "hub-order": "correct the module order of type {where} in the programme once",
}
_CORRECTIONS: dict[ScanKind, str] = {
    "turned": "have {named} re-hung or turned by competent people; look at its locks and data sides",
    "scan-direction": "reload the programme of its type into the card of {named}",
    "scan-table": "compare the module type in {named} with the others, then reload its programme",
    "hub-order": "put each flat cable in {named} on its own hub output",
}


def _finding(
    wall: Wall,
    kind: ScanKind,
    scope: Literal["cabinet type", "cabinet", "module"],
    where: str,
    places: tuple[Location, ...],
) -> ScanFinding:
    cell = places[0].cell
    named = f"{where} (from behind: {wall.rear_name(cell)})" if cell else where
    texts = _TYPE_CORRECTIONS if scope == "cabinet type" else _CORRECTIONS
    says = _SAYS[kind].format(where=where)
    if scope == "cabinet type":
        says = f"type {says}" if says.startswith(where) else says.replace(where, f"type {where}")
    return ScanFinding(
        kind, scope, where, places, says, texts[kind].format(where=where, named=named)
    )


def _tearing(wall: Wall, readings: Mapping[Cell, ScanReading]) -> tuple[Location, ...]:
    directions = {
        cell: _direction(cabinet, readings.get(cell, ScanReading()))
        for cell, cabinet in wall.cabinets.items()
    }
    return tuple(
        seam for seam, (one, other) in wall.seams.items() if directions[one] != directions[other]
    )


def _direction(cabinet: Cabinet, reading: ScanReading) -> tuple[int, int]:
    """Return which way a cabinet's rows light up in turn, columns and rows to the lower right.

    A cabinet hung turned by design shows the picture upright and refreshes turned all the same.
    """
    across, down = {0: (0, 1), 90: (-1, 0), 180: (0, -1), 270: (1, 0)}[cabinet.rotation_deg]
    return (
        -across if reading.across == "backwards" else across,
        -down if reading.down == "backwards" else down,
    )


_COLUMNS = ["location", "across", "down"]
_LONGEST = 20_000_000


def read_scan_table(path: Path, wall: Wall) -> dict[Location, ScanReading]:
    """Read a table ``location,across,down``, parted by commas, semicolons or tabs; an empty cell means the right way.

    Raises
    ------
    InputError
        One line: file, line, what was found, what was expected.
    """
    text = read_text(path, _LONGEST, "a table of cabinets or modules", InputError)
    rows = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter_of(text), strict=True)
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

"""From the text of a wall file to a `Wall`, or one line for each thing that is wrong, and where."""

from __future__ import annotations

import re
from bisect import bisect_left
from collections.abc import Iterator
from contextlib import contextmanager
from functools import lru_cache
from heapq import heappop, heappush
from pathlib import Path
from typing import Any, NoReturn

import tomli  # compiled: checklists are read more than twice as fast as with tomllib
from pydantic import ValidationError

from commission_tui.errors import InputError, WallFileError, did_you_mean
from commission_tui.files import read_text
from commission_tui.text import quoted
from commission_tui.wall.model.file_model import Chain, WallFile
from commission_tui.wall.model.location import Cell
from commission_tui.wall.model.model_errors import MOST_LINES, describe_all
from commission_tui.wall.model.wall_model import Cabinet, ResolvedChain, ResolvedCircuit, Wall

_LONGEST = 4_000_000
MOST_CABINETS = 20_000
_MOST_PIXELS = 1_000_000_000
_TOUCH = 1e-6
"""How far cabinets side by side may reach over each other, in mm, as decimals are written."""


def read_wall(path: Path) -> Wall:
    """Read and check a wall file.

    Raises
    ------
    WallFileError
        For each thing that is wrong a line: file, key, what was found, what was expected.
    """
    text = read_text(path, _LONGEST, "a wall file", WallFileError)
    return parse_wall(text, str(path))


def parse_wall(text: str, source: str = "wall file") -> Wall:
    """Check the text of a wall file; `source` names it in errors.

    Raises
    ------
    WallFileError
        Lines without control characters, whatever the file holds.
    """
    return _parsed(text, source)


@lru_cache(maxsize=2)
def _parsed(text: str, source: str) -> Wall:
    """Return a wall; a new job reads its own twice, and what follows from it is worked out once."""
    try:
        data = tomli.loads(text)
    except ValueError as error:  # bad TOML, or a number of thousands of digits
        raise WallFileError(f"{source}: not TOML: {error}") from None
    except RecursionError:
        raise WallFileError(f"{source}: nested too deeply, expected a wall file") from None
    try:
        file = WallFile.model_validate(data)
    except ValidationError as error:
        lines = describe_all(error, WallFile)
        raise WallFileError(*(f"{source}: {line}" for line in lines)) from None
    return _Resolver(file, source).wall(text)


class _WrongError(Exception):
    """One thing that does not fit; what stands beside it is looked at all the same."""


class _Resolver:
    """Places cabinets and checks that what names a cabinet names one that hangs."""

    def __init__(self, file: WallFile, source: str) -> None:
        self.file = file
        self.source = source
        self._wrong: list[str] = []

    def fail(self, key: str, found: str, expected: str) -> NoReturn:
        raise _WrongError(f"{self.source}: {key}: found {found}, expected {expected}")

    @contextmanager
    def _going_on(self) -> Iterator[None]:
        """Keep what is wrong here and go on after it."""
        try:
            yield
        except _WrongError as error:
            self._wrong.append(str(error))
            if len(self._wrong) >= MOST_LINES:
                self._stop_if_wrong()

    def _stop_if_wrong(self) -> None:
        if self._wrong:
            raise WallFileError(*dict.fromkeys(self._wrong))

    def wall(self, text: str) -> Wall:
        with self._going_on():
            self._unique_names()
        self._statements()
        self._features()
        before = len(self._wrong)
        cabinets: dict[Cell, Cabinet] = {}
        with self._going_on():
            cabinets = self._placed() if self.file.placements else self._gridded()
            if not cabinets and len(self._wrong) == before:
                self.fail("grid.absent", "every cabinet left out", "at least one cabinet")
        if len(self._wrong) > before:  # what names cabinets would be called wrong as well
            self._stop_if_wrong()
        ordered = dict(sorted(cabinets.items()))
        with self._going_on():
            self._not_too_large(ordered)
        with self._going_on():
            self._no_overlap(list(ordered.values()))
        with self._going_on():
            self._fits_canvas(ordered)
        chains, circuits = self._chains(ordered), self._circuits(ordered)
        self._stop_if_wrong()
        return Wall(self.file, ordered, chains, circuits, text)

    def _features(self) -> None:
        room = self.file.room
        if room is None:
            return
        seen: dict[str, str] = {}
        for key in ("features", "without", "not_known"):
            for name in getattr(room, key):
                with self._going_on():
                    if seen.setdefault(name, key) != key:
                        also = f"'{name}' also in {seen[name]}"
                        self.fail(f"room.{key}", also, "each feature in one list")

    def _type(self, key: str, name: str) -> Any:
        kind = self.file.cabinet_types.get(name)
        if kind is None:
            known = list(self.file.cabinet_types)
            self.fail(key, f"'{name}'{did_you_mean(name, known)}", f"one of {', '.join(known)}")
        return kind

    def _gridded(self) -> dict[Cell, Cabinet]:
        grid = self.file.grid
        if grid is None:
            self.fail("grid", "neither grid nor placements", "one of them")
        self._not_too_many("grid", grid.columns * grid.rows)
        kind = self._type("grid.type", grid.type)
        whole = {Cell(r, c) for r in range(1, grid.rows + 1) for c in range(1, grid.columns + 1)}
        absent = set(self._cells("grid.absent", grid.absent, whole))
        # Numbers made once a row or column, not once a cabinet: there may be ten thousand.
        columns = [(c * kind.width_mm, c * kind.width_px) for c in range(grid.columns)]
        rows = [(r * kind.height_mm, r * kind.height_px) for r in range(grid.rows)]
        found = {}
        for cell in sorted(whole - absent):
            (x_mm, x_px), (y_mm, y_px) = columns[cell.column - 1], rows[cell.row - 1]
            found[cell] = Cabinet(cell, grid.type, kind, x_mm, y_mm, x_px, y_px)
        return found

    def _placed(self) -> dict[Cell, Cabinet]:
        if self.file.grid is not None:
            self.fail("placements", "grid and placements together", "one of them")
        self._not_too_many("placements", len(self.file.placements))
        cabinets: dict[Cell, Cabinet] = {}
        for number, p in enumerate(self.file.placements, start=1):
            key = f"placements[{number}]"
            with self._going_on():
                cell = self._cell(f"{key}.position", p.position)
                if cell in cabinets:
                    self.fail(f"{key}.position", f"{cell} a second time", "each position once")
                kind = self._type(f"{key}.type", p.type)
                cabinets[cell] = Cabinet(
                    cell, p.type, kind, p.x_mm, p.y_mm, p.x_px, p.y_px, p.rotation_deg
                )
        return cabinets

    def _not_too_many(self, key: str, count: int) -> None:
        if count > MOST_CABINETS:
            self.fail(key, f"{count} cabinets", f"at most {MOST_CABINETS}")

    def _not_too_large(self, cabinets: dict[Cell, Cabinet]) -> None:
        _, _, across, down = map(max, zip(*(one.box_px for one in cabinets.values()), strict=True))
        if across * down > _MOST_PIXELS:
            self.fail("wall", f"{across} x {down} px", "at most 1000 million pixels")

    def _no_overlap(self, cabinets: list[Cabinet]) -> None:
        if not self.file.placements:
            return
        boxes: dict[str, list[_Boxed]] = {
            "mm": [(_box_mm(cabinet), cabinet) for cabinet in cabinets],
            "px": [(cabinet.box_px, cabinet) for cabinet in cabinets],
        }
        for unit, boxed in boxes.items():
            if found := _overlapping(boxed):
                both = f"{found[0].cell} and {found[1].cell} overlapping in {unit}"
                self.fail("placements", both, "cabinets side by side")

    def _fits_canvas(self, cabinets: dict[Cell, Cabinet]) -> None:
        canvas = self.file.canvas
        if canvas is None:
            return
        for cell, cabinet in cabinets.items():
            _, _, right, bottom = cabinet.box_px
            if right > canvas.width_px or bottom > canvas.height_px:
                size = f"{canvas.width_px} x {canvas.height_px} px"
                found = f"{size} with {cell} reaching {right} x {bottom}"
                self.fail("canvas", found, "a canvas that holds every cabinet")

    def _unique_names(self) -> None:
        for key in ("circuits", "suspension_points", "inputs", "cameras", "stage_positions"):
            seen: set[str] = set()
            for number, item in enumerate(getattr(self.file, key), start=1):
                with self._going_on():
                    if item.name in seen:
                        self.fail(f"{key}[{number}].name", f"'{item.name}' twice", "each name once")
                seen.add(item.name)

    def _statements(self) -> None:
        for number, stated in enumerate(self.file.stated, start=1):
            with self._going_on():
                if stated.pitch_mm is not None and not float(stated.pitch_mm):
                    self.fail(f"stated[{number}].pitch_mm", stated.pitch_mm, "more than 0")
            with self._going_on():
                if stated.aspect is not None and not all(map(float, stated.aspect.split(":"))):
                    self.fail(f"stated[{number}].aspect", stated.aspect, "both figures more than 0")

    def _chains(self, cabinets: dict[Cell, Cabinet]) -> tuple[ResolvedChain, ...]:
        owner: dict[Cell, str] = {}
        used: set[int] = set()
        known = set(cabinets)
        chains = []
        for number, chain in enumerate(self.file.chains, start=1):
            key = f"chains[{number}]"
            for port_key, port in (("port", chain.port), ("backup_port", chain.backup_port)):
                with self._going_on():
                    self._port(f"{key}.{port_key}", port, used)
            with self._going_on():
                cells = self._chain_cells(key, chain, known)
                self._take(owner, cells, f"port {chain.port}", key, "port")
                chains.append(ResolvedChain(chain.port, cells, chain.backup_port))
        return tuple(chains)

    def _port(self, key: str, port: int | None, used: set[int]) -> None:
        if port is None:
            return
        if port > self.file.processor.ports:
            self.fail(key, str(port), f"1 to {self.file.processor.ports}")
        if port in used:
            self.fail(key, f"{port} a second time", "each port once")
        used.add(port)

    def _chain_cells(self, key: str, chain: Chain, known: set[Cell]) -> tuple[Cell, ...]:
        if (chain.order is None) == (chain.block is None):
            self.fail(key, "order and block both or neither", "one of them")
        if chain.order is not None:
            if not chain.order:
                self.fail(f"{key}.order", "an empty list", "at least one cabinet")
            return tuple(self._cells(f"{key}.order", chain.order, known))
        if chain.pattern is None:
            self.fail(f"{key}.pattern", "nothing", "such as 'rows, serpentine, from top left'")
        block = set(self._cells(f"{key}.block", (chain.block or "",), known))
        try:
            return route(block, chain.pattern)
        except InputError as error:
            raise _WrongError(f"{self.source}: {key}.pattern: {error}") from None

    def _circuits(self, cabinets: dict[Cell, Cabinet]) -> tuple[ResolvedCircuit, ...]:
        owner: dict[Cell, str] = {}
        known = set(cabinets)
        circuits = []
        for number, circuit in enumerate(self.file.circuits, start=1):
            key = f"circuits[{number}].cabinets"
            with self._going_on():
                cells = tuple(self._cells(key, circuit.cabinets, known))
                self._take(owner, cells, circuit.name, key, "circuit")
                circuits.append(ResolvedCircuit(circuit, cells))
            with self._going_on():
                if circuit.cable_mm2 is not None and circuit.cable_awg is not None:
                    self.fail(f"circuits[{number}]", "cable_mm2 and cable_awg", "one of them")
        return tuple(circuits)

    def _take(
        self, owner: dict[Cell, str], cells: tuple[Cell, ...], name: str, key: str, what: str
    ) -> None:
        """Note on what cabinets hang, each on one thing of a kind."""
        for cell in cells:
            if cell in owner:
                self.fail(key, f"{cell} also on {owner[cell]}", f"each cabinet on one {what}")
            owner[cell] = name

    def _cell(self, key: str, text: str) -> Cell:
        try:
            return Cell.parse(text)
        except InputError:
            self.fail(key, quoted(text), "a position like R3C7")

    def _cells(self, key: str, ranges: tuple[str, ...], known: set[Cell]) -> list[Cell]:
        """Spell out cells and ranges; each must hold a cabinet, a range takes what is there."""
        found: dict[Cell, None] = {}
        for text in ranges:
            first, colon, last = text.partition(":")
            start = self._cell(key, first)
            end = self._cell(key, last) if colon else start
            if end < start or end.column < start.column:
                self.fail(key, repr(text), "a range from top left to bottom right")
            cells = _within(start, end, known)
            if not cells:
                self.fail(key, repr(text), "cabinets that are on the wall")
            if twice := next((cell for cell in cells if cell in found), None):
                self.fail(key, f"{twice} twice", "each cabinet once")
            found.update(dict.fromkeys(cells))
        return list(found)


def _within(start: Cell, end: Cell, known: set[Cell]) -> list[Cell]:
    """Return the known cells from one corner to the other, whichever set is the smaller to go over."""
    rows, columns = range(start.row, end.row + 1), range(start.column, end.column + 1)
    if len(rows) * len(columns) <= len(known):
        return [Cell(r, c) for r in rows for c in columns if (r, c) in known]
    return sorted(cell for cell in known if cell.row in rows and cell.column in columns)


_Boxed = tuple[tuple[float, float, float, float], Cabinet]


def _overlapping(boxed: list[_Boxed]) -> tuple[Cabinet, Cabinet] | None:
    """Return two boxes that lie over each other, in the order in which a line meets them; or None.

    A line goes from left to right over the wall. What it stands in lies one above the other, so that
    a box that begins needs to be held against its two neighbours alone.
    """
    standing: list[tuple[float, int]] = []
    ends: list[tuple[float, float, int]] = []
    boxed.sort(key=lambda pair: pair[0])
    for number, ((left, top, right, bottom), cabinet) in enumerate(boxed):
        while ends and ends[0][0] - _TOUCH <= left:
            _, its_top, its_number = heappop(ends)
            del standing[bisect_left(standing, (its_top, its_number))]
        at = bisect_left(standing, (top, number))
        for near in standing[max(at - 1, 0) : at + 1]:
            (_, its_top, _, its_bottom), other = boxed[near[1]]
            if top < its_bottom - _TOUCH and its_top < bottom - _TOUCH:
                return other, cabinet
        standing.insert(at, (top, number))
        heappush(ends, (right, top, number))
    return None


def _box_mm(cabinet: Cabinet) -> tuple[float, float, float, float]:
    x, y = cabinet.x_mm, cabinet.y_mm
    return x, y, x + cabinet.width_mm, y + cabinet.height_mm


_PATTERN = re.compile(
    r"^(rows|columns),\s*(serpentine|same way),\s*from (top|bottom) (left|right)$"
)


def route(cells: set[Cell], pattern: str) -> tuple[Cell, ...]:
    """Order a block of cabinets as a routing pattern says.

    Raises
    ------
    InputError
        When the pattern is not `rows|columns, serpentine|same way, from top|bottom left|right`.
    """
    match = _PATTERN.match(" ".join(pattern.lower().split()))
    if match is None:
        raise InputError(
            f"found {quoted(pattern, 60)}, expected 'rows|columns, serpentine|same way, "
            "from top|bottom left|right'"
        )
    by_rows = match[1] == "rows"
    up, leftwards = match[3] == "bottom", match[4] == "right"
    lines: dict[int, list[Cell]] = {}
    for cell in sorted(cells):
        lines.setdefault(cell.row if by_rows else cell.column, []).append(cell)
    backwards_lines, backwards_cells = (up, leftwards) if by_rows else (leftwards, up)
    ordered: list[Cell] = []
    for index, key in enumerate(sorted(lines, reverse=backwards_lines)):
        turn = match[2] == "serpentine" and index % 2 == 1
        ordered += sorted(lines[key], reverse=backwards_cells != turn)
    return tuple(ordered)

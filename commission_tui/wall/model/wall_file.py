"""From the text of a wall file to a `Wall`, or one line that says what is wrong and where."""

from __future__ import annotations

import datetime
import re
import tomllib
from pathlib import Path
from typing import Any, NoReturn

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from commission_tui.errors import InputError, WallFileError, nearest
from commission_tui.files import read_text
from commission_tui.text import clipped, quoted
from commission_tui.wall.model.file_model import Chain, WallFile
from commission_tui.wall.model.location import Cell
from commission_tui.wall.model.wall_model import Cabinet, ResolvedChain, ResolvedCircuit, Wall

_LONGEST = 4_000_000
_LONGEST_SHOWN = 60


def read_wall(path: Path) -> Wall:
    """Read and check a wall file.

    Raises
    ------
    WallFileError
        One line: file, key, what was found, what was expected.
    """
    text = read_text(path, _LONGEST, "a wall file", WallFileError)
    return parse_wall(text, str(path))


def parse_wall(text: str, source: str = "wall file") -> Wall:
    """Check the text of a wall file; `source` names it in errors.

    Raises
    ------
    WallFileError
        One line without control characters, whatever the file holds.
    """
    try:
        data = tomllib.loads(text)
    except ValueError as error:  # bad TOML, or a number of thousands of digits
        raise WallFileError(f"{source}: not TOML: {error}") from None
    except RecursionError:
        raise WallFileError(f"{source}: nested too deeply, expected a wall file") from None
    try:
        file = WallFile.model_validate(data)
    except ValidationError as error:
        raise WallFileError(f"{source}: {describe(error, WallFile)}") from None
    return _Resolver(file, source).wall(text)


def complaints(error: ValidationError) -> list[ErrorDetails]:
    """Return all that is wrong, misspelt keys first: such a key is also missing, and says more.

    A list whose items are wrong is not too short as well.
    """
    every = error.errors(include_url=False)
    holders = {e["loc"][:depth] for e in every for depth in range(len(e["loc"]))}
    own = [e for e in every if e["type"] != "too_short" or e["loc"] not in holders]
    return sorted(own, key=lambda e: e["type"] != "extra_forbidden")


def describe(error: ValidationError, model: type[BaseModel]) -> str:
    """Turn pydantic's first complaint into ``key: found …, expected …``."""
    first, *others = complaints(error)
    return described(first, model) + (f" (and {len(others)} more)" if others else "")


def described(complaint: ErrorDetails, model: type[BaseModel]) -> str:
    """Turn one complaint into ``key: found …, expected …``."""
    where = _dotted(complaint["loc"])
    if complaint["type"] == "extra_forbidden":
        hint = nearest(str(complaint["loc"][-1]), _keys_at(model, complaint["loc"][:-1]))
        return f"{where}: unknown key{hint}"
    if complaint["type"] == "missing":
        return f"{where}: missing, expected a value"
    return f"{where}: found {_found(complaint['input'])}, expected {_expected(complaint)}"


_EXPECTED = {
    "bool_type": "true or false",
    "dict_type": "a table",
    "float_type": "a number",
    "int_from_float": "a whole number",
    "int_type": "a whole number",
    "model_type": "a table",
    "string_too_short": "some text",
    "string_type": "text in quotes",
    "tuple_type": "a list",
}
_EXPECTED_KEYS = {
    "pitch_mm": "a pitch as printed, in quotes, such as '2.5'",
    "aspect": "an aspect ratio in quotes such as '16:9'",
}


def _expected(error: ErrorDetails) -> str:
    """Say what a key takes in the words of the file, not of the checking library."""
    key = str(error["loc"][-1])
    if error["type"] in ("string_type", "string_pattern_mismatch") and key in _EXPECTED_KEYS:
        return _EXPECTED_KEYS[key]
    if error["type"] == "string_pattern_mismatch" and error["ctx"]["pattern"].startswith("^[^"):
        return "text without control characters"
    told = error["msg"].removeprefix("Input should be ").removeprefix("Value error, ")
    told = told.removeprefix("String should have ")
    return _EXPECTED.get(error["type"], told)


def _found(value: object) -> str:
    """Show a value as the file has it."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, (datetime.date, datetime.time)):
        return value.isoformat()
    if isinstance(value, dict):
        return "a table"
    return clipped(repr(value), _LONGEST_SHOWN)


def _dotted(loc: tuple[int | str, ...]) -> str:
    text = ""
    for part in loc:
        text += f"[{part + 1}]" if isinstance(part, int) else f".{part}"
    return text.lstrip(".")


def _keys_at(model: type[BaseModel], loc: tuple[int | str, ...]) -> list[str]:
    """Follow a location through the models to the table whose keys are known there."""
    current: Any = model
    for part in loc:
        fields = getattr(current, "model_fields", None)
        if fields and part in fields:
            current = _inner_model(fields[part].annotation) or current
    return list(getattr(current, "model_fields", {}))


def _inner_model(annotation: Any) -> type[BaseModel] | None:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    for inner in getattr(annotation, "__args__", ()):
        if found := _inner_model(inner):
            return found
    return None


class _Resolver:
    """Places cabinets and checks that what names a cabinet names one that hangs."""

    def __init__(self, file: WallFile, source: str) -> None:
        self.file = file
        self.source = source

    def fail(self, key: str, found: str, expected: str) -> NoReturn:
        raise WallFileError(f"{self.source}: {key}: found {found}, expected {expected}")

    def wall(self, text: str) -> Wall:
        cabinets = self._placed() if self.file.placements else self._gridded()
        if not cabinets:
            self.fail("grid.absent", "every cabinet left out", "at least one cabinet")
        ordered = dict(sorted(cabinets.items()))
        self._no_overlap(list(ordered.values()))
        self._fits_canvas(ordered)
        self._unique_names()
        self._statements()
        return Wall(self.file, ordered, self._chains(ordered), self._circuits(ordered), text)

    def _type(self, key: str, name: str) -> Any:
        kind = self.file.cabinet_types.get(name)
        if kind is None:
            known = list(self.file.cabinet_types)
            self.fail(key, f"'{name}'{nearest(name, known)}", f"one of {', '.join(known)}")
        return kind

    def _gridded(self) -> dict[Cell, Cabinet]:
        grid = self.file.grid
        if grid is None:
            self.fail("grid", "neither grid nor placements", "one of them")
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
        cabinets: dict[Cell, Cabinet] = {}
        for number, p in enumerate(self.file.placements, start=1):
            key = f"placements[{number}]"
            cell = self._cell(f"{key}.position", p.position)
            if cell in cabinets:
                self.fail(f"{key}.position", f"{cell} a second time", "each position once")
            kind = self._type(f"{key}.type", p.type)
            cabinets[cell] = Cabinet(
                cell, p.type, kind, p.x_mm, p.y_mm, p.x_px, p.y_px, p.rotation_deg
            )
        return cabinets

    def _no_overlap(self, cabinets: list[Cabinet]) -> None:
        if not self.file.placements:
            return
        for unit in ("mm", "px"):
            boxes = sorted(
                ((_box(cabinet, unit), cabinet) for cabinet in cabinets), key=lambda pair: pair[0]
            )  # left edge first
            for index, (box, cabinet) in enumerate(boxes):
                for other_box, other in boxes[index + 1 :]:
                    if other_box[0] >= box[2] - 1e-6:
                        break
                    if other_box[1] < box[3] - 1e-6 and box[1] < other_box[3] - 1e-6:
                        self.fail(
                            "placements",
                            f"{cabinet.cell} and {other.cell} overlapping in {unit}",
                            "cabinets side by side",
                        )

    def _fits_canvas(self, cabinets: dict[Cell, Cabinet]) -> None:
        canvas = self.file.canvas
        if canvas is None:
            return
        for cell, c in cabinets.items():
            right, bottom = c.x_px + c.width_px, c.y_px + c.height_px
            if right > canvas.width_px or bottom > canvas.height_px:
                self.fail(
                    "canvas",
                    f"{canvas.width_px} x {canvas.height_px} px with {cell} reaching {right} x {bottom}",
                    "a canvas that holds every cabinet",
                )

    def _unique_names(self) -> None:
        for key in ("circuits", "suspension_points", "inputs", "cameras", "stage_positions"):
            seen: set[str] = set()
            for number, item in enumerate(getattr(self.file, key), start=1):
                if item.name in seen:
                    self.fail(f"{key}[{number}].name", f"'{item.name}' twice", "each name once")
                seen.add(item.name)

    def _statements(self) -> None:
        for number, stated in enumerate(self.file.stated, start=1):
            if stated.pitch_mm is not None and not float(stated.pitch_mm):
                self.fail(f"stated[{number}].pitch_mm", stated.pitch_mm, "more than 0")
            if stated.aspect is not None and not all(map(float, stated.aspect.split(":"))):
                self.fail(f"stated[{number}].aspect", stated.aspect, "both figures more than 0")

    def _chains(self, cabinets: dict[Cell, Cabinet]) -> tuple[ResolvedChain, ...]:
        owner: dict[Cell, int] = {}
        used: set[int] = set()
        chains = []
        for number, chain in enumerate(self.file.chains, start=1):
            key = f"chains[{number}]"
            for port_key, port in (("port", chain.port), ("backup_port", chain.backup_port)):
                if port is None:
                    continue
                if port > self.file.processor.ports:
                    self.fail(f"{key}.{port_key}", str(port), f"1 to {self.file.processor.ports}")
                if port in used:
                    self.fail(f"{key}.{port_key}", f"{port} a second time", "each port once")
                used.add(port)
            cells = self._chain_cells(key, chain, cabinets)
            for cell in cells:
                if cell in owner:
                    self.fail(key, f"{cell} also on port {owner[cell]}", "each cabinet on one port")
                owner[cell] = chain.port
            chains.append(ResolvedChain(chain.port, cells, chain.backup_port))
        return tuple(chains)

    def _chain_cells(
        self, key: str, chain: Chain, cabinets: dict[Cell, Cabinet]
    ) -> tuple[Cell, ...]:
        if (chain.order is None) == (chain.block is None):
            self.fail(key, "order and block both or neither", "one of them")
        if chain.order is not None:
            if not chain.order:
                self.fail(f"{key}.order", "an empty list", "at least one cabinet")
            return tuple(self._cells(f"{key}.order", chain.order, set(cabinets)))
        if chain.pattern is None:
            self.fail(f"{key}.pattern", "nothing", "such as 'rows, serpentine, from top left'")
        block = set(self._cells(f"{key}.block", (chain.block or "",), set(cabinets)))
        try:
            return route(block, chain.pattern)
        except InputError as error:
            raise WallFileError(f"{self.source}: {key}.pattern: {error}") from None

    def _circuits(self, cabinets: dict[Cell, Cabinet]) -> tuple[ResolvedCircuit, ...]:
        owner: dict[Cell, str] = {}
        circuits = []
        for number, circuit in enumerate(self.file.circuits, start=1):
            key = f"circuits[{number}].cabinets"
            cells = tuple(self._cells(key, circuit.cabinets, set(cabinets)))
            for cell in cells:
                if cell in owner:
                    self.fail(key, f"{cell} also on {owner[cell]}", "each cabinet on one circuit")
                owner[cell] = circuit.name
            if circuit.cable_mm2 is not None and circuit.cable_awg is not None:
                self.fail(f"circuits[{number}]", "cable_mm2 and cable_awg", "one of them")
            circuits.append(ResolvedCircuit(circuit, cells))
        return tuple(circuits)

    def _cell(self, key: str, text: str) -> Cell:
        try:
            return Cell.parse(text)
        except InputError:
            self.fail(key, quoted(text), "a position like R3C7")

    def _cells(self, key: str, ranges: tuple[str, ...], known: set[Cell]) -> list[Cell]:
        """Spell out cells and ranges; each must hold a cabinet, a range takes what is there."""
        found: list[Cell] = []
        for text in ranges:
            first, colon, last = text.partition(":")
            start = self._cell(key, first)
            end = self._cell(key, last) if colon else start
            if end < start or end.column < start.column:
                self.fail(key, repr(text), "a range from top left to bottom right")
            cells = _within(start, end, known)
            if not cells:
                self.fail(key, repr(text), "cabinets that are on the wall")
            found += cells
        if len(set(found)) != len(found):
            twice = next(cell for index, cell in enumerate(found) if cell in found[:index])
            self.fail(key, f"{twice} twice", "each cabinet once")
        return found


def _within(start: Cell, end: Cell, known: set[Cell]) -> list[Cell]:
    """Return the known cells from one corner to the other, whichever set is the smaller to go over."""
    rows, columns = range(start.row, end.row + 1), range(start.column, end.column + 1)
    if len(rows) * len(columns) <= len(known):
        return [Cell(r, c) for r in rows for c in columns if (r, c) in known]
    return sorted(cell for cell in known if cell.row in rows and cell.column in columns)


def _box(cabinet: Cabinet, unit: str) -> tuple[float, float, float, float]:
    if unit == "mm":
        x, y = cabinet.x_mm, cabinet.y_mm
        return x, y, x + cabinet.width_mm, y + cabinet.height_mm
    x, y = cabinet.x_px, cabinet.y_px
    return x, y, x + cabinet.width_px, y + cabinet.height_px


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

"""The wall as designed: cabinets with places, chains and circuits resolved and cross-checked."""

from __future__ import annotations

import math
from collections.abc import Callable, Hashable, Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any, TypeVar

from commission_tui.errors import InputError, did_you_mean
from commission_tui.wall.model.file_model import CabinetType, Circuit, WallFile
from commission_tui.wall.model.location import Cell, Location, ordinal

_T = TypeVar("_T")


@dataclass(frozen=True, slots=True)
class Cabinet:
    """One hung cabinet; mm from the wall's left and top edge, px from the canvas's top left."""

    cell: Cell
    type_name: str
    kind: CabinetType
    x_mm: float
    y_mm: float
    x_px: int
    y_px: int
    rotation_deg: int = 0

    @property
    def _turned(self) -> bool:
        return self.rotation_deg in (90, 270)

    @property
    def width_mm(self) -> float:
        return self.kind.height_mm if self._turned else self.kind.width_mm

    @property
    def height_mm(self) -> float:
        return self.kind.width_mm if self._turned else self.kind.height_mm

    @property
    def width_px(self) -> int:
        return self.kind.height_px if self._turned else self.kind.width_px

    @property
    def height_px(self) -> int:
        return self.kind.width_px if self._turned else self.kind.height_px

    @property
    def box_px(self) -> tuple[int, int, int, int]:
        """Left, top, right, bottom on the canvas; right and bottom are not part of it."""
        return self.x_px, self.y_px, self.x_px + self.width_px, self.y_px + self.height_px

    @property
    def module_columns(self) -> int:
        return self.kind.module_rows if self._turned else self.kind.module_columns

    @property
    def module_rows(self) -> int:
        return self.kind.module_columns if self._turned else self.kind.module_rows


@dataclass(frozen=True, slots=True)
class ResolvedChain:
    """One port's cabinets in the order in which the data passes them."""

    port: int
    cells: tuple[Cell, ...]
    backup_port: int | None = None


@dataclass(frozen=True, slots=True)
class ResolvedCircuit:
    """One circuit and the cabinets it feeds."""

    circuit: Circuit
    cells: tuple[Cell, ...]

    @property
    def name(self) -> str:
        return self.circuit.name


@dataclass(frozen=True)
class Wall:
    """The whole wall; every lookup a check, a screen or a drawing needs."""

    file: WallFile
    cabinets: Mapping[Cell, Cabinet]
    """In row-major order."""
    chains: tuple[ResolvedChain, ...]
    circuits: tuple[ResolvedCircuit, ...]
    text: str = field(repr=False, default="")
    settled: Mapping[str, bool | None] = field(default_factory=dict)
    """Features that were settled since the file was written; None is not known."""

    def once(self, work_out: Callable[..., _T], *about: Hashable) -> _T:
        """Return what follows from this wall alone, worked out the first time it is asked for."""
        key = work_out, about
        if key not in self._worked_out:
            self._worked_out[key] = work_out(self, *about)
        found: _T = self._worked_out[key]
        return found

    @cached_property
    def _worked_out(self) -> dict[tuple[Callable[..., Any], tuple[Hashable, ...]], Any]:
        return {}

    def has(self, feature: str) -> bool | None:
        """Say whether the wall or its room has a feature; None while nobody has said so.

        What the file shows (a camera, a backup port, a residual-current device) needs no word.
        """
        if self._shows(feature):
            return True
        if feature in self.settled:
            return self.settled[feature]
        room = self.file.room
        if room is None:
            return None
        return True if feature in room.features else False if feature in room.without else None

    def _shows(self, feature: str) -> bool:
        return (
            (feature == "cameras" and bool(self.file.cameras))
            or (feature == "backup runs" and any(c.backup_port is not None for c in self.chains))
            or (
                feature == "residual-current devices"
                and any(c.circuit.residual_ma is not None for c in self.circuits)
            )
        )

    @property
    def name(self) -> str:
        return self.file.wall.name

    @cached_property
    def rows(self) -> int:
        return max(cell.row for cell in self.cabinets)

    @cached_property
    def columns(self) -> int:
        return max(cell.column for cell in self.cabinets)

    @cached_property
    def left_mm(self) -> float:
        """Where the leftmost cabinet begins, on the scale of the cabinets' `x_mm`."""
        return min(c.x_mm for c in self.cabinets.values())

    @cached_property
    def top_mm(self) -> float:
        return min(c.y_mm for c in self.cabinets.values())

    @cached_property
    def width_mm(self) -> float:
        return max(c.x_mm + c.width_mm for c in self.cabinets.values()) - self.left_mm

    @cached_property
    def height_mm(self) -> float:
        return max(c.y_mm + c.height_mm for c in self.cabinets.values()) - self.top_mm

    @cached_property
    def least_size_mm(self) -> tuple[float, float]:
        """The least width and the least height that a cabinet has."""
        cabinets = self.cabinets.values()
        return min(c.width_mm for c in cabinets), min(c.height_mm for c in cabinets)

    @cached_property
    def width_px(self) -> int:
        """Canvas width: as declared, else out to the last cabinet."""
        if self.file.canvas:
            return self.file.canvas.width_px
        return max(c.x_px + c.width_px for c in self.cabinets.values())

    @cached_property
    def height_px(self) -> int:
        if self.file.canvas:
            return self.file.canvas.height_px
        return max(c.y_px + c.height_px for c in self.cabinets.values())

    @cached_property
    def lit_pixels(self) -> int:
        """Pixels that exist as LEDs, which a gap in the wall does not have."""
        return sum(c.width_px * c.height_px for c in self.cabinets.values())

    @cached_property
    def weight_kg(self) -> float:
        return math.fsum(c.kind.weight_kg for c in self.cabinets.values())

    @cached_property
    def power_max_w(self) -> float:
        return math.fsum(c.kind.power_max_w for c in self.cabinets.values())

    @cached_property
    def _chain_places(self) -> dict[Cell, tuple[int, int]]:
        return {
            cell: (chain.port, place)
            for chain in self.chains
            for place, cell in enumerate(chain.cells, start=1)
        }

    @cached_property
    def _circuit_by_cell(self) -> dict[Cell, ResolvedCircuit]:
        return {cell: circuit for circuit in self.circuits for cell in circuit.cells}

    def chain_place(self, cell: Cell) -> tuple[int, int] | None:
        """Port and place in its chain (both from 1), or None when no chain names the cabinet."""
        return self._chain_places.get(cell)

    def circuit_of(self, cell: Cell) -> ResolvedCircuit | None:
        return self._circuit_by_cell.get(cell)

    @cached_property
    def seams(self) -> Mapping[Location, tuple[Cell, Cell]]:
        """Every seam by its owner's name, with the two cabinets that share it, the owner first."""
        return {
            Location(cell=cell, edge=edge): (cell, beside)
            for cell in self.cabinets
            for edge, beside in (
                ("right", Cell(cell.row, cell.column + 1)),
                ("bottom", Cell(cell.row + 1, cell.column)),
            )
            if beside in self.cabinets
        }

    def neighbours(self, cell: Cell) -> tuple[Cell, ...]:
        """Return the up to four cabinets that share a seam with this one."""
        row, column = cell
        around = (
            Cell(row - 1, column),
            Cell(row, column - 1),
            Cell(row, column + 1),
            Cell(row + 1, column),
        )
        return tuple(near for near in around if near in self.cabinets)

    @cached_property
    def _columns_by_row(self) -> dict[int, list[int]]:
        found: dict[int, list[int]] = {}
        for cell in sorted(self.cabinets):
            found.setdefault(cell.row, []).append(cell.column)
        return found

    def rear_name(self, cell: Cell) -> str:
        """Return the same cabinet counted from behind: ``row 3, 6th from left``."""
        across = self._columns_by_row[cell.row]
        return f"row {cell.row}, {ordinal(len(across) - across.index(cell.column))} from left"

    def _from_behind(self, row: int, place: int) -> Cell:
        """Return the cabinet that `rear_name` calls so."""
        across = self._columns_by_row.get(row, [])
        if not 1 <= place <= len(across):
            raise InputError(
                f"location: found row {row}, {ordinal(place)} from left, expected one of "
                f"{len(across)} cabinets of a row from 1 to {self.rows}"
            )
        return Cell(row, across[-place])

    def cabinet_at_pixel(self, x: int, y: int) -> tuple[Cabinet, int, int] | None:
        """Return the cabinet under a canvas pixel and the pixel inside it, or None in a gap."""
        for cabinet in self.cabinets.values():
            dx, dy = x - cabinet.x_px, y - cabinet.y_px
            if 0 <= dx < cabinet.width_px and 0 <= dy < cabinet.height_px:
                return cabinet, dx, dy
        return None

    def canvas_pixel(self, cell: Cell, x: int, y: int) -> tuple[int, int]:
        """Return the canvas coordinates of a pixel inside a cabinet."""
        cabinet = self.cabinets[cell]
        return cabinet.x_px + x, cabinet.y_px + y

    def module_at(self, cell: Cell, x: int, y: int) -> tuple[int, int]:
        """Return the module's row and column (from 1, front view) holding a pixel of a cabinet."""
        cabinet = self.cabinets[cell]
        row = y * cabinet.module_rows // cabinet.height_px + 1
        return row, x * cabinet.module_columns // cabinet.width_px + 1

    def resolve(self, location: Location) -> Location:
        """Check that a location exists on this wall; a canvas pixel becomes a cabinet's pixel.

        Raises
        ------
        InputError
            When there is no such cabinet, module, line, pixel, seam, corner, port or name.
        """
        if location.named is not None:
            return self._resolve_name(*location.named)
        if location.port is not None:
            self._check_chain(location)
            return location
        if location.rear is not None:
            return Location(cell=self._from_behind(*location.rear))
        if location.cell is None:
            return self._resolve_canvas(location)
        cabinet = self.cabinets.get(location.cell)
        if cabinet is None:
            raise InputError(
                f"location: found {location}, expected a cabinet of this wall "
                f"(rows 1 to {self.rows}, columns 1 to {self.columns}, gaps excluded)"
            )
        self._check_inside(location, cabinet)
        return location

    def _resolve_canvas(self, location: Location) -> Location:
        if location.pixel is None:
            return location
        hit = self.cabinet_at_pixel(*location.pixel)
        if hit is None:
            raise InputError(
                f"location: found {location}, expected a pixel of a cabinet "
                f"(x 0 to {self.width_px - 1}, y 0 to {self.height_px - 1}, gaps excluded)"
            )
        cabinet, x, y = hit
        return Location(cell=cabinet.cell, pixel=(x, y), colour=location.colour)

    def _resolve_name(self, kind: str, name: str) -> Location:
        """Return the place as the wall file spells it; a wall that names none of a kind takes any."""
        known = tuple(" ".join(n.split()) for n in self.names(kind))
        same = [n for n in known if n.casefold() == name.casefold()]
        if known and not same:
            raise InputError(
                f"location: found {kind} {name!r}, expected one of {', '.join(known[:12])}"
                f"{did_you_mean(name, known)}"
            )
        return Location(named=(kind, (*(n for n in same if n == name), *same, name)[0]))

    def names(self, kind: str) -> tuple[str, ...]:
        """Return what the wall file names of a kind of place (`location.NAMED`)."""
        file = self.file
        listed: dict[str, Iterable[Any]] = {
            "circuit": file.circuits,
            "suspension point": file.suspension_points,
            "input": file.inputs,
            "camera": file.cameras,
            "stage position": file.stage_positions,
        }
        if kind in listed:
            return tuple(item.name for item in listed[kind])
        room = {"light state": "light_states", "preset": "presets", "seat": "seats"}[kind]
        return tuple(getattr(file.room, room)) if file.room else ()

    def _check_chain(self, location: Location) -> None:
        chain = next((c for c in self.chains if location.port in (c.port, c.backup_port)), None)
        if chain is None:
            ports = ", ".join(f"P{c.port}" for c in self.chains[:12])
            raise InputError(f"location: found {location}, expected one of {ports or 'no port'}")
        if location.chain_place and location.chain_place > len(chain.cells):
            raise InputError(
                f"location: found {location}, expected P{location.port}.1 to "
                f"P{location.port}.{len(chain.cells)}"
            )

    def cells_at(self, location: Location) -> tuple[Cell, ...]:
        """Return the cabinets that a place concerns; none for the whole wall and for names alone."""
        if location.cell is not None:
            return (location.cell,)
        if location.port is not None:
            return self._cells_of_port(location.port, location.chain_place)
        if location.named and location.named[0] == "circuit":
            name = location.named[1]
            named = (c for c in self.circuits if " ".join(c.name.split()) == name)
            return next((c.cells for c in named), ())
        hit = self.cabinet_at_pixel(*location.pixel) if location.pixel else None
        return (hit[0].cell,) if hit else ()

    def _cells_of_port(self, port: int, place: int | None) -> tuple[Cell, ...]:
        for chain in self.chains:
            if port in (chain.port, chain.backup_port):
                # The backup feeds the chain from its far end.
                cells = chain.cells if port == chain.port else chain.cells[::-1]
                return cells if place is None else cells[place - 1 : place]
        return ()

    def _check_inside(self, location: Location, cabinet: Cabinet) -> None:
        if location.module is not None:
            row, column = location.module
            if row > cabinet.module_rows or column > cabinet.module_columns:
                raise InputError(
                    f"location: found {location}, expected module m1,1 to "
                    f"m{cabinet.module_rows},{cabinet.module_columns}"
                )
        if location.line is not None:
            self._check_line(location, cabinet)
        if location.pixel is not None:
            x, y = location.pixel
            if x >= cabinet.width_px or y >= cabinet.height_px:
                raise InputError(
                    f"location: found {location}, expected x 0 to {cabinet.width_px - 1}, "
                    f"y 0 to {cabinet.height_px - 1}"
                )
        if location.edge is not None and not self._has_edge(location):
            raise InputError(f"location: found {location}, expected a seam between two cabinets")

    def _check_line(self, location: Location, cabinet: Cabinet) -> None:
        way, _, last = location.line or ("row", 1, 1)
        most = {
            "row": -(-cabinet.height_px // cabinet.module_rows),
            "column": -(-cabinet.width_px // cabinet.module_columns),
        }[way]
        if last > most:
            raise InputError(f"location: found {location}, expected {way} 1 to {most} of a module")

    def _has_edge(self, location: Location) -> bool:
        cell = location.cell
        if cell is None:
            return False
        right = Cell(cell.row, cell.column + 1) in self.cabinets
        below = Cell(cell.row + 1, cell.column) in self.cabinets
        return {"right": right, "bottom": below, "corner": right and below}[location.edge or ""]

    def places_text(self, location: Location) -> str:
        """Say a location in full: cabinet, module, canvas pixel, chain place and rear view."""
        if location.cell is None:
            cells = self.cells_at(location)
            if location.chain_place is None or not cells:
                return str(location)
            return f"{location}, {cells[0]} (from behind: {self.rear_name(cells[0])})"
        parts = [str(location)]
        if location.pixel is not None:
            module = self.module_at(location.cell, *location.pixel)
            x, y = self.canvas_pixel(location.cell, *location.pixel)
            parts += [f"m{module[0]},{module[1]}", f"canvas x{x} y{y}"]
        if place := self.chain_place(location.cell):
            parts.append(f"P{place[0]}.{place[1]}")
        return ", ".join(parts) + f" (from behind: {self.rear_name(location.cell)})"

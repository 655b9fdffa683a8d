"""The wall as designed: cabinets with places, chains and circuits resolved and cross-checked."""

from __future__ import annotations

import math
from collections.abc import Callable, Hashable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any, TypeVar

from commission_tui.errors import InputError, did_you_mean
from commission_tui.wall.model.file_model import CabinetType, Circuit, WallFile
from commission_tui.wall.model.location import NAMED, Cell, Location, ordinal

_T = TypeVar("_T")
_BESIDE = ((-1, 0), (0, -1), (0, 1), (1, 0))


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
        if feature == "cameras":
            return bool(self.file.cameras)
        if feature == "backup runs":
            return any(chain.backup_port is not None for chain in self.chains)
        devices = (circuit.circuit.residual_ma for circuit in self.circuits)
        return feature == "residual-current devices" and any(ma is not None for ma in devices)

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
        around = (Cell(cell.row + down, cell.column + across) for down, across in _BESIDE)
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

    def _from_behind(self, location: Location) -> Cell:
        """Return the cabinet that `rear_name` calls so."""
        row, place = location.rear or (0, 0)
        if not location.says_side:
            raise _not_there(location, f"'from behind: {location}', or its name, such as R3C7")
        across = self._columns_by_row.get(row, [])
        if not 1 <= place <= len(across):
            expected = f"one of {len(across)} cabinets of a row from 1 to {self.rows}"
            raise _not_there(location, expected)
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
            return Location(cell=self._from_behind(location))
        if location.cell is None:
            return self._resolve_canvas(location)
        cabinet = self.cabinets.get(location.cell)
        if cabinet is None:
            span = f"rows 1 to {self.rows}, columns 1 to {self.columns}"
            raise _not_there(location, f"a cabinet of this wall ({span}, gaps excluded)")
        self._check_inside(location, cabinet)
        return location

    def _resolve_canvas(self, location: Location) -> Location:
        if location.pixel is None:
            return location
        hit = self.cabinet_at_pixel(*location.pixel)
        if hit is None:
            span = f"x 0 to {self.width_px - 1}, y 0 to {self.height_px - 1}"
            raise _not_there(location, f"a pixel of a cabinet ({span}, gaps excluded)")
        return Location(cell=hit[0].cell, pixel=hit[1:], colour=location.colour)

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
        key = NAMED[kind]
        named = getattr(self.file, key, ()) or getattr(self.file.room, key, ()) or ()
        return tuple(getattr(item, "name", item) for item in named)

    def _chain_on(self, port: int | None) -> ResolvedChain | None:
        return next(
            (chain for chain in self.chains if port in (chain.port, chain.backup_port)), None
        )

    def _check_chain(self, location: Location) -> None:
        chain = self._chain_on(location.port)
        if chain is None:
            ports = ", ".join(f"P{c.port}" for c in self.chains[:12])
            raise _not_there(location, f"one of {ports or 'no port'}")
        if location.chain_place and location.chain_place > len(chain.cells):
            port = f"P{location.port}"
            raise _not_there(location, f"{port}.1 to {port}.{len(chain.cells)}")

    def cells_at(self, location: Location) -> tuple[Cell, ...]:
        """Return the cabinets that a place concerns; none for the whole wall and for names alone."""
        if location.cell is not None:
            return (location.cell,)
        if chain := self._chain_on(location.port) if location.port else None:
            # The backup feeds the chain from its far end.
            cells = chain.cells if location.port == chain.port else chain.cells[::-1]
            place = location.chain_place
            return cells if place is None else cells[place - 1 : place]
        if location.named and location.named[0] == "circuit":
            name = location.named[1]
            named = (c for c in self.circuits if " ".join(c.name.split()) == name)
            return next((c.cells for c in named), ())
        hit = self.cabinet_at_pixel(*location.pixel) if location.pixel else None
        return (hit[0].cell,) if hit else ()

    def _check_inside(self, location: Location, cabinet: Cabinet) -> None:
        rows, columns = cabinet.module_rows, cabinet.module_columns
        if location.module is not None:
            row, column = location.module
            if row > rows or column > columns:
                raise _not_there(location, f"module m1,1 to m{rows},{columns}")
        if location.line is not None:
            way, _, last = location.line
            most = -(-cabinet.height_px // rows if way == "row" else -cabinet.width_px // columns)
            if last > most:
                raise _not_there(location, f"{way} 1 to {most} of a module")
        if location.pixel is not None:
            x, y = location.pixel
            if x >= cabinet.width_px or y >= cabinet.height_px:
                span = f"x 0 to {cabinet.width_px - 1}, y 0 to {cabinet.height_px - 1}"
                raise _not_there(location, span)
        if location.edge is not None:
            edges = ("right", "bottom") if location.edge == "corner" else (location.edge,)
            if any(Location(cell=cabinet.cell, edge=edge) not in self.seams for edge in edges):
                raise _not_there(location, "a seam between two cabinets")

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


def _not_there(location: Location, expected: str) -> InputError:
    return InputError(f"location: found {location}, expected {expected}")

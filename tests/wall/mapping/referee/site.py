"""A wall as hung: plugs in sockets and entries in a processor, and what one sees of them.

Independent of the solver: faults are committed here as a hand commits them (a plug in the wrong
socket, an entry typed twice), and what shows follows by tracing the data from socket to socket.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from commission_tui.wall.mapping.explanations.explanation import Cause
from commission_tui.wall.mapping.moves import ConfigurationEdit, Link
from commission_tui.wall.mapping.observed.observation import Observation
from commission_tui.wall.model.location import Cell
from commission_tui.wall.model.wall_model import Wall

Socket = tuple[str, int, int]
"""``("P", port, 0)`` at the processor; ``("a", row, column)`` or ``("b", ...)`` at a cabinet."""
Rectangle = tuple[int, int, int, int]


def socket(side: str, cell: Cell) -> Socket:
    return side, cell.row, cell.column


def across(plug: Socket) -> Socket:
    return ("b" if plug[0] == "a" else "a", plug[1], plug[2])


class Site:
    """Everything as designed until a fault is committed."""

    def __init__(self, wall: Wall) -> None:
        self.wall = wall
        self.far_end: dict[Socket, Socket] = {}
        self.entries: dict[int, list[Rectangle]] = {}
        self.start_px = (0, 0)
        self.mirrored = False
        self.turned: dict[Cell, int] = {}
        self.broken: set[Cell] = set()
        self.one_broken_only = False
        """Beside other faults, since numbers that are broken everywhere hide every other fault."""
        self.rectangles = {
            cell: (c.x_px, c.y_px, c.width_px, c.height_px) for cell, c in wall.cabinets.items()
        }
        self.at = {rectangle: cell for cell, rectangle in self.rectangles.items()}
        for chain in wall.chains:
            self.entries[chain.port] = [self.rectangles[cell] for cell in chain.cells]
            last: Socket = ("P", chain.port, 0)
            for cell in chain.cells:
                self.plug(last, socket("a", cell))
                last = socket("b", cell)

    def copy(self) -> Site:
        """Return another wall in the same state."""
        other = Site(self.wall)
        other.far_end = dict(self.far_end)
        other.entries = {port: list(entries) for port, entries in self.entries.items()}
        other.start_px, other.mirrored = self.start_px, self.mirrored
        other.turned, other.broken = dict(self.turned), set(self.broken)
        return other

    # Plugs

    def plug(self, one: Socket, other: Socket) -> None:
        if one in self.far_end or other in self.far_end:
            raise ValueError(f"a socket of {one} and {other} is taken")
        self.far_end[one] = other
        self.far_end[other] = one

    def unplug(self, one: Socket) -> Socket | None:
        """Take a cable away by one end; return the socket of its other end."""
        other = self.far_end.pop(one, None)
        if other is not None:
            del self.far_end[other]
        return other

    def trace(self, port: int) -> list[Socket]:
        """Return the sockets by which the data enters one cabinet after another."""
        entered: list[Socket] = []
        here = self.far_end.get(("P", port, 0))
        while here is not None and here[0] != "P":
            entered.append(here)
            here = self.far_end.get(across(here))
        return entered

    def replug_way(self, port: int, way: Sequence[Socket]) -> None:
        """Pull every plug of the given way and lay the cables anew in its order."""
        for plug in way:
            self.unplug(plug)
            self.unplug(across(plug))
        self.unplug(("P", port, 0))
        last: Socket = ("P", port, 0)
        for plug in way:
            self.plug(last, plug)
            last = across(plug)

    # What shows

    def look(self) -> dict[Cell, Observation]:
        entry: dict[Cell, Rectangle] = {}
        for port, rectangles in self.entries.items():
            for plug, rectangle in zip(self.trace(port), rectangles, strict=False):
                entry[Cell(plug[1], plug[2])] = rectangle
        return {cell: self._reading(cell, entry.get(cell)) for cell in self.wall.cabinets}

    def _reading(self, cell: Cell, entry: Rectangle | None) -> Observation:
        if entry is None:
            return Observation("dark")
        x, y = entry[0] + self.start_px[0], entry[1] + self.start_px[1]
        if self.mirrored:
            x = self.wall.width_px - x - entry[2]
        shown = self._tile_under(x, y, entry[2], entry[3])
        if shown is None:
            return Observation("dark")
        if cell in self.broken:
            return Observation("garbled")
        tile = self.rectangles[shown]
        dx, dy = tile[0] - x, tile[1] - y
        dx = entry[2] - dx - tile[2] if self.mirrored else dx
        return Observation(shown, self.turned.get(cell, 0), self.mirrored, dx, dy)

    def _tile_under(self, x: int, y: int, width: int, height: int) -> Cell | None:
        if (exact := self.at.get((x, y, width, height))) is not None:
            return exact
        best, area = None, 0
        for cell, (left, top, wide, high) in self.rectangles.items():
            over = min(x + width, left + wide) - max(x, left)
            down = min(y + height, top + high) - max(y, top)
            if over > 0 and down > 0 and over * down > area:
                best, area = cell, over * down
        return best

    def is_right(self) -> bool:
        return all(reading == Observation(cell) for cell, reading in self.look().items())

    # Putting right

    def carry_out(self, cause: Cause) -> None:
        """Do as the correction says: its plug moves where the cables are so, else its edit."""
        gone = [move.removed for move in cause.moves if move.removed is not None]
        new = [move.added for move in cause.moves if move.added is not None]
        if cause.moves and all(map(self._has, gone)) and not any(map(self._has, new)):
            for link in gone:
                self._take(link)
            for link in new:
                self._lay(link)
            return
        edit = cause.configuration_edit
        if edit is None:
            raise ValueError(f"{cause.kind}: no correction can be carried out")
        self._set(edit.settings)
        self._edit(edit)

    def _edit(self, edit: ConfigurationEdit) -> None:
        maps = self.entries
        new = {port: list(tiles) for port, tiles in maps.items()}
        new.update({port: list(maps[source]) for port, source in edit.whole.items()})
        new.update({port: [self.rectangles[c] for c in cells] for port, cells in edit.maps.items()})
        for (port, place), (source, from_place) in edit.takes.items():
            new[port][place - 1] = maps[source][from_place - 1]
        for (port, place), cell in edit.sets.items():
            new[port][place - 1] = self.rectangles[cell]
        for (port, place), cell in edit.inserts.items():
            new[port].insert(place - 1, self.rectangles[cell])
        self.entries = new

    def _set(self, settings: object) -> None:
        if not isinstance(settings, dict):
            return
        shift = settings.get("canvas_shift_px", (0, 0))
        self.start_px = (self.start_px[0] + shift[0], self.start_px[1] + shift[1])
        if settings.get("picture_flip") is False:
            self.mirrored = False
        for cell, turn in settings.get("turn_deg", {}).items():
            if (self.turned.pop(cell, 0) + turn) % 360:
                raise ValueError(f"{cell} is turned the wrong way")
        self.broken -= set(settings.get("module_order", ()))
        if "cabinet_px" in settings:
            self._resize(settings["cabinet_px"], settings["cabinet_px_loaded"])

    def _resize(self, wanted: tuple[int, int], loaded: tuple[int, int]) -> None:
        starts = {entry[0] for entries in self.entries.values() for entry in entries}
        far = self.wall.columns * (wanted[0] - loaded[0])
        beyond = max(starts) > (self.wall.columns - 1) * loaded[0]
        from_far_edge = beyond or any(start % loaded[0] for start in starts)
        left = far if from_far_edge else 0
        for port, entries in self.entries.items():
            self.entries[port] = [
                ((x - left) // loaded[0] * wanted[0], y // loaded[1] * wanted[1], *wanted)
                for x, y, _, _ in entries
            ]

    def _has(self, link: Link) -> bool:
        return self._cable(link) is not None

    def _cable(self, link: Link) -> Socket | None:
        for side in ("a", "b"):
            plug = socket(side, link.end)
            other = self.far_end.get(plug)
            if other is None:
                continue
            if link.start is None and other == ("P", link.port, 0):
                return plug
            if link.start is not None and other[0] != "P" and other[1:] == tuple(link.start):
                return plug
        return None

    def _take(self, link: Link) -> None:
        plug = self._cable(link)
        if plug is not None:
            self.unplug(plug)

    def _lay(self, link: Link) -> None:
        into = self._free(link.end)
        start = self._free(link.start) if link.start else ("P", link.port or 0, 0)
        self.plug(start, into)

    def _free(self, cell: Cell) -> Socket:
        return next(s for s in (socket("a", cell), socket("b", cell)) if s not in self.far_end)


def cells_of(way: Iterable[Socket]) -> list[Cell]:
    return [Cell(plug[1], plug[2]) for plug in way]

"""How to put a cause right: plug moves, the configuration edit that does the same, and the cost.

Weights are trade practice without a published source: a plug end at the rack or the floor 1, from
a ladder 4, from a lift 12; a new cable 20; a configuration entry 1, a whole port 2; a wall that no
longer equals the issued drawing 6; re-hanging a cabinet 60, 40 or 20 (top, middle, bottom row).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise
from typing import NamedTuple

from commission_tui.wall.mapping.layout import Edit, Layout, Start, Strand, first_change, places_of
from commission_tui.wall.model.location import Cell
from commission_tui.wall.model.wall_model import Wall

MOVES_AT_ONCE = 4
NEW_CABLE = 20
DRAWING_CHANGES = 6
LADDER_MM, LIFT_MM = 2000, 4500
"""Heights above the wall's lower edge from which a ladder, then a lift, is assumed."""


class Link(NamedTuple):
    """A cable: the home run of a port, or a jumper between two cabinets (either way round)."""

    port: int | None
    start: Cell | None
    end: Cell

    @property
    def ends(self) -> frozenset[Cell]:
        return frozenset({self.end} if self.start is None else {self.start, self.end})

    @property
    def names(self) -> tuple[str, str]:
        return f"P{self.port}" if self.start is None else str(self.start), str(self.end)


@dataclass(frozen=True, slots=True)
class Move:
    """One step at the wall: a cable that goes, a cable that comes, or one end that moves."""

    removed: Link | None
    added: Link | None
    text: str
    cost: int


@dataclass(frozen=True, slots=True)
class ConfigurationEdit:
    """A change of the processor's configuration that a program can carry out."""

    text: str
    cost: int
    takes: Mapping[tuple[int, int], tuple[int, int]] = field(default_factory=dict)
    """Port and place (both from 1), and the port and place whose tile it takes over."""
    maps: Mapping[int, tuple[Cell, ...]] = field(default_factory=dict)
    """Whole new maps: port to tiles in chain order."""
    whole: Mapping[int, int] = field(default_factory=dict)
    """Ports that take over the whole map of another port."""
    inserts: Mapping[tuple[int, int], Cell] = field(default_factory=dict)
    """Tiles that come in at a place, so that those after it move on by one."""
    sets: Mapping[tuple[int, int], Cell] = field(default_factory=dict)
    """Tiles that replace the one at a place."""
    settings: Mapping[str, object] = field(default_factory=dict)
    """Other settings, such as ``canvas_shift_px`` or ``picture_flip``."""


_SHARED: tuple[Callable[[Link], Sequence[object]], ...] = (
    lambda link: () if link.port is None else (link.end,),
    lambda link: () if link.port is None else (link.port,),
    lambda link: sorted(link.ends) if link.port is None else (),
)
"""What a cable that goes and one that comes may share, so that one plug moves: the cabinet of a home
run, whose other plug moves to another port, the port of one, and either end of a jumper."""


def links(cells: Sequence[Cell], strands: Iterable[Strand]) -> set[Link]:
    """Return the cables of some strands; a jumper counts the same in either direction."""
    found: set[Link] = set()
    for strand in strands:
        way = [cells[i] for i in strand.cabled]
        if way:
            found.add(Link(strand.port, None, way[0]))
        found |= {Link(None, *sorted(pair)) for pair in pairwise(way)}
    return found


def moves_between(wall: Wall, out: Iterable[Link], into: Iterable[Link]) -> list[Move]:
    """Return the moves that take some cables out and put others in, plug by plug where one stays."""
    gone, new = sorted(out, key=_key), sorted(into, key=_key)
    moves: list[Move] = []
    for ends_of in _SHARED:
        waiting: dict[object, list[Link]] = {}
        for link in new:
            for end in ends_of(link):
                waiting.setdefault(end, []).append(link)
        taken: set[Link] = set()
        for link in gone:
            fits = (other for end in ends_of(link) for other in waiting.get(end, ()))
            partner = next((other for other in sorted(fits, key=_key) if other not in taken), None)
            if partner is not None:
                taken |= {partner, link}
                moves.append(_move(wall, link, partner))
        gone = [link for link in gone if link not in taken]
        new = [link for link in new if link not in taken]
    while gone or new:
        moves.append(_move(wall, gone.pop(0) if gone else None, new.pop(0) if new else None))
    return _with_room(moves)


def _with_room(moves: Sequence[Move]) -> list[Move]:
    """Say where a plug has to come out first, since another goes there before its own step."""
    steps, free, early = list(moves), Counter[str](), set[tuple[int, str]]()
    for at, move in enumerate(moves):
        out, into = _ends_moved(move)
        for end in sorted(into):
            if free[end]:
                free[end] -= 1
                continue
            for later in range(at + 1, len(moves)):
                cable = moves[later].removed
                if cable and end in _ends_moved(moves[later])[0] and (later, end) not in early:
                    early.add((later, end))
                    (other,) = {*cable.names} - {end}
                    name = f"jumper {other} to {end}" if cable.start else f"home run of {other}"
                    text = f"at {end} first unplug the {name}, to make room; then {steps[at].text}"
                    steps[at] = replace(steps[at], text=text)
                    text = f"where it is not out yet, {moves[later].text}"
                    steps[later] = replace(steps[later], text=text)
                    break
        free.update(end for end in out if (at, end) not in early)
    return steps


def _ends_moved(move: Move) -> tuple[set[str], set[str]]:
    """Return where a plug comes out and where one goes in; an end that stays is in neither."""
    out = set(move.removed.names) if move.removed else set[str]()
    into = set(move.added.names) if move.added else set[str]()
    return out - into, into - out


def _key(link: Link) -> tuple[int, Cell, Cell]:
    return link.port or 0, link.start or link.end, link.end


def cell_name(wall: Wall, cell: Cell) -> str:
    return f"{cell} (from behind: {wall.rear_name(cell)})"


def _move(wall: Wall, gone: Link | None, new: Link | None) -> Move:
    if gone is not None and new is not None:
        return Move(gone, new, *_replug(wall, gone, new))
    if gone is not None:
        text = f"unplug the {_cable(wall, gone)} at both ends and take it away"
        return Move(gone, None, text, _reach(wall, gone.ends))
    if new is None:
        raise ValueError("a move needs a cable that goes or a cable that comes")
    return Move(None, new, f"lay a new {_cable(wall, new)}", NEW_CABLE + _reach(wall, new.ends))


def _replug(wall: Wall, gone: Link, new: Link) -> tuple[str, int]:
    if gone.port is not None and new.port is not None:
        if gone.end == new.end:
            text = f"at the processor unplug the home run of {cell_name(wall, gone.end)} from P{gone.port}"
            return f"{text}, plug it into P{new.port}", 2
        text = f"unplug the home run of P{gone.port} from {cell_name(wall, gone.end)}"
        cost = _reach(wall, (gone.end, new.end))
        return f"{text}, plug it into {cell_name(wall, new.end)}", cost
    if kept := gone.ends & new.ends if gone.port is None and new.port is None else None:
        (out,), (into,) = gone.ends - kept, new.ends - kept
        (stays,) = kept
        text = f"unplug the jumper {stays} to {out} at {cell_name(wall, out)}"
        cost = _reach(wall, (out, into))
        return f"{text}, plug that end into {cell_name(wall, into)}", cost
    text = f"unplug the {_cable(wall, gone)} at both ends, plug in a {_cable(wall, new)}"
    return text, _reach(wall, gone.ends) + _reach(wall, new.ends)


def _cable(wall: Wall, link: Link) -> str:
    if link.start is None:
        return f"home run from P{link.port} to {cell_name(wall, link.end)}"
    return f"jumper from {cell_name(wall, link.start)} to {cell_name(wall, link.end)}"


def _reach(wall: Wall, cells: Iterable[Cell]) -> int:
    return sum(_plug_end(wall, cell) for cell in cells)


def _plug_end(wall: Wall, cell: Cell) -> int:
    cabinet = wall.cabinets[cell]
    height = wall.height_mm - cabinet.y_mm - cabinet.height_mm
    if height < LADDER_MM and wall.file.wall.mounting == "stacked":
        return 1
    return 4 if height < LIFT_MM else 12


def rehang_cost(wall: Wall, cells: Iterable[Cell]) -> int:
    third = max(1, wall.rows) / 3
    return sum(60 if c.row <= third else 40 if c.row <= 2 * third else 20 for c in cells)


def configuration_edit(
    layout: Layout, edit: Edit, before: Mapping[int, Strand], start: Start
) -> ConfigurationEdit | None:
    """Return the configuration's twin of a correction, or None when there is none.

    A twin for a cause in the cabling leaves the cables as they are, so that the drawing changes.
    """
    cost = 1 if edit.kind in _SINGLE else 2
    text = _edit_text(edit, before)
    if edit.kind == "cabinet-skipped" and loses(edit, before):
        return None
    if whole := _whole(edit.strands, before):
        return ConfigurationEdit(text, cost, whole=whole)
    if single := _single_place(layout, edit, before, start):
        return replace(single, text=text, cost=cost)
    cabling = is_cabling(edit, before)
    takes = _takes(edit.strands, before, cabling=cabling)
    if takes is not None:
        return ConfigurationEdit(text, cost, takes=takes)
    maps = {
        before[i].port: tuple(
            layout.cells[strand.cabled[k]] if cabling else _entry(layout, i, k, way, start)
            for k in range(len(strand.cabled if cabling else way))
        )
        for i, strand in edit.strands.items()
        for way in [before[i].mapped]
    }
    return ConfigurationEdit(text, cost, maps=maps)


def _single_place(
    layout: Layout, edit: Edit, before: Mapping[int, Strand], start: Start
) -> ConfigurationEdit | None:
    """Return the edit of one place of one map, when that is all there is to it."""
    (number, after), *others = edit.strands.items()
    old, new = before[number].mapped, after.mapped
    k = first_change(old, new)
    if others or is_cabling(edit, before) or k >= len(old):
        return None
    place = {(after.port, k + 1): _entry(layout, number, k, old, start)}
    if old[k + 1 :] == new[k:]:
        return ConfigurationEdit("", 0, inserts=place)
    return ConfigurationEdit("", 0, sets=place) if old[k + 1 :] == new[k + 1 :] else None


def _entry(layout: Layout, number: int, k: int, mapped: tuple[int, ...], start: Start) -> Cell:
    """Return the cabinet whose entry belongs at a place, also where it shows no tile."""
    if mapped[k] >= 0:
        return layout.cells[start.entry_of[mapped[k]]]
    design = layout.strands[number].mapped
    return layout.cells[design[min(k, len(design) - 1)]]


def loses(edit: Edit, before: Mapping[int, Strand]) -> bool:
    """Say whether another cabinet hangs on no chain than before."""
    return any(strand.unlinked != before[i].unlinked for i, strand in edit.strands.items())


def _whole(after: Mapping[int, Strand], before: Mapping[int, Strand]) -> dict[int, int]:
    """Return which port is on the cables of which other, when ports only changed their cables."""
    if any(strand.mapped != before[i].mapped for i, strand in after.items()):
        return {}
    ports = {strand.cabled: strand.port for strand in before.values()}
    takes = {s.port: ports.get(s.cabled, 0) for s in after.values()}
    exchanged = len(ports) == len(before) > 1 and set(takes) == set(takes.values())
    return takes if exchanged else {}


def is_cabling(edit: Edit, before: Mapping[int, Strand]) -> bool:
    return any(strand.cabled != before[i].cabled for i, strand in edit.strands.items())


def _takes(
    after: Mapping[int, Strand], before: Mapping[int, Strand], *, cabling: bool
) -> dict[tuple[int, int], tuple[int, int]] | None:
    """Return which place takes which place's tile, when nothing is lost or doubled.

    Where the cables changed, a place takes the tile of the place at which its cabinet should
    hang; where the map changed, each tile goes back to the place it came from.
    """
    ways = [
        [strand.cabled if cabling else strand.mapped for strand in strands.values()]
        for strands in (before, after)
    ]
    old, new = (places_of(sides, 1) for sides in ways)
    if {sum(map(len, sides)) for sides in ways} != {len(old)} or old.keys() != new.keys():
        return None  # something is doubled, or shows no tile
    if set(old.values()) != set(new.values()):
        return None
    ports = [strand.port for strand in before.values()]
    pairs = ((new[i], old[i]) if cabling else (old[i], new[i]) for i in old)
    return {(ports[a], k): (ports[b], n) for (a, k), (b, n) in pairs if (a, k) != (b, n)}


_SINGLE = frozenset({
    "cabinet-missing-in-configuration", "neighbours-crossed", "raster-serpentine",
    "entries-exchanged", "columns-first", "rear-view-plan", "bottom-up-plan", "canvas-offset",
})  # fmt: skip
"""Causes that one entry or one setting of the configuration puts right."""
_TEXTS = {
    "ports-swapped": "exchange the assignments of {where}",
    "outputs-swapped": "exchange the output regions of {where}",
    "chain-reversed": "reverse the chain direction of {where}",
    "row-reversed": "redraw {where} the other way",
    "raster-serpentine": "turn every second line of the routing pattern round ({where})",
    "columns-first": "change the routing pattern to run along the other axis ({where})",
    "rear-view-plan": "mirror the layout, not the picture: positions left to right ({where})",
    "bottom-up-plan": "turn the layout upside down: positions top to bottom ({where})",
    "canvas-offset": "set the start of the canvas back ({where})",
    "port-boundary-slipped": "change the cabinet counts of {where} and check the load of both",
    "neighbours-crossed": "exchange the entries of {where} (the as-built drawing changes)",
    "cabinet-missing-in-configuration": "insert the entry for {where} at place {place} of P{port}",
    "entries-exchanged": "exchange the entries of {where}; where their chain numbers are not as "
    "drawn, exchange their plugs instead",
    "segment-reversed": "turn the entries of {where} round",
    "heads-joined": "exchange the entries where {where} show each other's tiles",
    "tails-exchanged": "exchange the entries at the ends of {where}",
    "entries-differ": "set the entries of {where} as designed",
    "duplicate-assignment": "give place {place} of P{port} ({where}) its own tile back",
    "cabinet-skipped": "redraw P{port} so that {where} comes last",
}


def _edit_text(edit: Edit, before: Mapping[int, Strand]) -> str:
    number, after = next(iter(edit.strands.items()))
    place = first_change(before[number].mapped, after.mapped) + 1
    if edit.kind == "duplicate-assignment" and edit.where == f"P{after.port}":
        return f"load P{after.port} with its own map"
    return _TEXTS[edit.kind].format(where=edit.where, port=after.port, place=place)

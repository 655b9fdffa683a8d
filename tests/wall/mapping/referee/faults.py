"""Faults as hands commit them, each with the name and place a technician would give it."""

from __future__ import annotations

import random
from collections.abc import Callable
from itertools import groupby, pairwise

from commission_tui.wall.model.location import Cell
from tests.wall.mapping.referee.site import Site, across, cells_of

Label = tuple[str, str]
Fault = Callable[[Site, random.Random], Label | None]
"""Commits itself and says what it is, or returns None where this wall cannot have it."""


def _port(site: Site, rng: random.Random) -> int:
    return rng.choice(list(site.entries))


def _lines(site: Site, port: int) -> list[list[int]]:
    """Return the places of a chain line by line, along the axis on which it mostly runs."""
    cells = cells_of(site.trace(port))
    across_steps = sum(a.row == b.row for a, b in pairwise(cells))
    down_steps = sum(a.column == b.column for a, b in pairwise(cells))
    axis = 0 if across_steps >= down_steps else 1
    places = range(len(cells))
    return [list(group) for _, group in groupby(places, key=lambda k: cells[k][axis])]


def ports_swapped(site: Site, rng: random.Random) -> Label | None:
    if len(site.entries) < 2:
        return None
    a, b = sorted(rng.sample(list(site.entries), 2))
    if rng.random() < 0.3:
        site.entries[a], site.entries[b] = site.entries[b], site.entries[a]
    else:
        first, second = site.unplug(("P", a, 0)), site.unplug(("P", b, 0))
        if first is None or second is None:
            return None
        site.plug(("P", a, 0), second)
        site.plug(("P", b, 0), first)
    return "ports-swapped", f"P{a} and P{b}"


def outputs_swapped(site: Site, rng: random.Random) -> Label | None:
    ports = sorted(site.entries)
    half = len(ports) // 2
    if half < 2:
        return None
    for a, b in zip(ports[:half], ports[half : 2 * half], strict=True):
        first, second = site.unplug(("P", a, 0)), site.unplug(("P", b, 0))
        if first is None or second is None:
            return None
        site.plug(("P", a, 0), second)
        site.plug(("P", b, 0), first)
    return (
        "outputs-swapped",
        f"P{ports[0]} to P{ports[half - 1]} and P{ports[half]} to P{ports[2 * half - 1]}",
    )


def chain_reversed(site: Site, rng: random.Random) -> Label | None:
    port = _port(site, rng)
    way = site.trace(port)
    if len(way) < 2:
        return None
    if rng.random() < 0.3:
        site.entries[port].reverse()
    else:
        site.unplug(("P", port, 0))
        site.plug(("P", port, 0), across(way[-1]))
    return "chain-reversed", f"P{port}"


def row_reversed(site: Site, rng: random.Random) -> Label | None:
    port = _port(site, rng)
    way, lines = site.trace(port), _lines(site, port)
    long_lines = [line for line in lines if len(line) > 1]
    if len(lines) < 2 or not long_lines:
        return None
    line = rng.choice(long_lines)
    first, last = line[0], line[-1]
    where = _line_name(site, port, cells_of(way)[first], lines)
    if rng.random() < 0.3:
        entries = site.entries[port]
        entries[first : last + 1] = entries[first : last + 1][::-1]
        return "row-reversed", where
    before = site.unplug(way[first])
    after = site.unplug(across(way[last]))
    if before is not None:
        site.plug(before, across(way[last]))
    if after is not None:
        site.plug(way[first], after)
    return "row-reversed", where


def _line_name(site: Site, port: int, cell: Cell, lines: list[list[int]]) -> str:
    cells = cells_of(site.trace(port))
    by_row = all(len({cells[k].row for k in line}) == 1 for line in lines)
    return f"P{port} row {cell.row}" if by_row else f"P{port} column {cell.column}"


def _deal(site: Site, port: int, order: list[int]) -> bool:
    """Deal a port's entries out in another order of places; say whether that changed anything."""
    entries = site.entries[port]
    site.entries[port] = [entries[k] for k in order]
    return site.entries[port] != entries


def _whole(site: Site) -> bool:
    """Say whether each port's map still has a place for each cabinet of its chain."""
    return all(len(site.entries[c.port]) == len(c.cells) for c in site.wall.chains)


def raster_serpentine(site: Site, rng: random.Random) -> Label | None:
    if not _whole(site):
        return None
    ports = list(site.entries) if rng.random() < 0.6 else [_port(site, rng)]
    changed = []
    for port in ports:
        lines = _lines(Site(site.wall), port)
        order = [k for i, line in enumerate(lines) for k in (line[::-1] if i % 2 else line)]
        if _deal(site, port, order):
            changed.append(port)
    return _patterned("raster-serpentine", site, changed)


def _patterned(kind: str, site: Site, changed: list[int]) -> Label | None:
    if not changed:
        return None
    return kind, f"P{changed[0]}" if len(changed) == 1 < len(site.entries) else "wall"


def columns_first(site: Site, rng: random.Random) -> Label | None:
    if not _whole(site):
        return None
    ports = list(site.entries) if rng.random() < 0.6 else [_port(site, rng)]
    turning = rng.random() < 0.5
    changed = []
    for port in ports:
        cells = [c for chain in site.wall.chains if chain.port == port for c in chain.cells]
        lines = _lines(Site(site.wall), port)
        axis = 1 if len({cells[k].row for k in lines[0]}) == 1 else 0
        first = cells[0]
        middle = [sum(c[i] for c in cells) / len(cells) for i in (0, 1)]
        ahead = [1 if first[i] <= middle[i] else -1 for i in (0, 1)]
        keys = sorted({c[axis] for c in cells}, key=lambda key: key * ahead[axis])
        order: list[int] = []
        for i, key in enumerate(keys):
            line = [k for k in range(len(cells)) if cells[k][axis] == key]
            line.sort(key=lambda k: cells[k][1 - axis] * ahead[1 - axis])
            order += line[::-1] if turning and i % 2 else line
        if _deal(site, port, order):
            changed.append(port)
    return _patterned("columns-first", site, changed)


def rear_view_plan(site: Site, rng: random.Random) -> Label | None:
    width = site.wall.width_px
    for port, entries in site.entries.items():
        site.entries[port] = [(width - x - w, y, w, h) for x, y, w, h in entries]
    return "rear-view-plan", "wall"


def bottom_up_plan(site: Site, rng: random.Random) -> Label | None:
    height = site.wall.height_px
    for port, entries in site.entries.items():
        site.entries[port] = [(x, height - y - h, w, h) for x, y, w, h in entries]
    return "bottom-up-plan", "wall"


def cabinet_skipped(site: Site, rng: random.Random) -> Label | None:
    way = site.trace(_port(site, rng))
    if len(way) < 2:
        return None
    plug = rng.choice(way)
    before, after = site.unplug(plug), site.unplug(across(plug))
    if before is not None and after is not None:
        site.plug(before, after)
    return "cabinet-skipped", str(Cell(plug[1], plug[2]))


def cabinet_missing(site: Site, rng: random.Random) -> Label | None:
    port = _port(site, rng)
    gone = site.entries[port].pop(rng.randrange(len(site.entries[port])))
    named = next((str(c) for c, r in site.rectangles.items() if r == gone), "?")
    return "cabinet-missing-in-configuration", named


def duplicate_entry(site: Site, rng: random.Random) -> Label | None:
    port = _port(site, rng)
    entries, way = site.entries[port], cells_of(site.trace(port))
    if len(entries) < 2 or not way:
        return None
    k = rng.randrange(1, min(len(entries), len(way))) if len(way) > 1 else 0
    entries[k] = entries[k - 1]
    return "duplicate-assignment", str(way[k])


def duplicate_map(site: Site, rng: random.Random) -> Label | None:
    if len(site.entries) < 2:
        return None
    port, source = rng.sample(list(site.entries), 2)
    site.entries[port] = list(site.entries[source])
    return "duplicate-assignment", f"P{port}"


def boundary_slipped(site: Site, rng: random.Random) -> Label | None:
    ports = sorted(site.entries)
    if len(ports) < 2:
        return None
    a = rng.randrange(len(ports) - 1)
    one, two = ports[a], ports[a + 1]
    first, second = site.trace(one), site.trace(two)
    if len(first) < 2 or len(second) < 2:
        return None
    if rng.random() < 0.5:
        site.replug_way(one, [*first, second[0]])
        site.replug_way(two, second[1:])
    else:
        site.replug_way(one, first[:-1])
        site.replug_way(two, [first[-1], *second])
    return "port-boundary-slipped", f"P{one} and P{two}"


def neighbours_crossed(site: Site, rng: random.Random) -> Label | None:
    port = _port(site, rng)
    way = site.trace(port)
    if len(way) < 3:
        return None
    k = rng.randrange(len(way) - 1)
    site.replug_way(port, [*way[:k], way[k + 1], way[k], *way[k + 2 :]])
    return "neighbours-crossed", " and ".join(map(str, sorted(cells_of(way[k : k + 2]))))


def cabinet_rotated(site: Site, rng: random.Random) -> Label | None:
    cell = rng.choice(list(site.wall.cabinets))
    site.turned[cell] = 180
    return "cabinet-rotated", str(cell)


def canvas_offset(site: Site, rng: random.Random) -> Label | None:
    small = min(rectangle[2] for rectangle in site.rectangles.values()) // 3
    site.start_px = (rng.randrange(-small, small), rng.randrange(-small, small))
    return ("canvas-offset", "wall") if site.start_px != (0, 0) else None


def wrong_size(site: Site, rng: random.Random) -> Label | None:
    sizes = {rectangle[2:] for rectangle in site.rectangles.values()}
    if len(sizes) != 1 or site.wall.columns < 3:
        return None
    ((wide, high),) = sizes
    loaded = rng.choice([wide * 7 // 8, wide * 5 // 6]), high
    for port, entries in site.entries.items():
        site.entries[port] = [(x // wide * loaded[0], y, *loaded) for x, y, _, _ in entries]
    return "wrong-cabinet-size", "wall"


def picture_mirrored(site: Site, rng: random.Random) -> Label | None:
    site.mirrored = True
    return "picture-mirrored", "wall"


def module_order(site: Site, rng: random.Random) -> Label | None:
    names = sorted({c.type_name for c in site.wall.cabinets.values()})
    if rng.random() < 0.5 and not site.one_broken_only:
        name = rng.choice(names)
        alike = {c for c, cabinet in site.wall.cabinets.items() if cabinet.type_name == name}
        site.broken |= alike
        return "module-order", name if len(alike) > 1 else str(next(iter(alike)))
    cell = rng.choice(list(site.wall.cabinets))
    site.broken.add(cell)
    return "module-order", str(cell)


FAULTS: tuple[Fault, ...] = (
    ports_swapped, outputs_swapped, chain_reversed, row_reversed, raster_serpentine,
    columns_first, rear_view_plan, bottom_up_plan, cabinet_skipped, cabinet_missing,
    duplicate_entry, duplicate_map, boundary_slipped, neighbours_crossed, cabinet_rotated,
    canvas_offset, wrong_size, picture_mirrored, module_order,
)  # fmt: skip

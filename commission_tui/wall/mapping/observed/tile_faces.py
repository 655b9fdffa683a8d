"""What the faces of the cabinets tell before any number is compared: glyphs, arrows, offsets.

Mirrored glyphs, turned arrows, broken numbers and split numbers are taken out first, so that what
is left is only which number hangs where.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from commission_tui.text import listed
from commission_tui.wall.mapping.configuration.plan_causes import (
    flip_rect,
    mirror_rect,
    remapping,
    turned_rect,
)
from commission_tui.wall.mapping.layout import DARK, SPLIT, UNKNOWN, Layout, Rect, Start
from commission_tui.wall.mapping.moves import ConfigurationEdit, rehang_cost
from commission_tui.wall.mapping.observed.observation import Observation, Observations
from commission_tui.wall.mapping.observed.offsets import Offset, find_offsets
from commission_tui.wall.model.location import Cell

NEARLY_ALL = 0.9
_FEW = 3


@dataclass(frozen=True, slots=True)
class SurfaceCause:
    """A cause that shows on the faces; it moves no plug."""

    kind: str
    where: str
    says: str
    handling: tuple[str, ...]
    """What to do by hand, such as turning a cabinet."""
    configuration: ConfigurationEdit | None
    cost: int
    cells: tuple[Cell, ...]


@dataclass(slots=True)
class Surface:
    """What is left for the numbers once the faces are explained."""

    seen: list[int]
    starts: list[Start]
    causes: list[SurfaceCause] = field(default_factory=list)
    unexplained: set[Cell] = field(default_factory=set)


def read_surfaces(layout: Layout, observations: Observations) -> list[Surface]:
    """Explain glyphs, arrows and offsets; return the numbers that remain.

    On cabinets of mixed sizes a plan turned round splits numbers too, so that both an offset and
    none are tried.
    """
    surface = _read(layout, observations, split=True)
    split = any(r.dx_px or r.dy_px for r in observations.values())
    mixed = len({rect[2:] for rect in layout.rects}) > 1
    return [surface, _read(layout, observations, split=False)] if split and mixed else [surface]


def _read(layout: Layout, observations: Observations, *, split: bool) -> Surface:
    seen = [_code(layout, observations.get(cell)) for cell in layout.cells]
    surface = Surface(seen, [Start(layout.strands, range(len(seen)))])
    # Of cabinets in no chain nothing can be said but that they show what they should not.
    surface.unexplained |= {layout.cells[i] for i in layout.loose if seen[i] not in (i, UNKNOWN)}
    lit = {
        cell: reading
        for cell in layout.cells
        if (reading := observations.get(cell)) is not None
        and reading.seen is not None
        and reading.seen != "dark"
    }
    if split:
        for offset in find_offsets(layout, lit, surface.seen, surface.unexplained):
            surface.causes += _offset_causes(offset)
    else:
        for cell, reading in lit.items():
            if reading.dx_px or reading.dy_px:
                seen[layout.index[cell]] = SPLIT
    turned = _mirrored(layout, surface, lit)
    if not turned:
        _rotated(layout, surface, lit)
    _garbled(layout, surface, lit)
    return surface


def _code(layout: Layout, reading: Observation | None) -> int:
    if reading is None or reading.seen is None or reading.seen == "garbled":
        return UNKNOWN
    return DARK if reading.seen == "dark" else layout.index[reading.seen]


def _mirrored(layout: Layout, surface: Surface, lit: Mapping[Cell, Observation]) -> bool:
    """Take a mirrored picture out; return True when arrows pointing down belong to it."""
    mirrored = [cell for cell, reading in lit.items() if reading.mirrored]
    if not mirrored:
        return False
    if len(mirrored) < NEARLY_ALL * len(lit):
        surface.unexplained.update(mirrored)
        return False
    surface.unexplained.update(cell for cell in lit if not lit[cell].mirrored)
    down = [cell for cell in mirrored if lit[cell].angle_deg == 180]
    upside = len(down) >= NEARLY_ALL * len(mirrored)
    move = flip_rect(layout) if upside else mirror_rect(layout)
    # Cards that mirror each piece in its place leave the numbers where the design has them.
    surface.starts.insert(0, _turned_start(layout, move))
    way = "top to bottom" if upside else "left to right"
    edit = ConfigurationEdit(
        f"clear the picture's {way} mirroring, in the picture or else in the cards, and check "
        "that the picture is at 1:1",
        1,
        settings={"picture_flip": False},
    )
    says = f"the picture is mirrored {way}"
    surface.causes.append(_edited("picture-mirrored", "wall", says, edit, mirrored))
    return upside


def _edited(
    kind: str, where: str, says: str, edit: ConfigurationEdit, cells: Sequence[Cell]
) -> SurfaceCause:
    """Return a cause that the configuration alone puts right."""
    return SurfaceCause(kind, where, says, (), edit, edit.cost, tuple(cells))


def _turned_start(layout: Layout, move: Callable[[Rect], Rect]) -> Start:
    """Return the design under a turned picture; each turn undoes itself."""
    return Start(tuple(remapping(layout, move)(layout.strands)), layout.tile_map(move))


def _rotated(layout: Layout, surface: Surface, lit: Mapping[Cell, Observation]) -> None:
    angles = {cell: r.angle_deg for cell, r in lit.items() if r.angle_deg}
    for where, cells in _groups(layout, lit, angles, least=2):
        if where == "wall" and {angles[cell] for cell in cells} == {180}:
            surface.starts.append(_turned_start(layout, turned_rect(layout)))
        surface.causes.append(_turn(layout, where, cells, angles[cells[0]]))


def _turn(layout: Layout, where: str, cells: Sequence[Cell], angle_deg: int) -> SurfaceCause:
    wall = layout.wall
    names = listed([f"{c} (from behind: {wall.rear_name(c)})" for c in cells], 4)
    edit = ConfigurationEdit(
        f"turn the cards of {where} by {angle_deg} degrees where the processor can, "
        "with their correction data",
        len(cells),
        settings={"turn_deg": dict.fromkeys(cells, (360 - angle_deg) % 360)},
    )
    says = f"{where} hangs turned by {angle_deg} degrees"
    look: tuple[str, ...] = ()
    if where == "wall":
        says = (
            f"the whole picture is turned by {angle_deg} degrees: the camera was held so, or the "
            "processor's output is turned, or all of the wall hangs so"
        )
        look = (
            "look whether the arrows on the wall itself point up: if they do, turn the photograph upright "
            "and read it again; nothing on the wall is wrong",
            "if they do not, clear the turn of the processor's output first",
        )
    only = "only if that is not it, " if look else ""
    hang = f"{only}have {names} re-hung by competent riggers; look at locks, air and data sides"
    return SurfaceCause(
        "cabinet-rotated",
        where,
        says,
        (*look, hang),
        edit,
        min(rehang_cost(wall, cells), edit.cost + 6),
        tuple(cells),
    )


def _garbled(layout: Layout, surface: Surface, lit: Mapping[Cell, Observation]) -> None:
    bad = {cell: 0 for cell, reading in lit.items() if reading.seen == "garbled"}
    split = any(cause.kind in {"canvas-offset", "wrong-cabinet-size"} for cause in surface.causes)
    if split and len(bad) > _FEW:
        return  # numbers split by the offset, which someone called garbled
    for name in dict.fromkeys(layout.wall.cabinets[cell].type_name for cell in bad):
        alike = [cell for cell in lit if layout.wall.cabinets[cell].type_name == name]
        broken = [cell for cell in alike if cell in bad]
        if len(broken) >= 2 and 2 * len(broken) >= len(alike):
            surface.causes.append(_modules(name, f"every cabinet of type {name}", broken))
            for cell in broken:
                del bad[cell]
    for cell in bad:
        surface.causes.append(_modules(str(cell), f"cabinet {cell}", [cell]))


def _modules(where: str, whole: str, cells: Sequence[Cell]) -> SurfaceCause:
    says = f"modules of {whole} are exchanged, turned or scanned wrongly"
    text = f"load the programme of its type into the card of {where}"
    if len(cells) > 1:
        text = f"correct the module order in the programme of {where} once"
    edit = ConfigurationEdit(text, 1, settings={"module_order": tuple(cells)})
    cause = _edited("module-order", where, says, edit, cells)
    if len(cells) > 1:
        return cause
    look = f"in {where} put each flat cable on its own hub output and each module upright"
    return replace(cause, handling=(look,), cost=4)


def _groups(
    layout: Layout, lit: Mapping[Cell, Observation], bad: Mapping[Cell, int], least: int
) -> Iterable[tuple[str, list[Cell]]]:
    """Gather bad cabinets: the whole wall, else whole chains, else whole rows, else one by one."""
    left = dict(bad)
    whole: list[tuple[str, Sequence[Cell]]] = [("wall", layout.cells)]
    whole += [(f"P{c.port}", c.cells) for c in layout.wall.chains]
    for row in range(1, layout.wall.rows + 1):
        whole.append((f"row {row}", [cell for cell in layout.cells if cell.row == row]))
    for where, members in whole if len(bad) >= least else ():
        looked = [cell for cell in members if cell in lit]
        hit = [cell for cell in looked if cell in left]
        (angle, count), *_ = Counter(left[cell] for cell in hit).most_common(1) or [(0, 0)]
        if len(hit) >= least and count >= NEARLY_ALL * len(looked):
            cells = [cell for cell in hit if left[cell] == angle]
            for cell in cells:
                del left[cell]
            yield where, cells
    for cell in left:
        yield str(cell), [cell]


def _offset_causes(offset: Offset) -> Iterable[SurfaceCause]:
    found, wanted, (across, down) = offset.loaded_px, offset.wanted_px, offset.start_px
    if found != wanted:
        edit = ConfigurationEdit(
            f"load the right cabinet type for {offset.where}: {wanted[0]} x {wanted[1]} px in place "
            f"of {found[0]} x {found[1]} px",
            2,
            settings={"cabinet_px": wanted, "cabinet_px_loaded": found},
        )
        says = (
            f"cabinets are loaded as {found[0]} x {found[1]} px (if the numbers are also larger or "
            "smaller than usual, the picture is scaled instead)"
        )
        yield _edited("wrong-cabinet-size", offset.where, says, edit, offset.cells)
    if (across, down) != (0, 0):
        edit = ConfigurationEdit(
            f"move the start of the canvas by {-across:+d} px across and {-down:+d} px down",
            1,
            settings={"canvas_shift_px": (-across, -down)},
        )
        says = f"the canvas starts {across:+d} px across, {down:+d} px down from its place"
        yield _edited("canvas-offset", offset.where, says, edit, offset.cells)

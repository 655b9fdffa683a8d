"""What the faces of the cabinets tell before any number is compared: glyphs, arrows, offsets.

Mirrored glyphs, turned arrows, broken numbers and split numbers are taken out first, so that what
is left is only which number hangs where.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from commission_tui.wall.location import Cell
from commission_tui.wall.mapping.corrections import ConfigurationEdit, rehang_cost
from commission_tui.wall.mapping.layout import ANY, DARK, UNKNOWN, Layout, Strand
from commission_tui.wall.mapping.observation import Observations, Reading
from commission_tui.wall.mapping.plans import flip_box, mirror_box, remap, turned_box

NEARLY_ALL = 0.9
_TOLERANCE_PX = 2.0


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
    strands: tuple[Strand, ...]
    causes: list[SurfaceCause] = field(default_factory=list)
    unexplained: set[Cell] = field(default_factory=set)


def read_surface(layout: Layout, observations: Observations) -> Surface:
    """Explain glyphs, arrows and offsets; return the numbers that remain."""
    seen = [_code(layout, observations.get(cell)) for cell in layout.cells]
    surface = Surface(seen, layout.strands)
    lit = {
        cell: reading
        for cell in layout.cells
        if (reading := observations.get(cell)) is not None
        and reading.seen is not None
        and reading.seen != "dark"
    }
    _offsets(layout, surface, lit)
    turned = _mirrored(layout, surface, lit)
    if not turned:
        _rotated(layout, surface, lit)
    _garbled(layout, surface, lit)
    return surface


def _code(layout: Layout, reading: Reading | None) -> int:
    if reading is None or reading.seen is None or reading.seen == "garbled":
        return UNKNOWN
    return DARK if reading.seen == "dark" else layout.index[reading.seen]


def _mirrored(layout: Layout, surface: Surface, lit: Mapping[Cell, Reading]) -> bool:
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
    move = flip_box(layout) if upside else mirror_box(layout)
    _start_from_best(surface, [layout.strands, tuple(remap(layout, move)(layout.strands))])
    way = "top to bottom" if upside else "left to right"
    edit = ConfigurationEdit(
        f"clear the picture's {way} mirroring, and check that the picture is at 1:1",
        1,
        settings={"picture_flip": False},
    )
    surface.causes.append(
        SurfaceCause(
            "picture-mirrored", "wall", f"the picture is mirrored {way}", (), edit, 1, tuple(mirrored)
        )
    )
    return upside


def _start_from_best(surface: Surface, starts: Sequence[tuple[Strand, ...]]) -> None:
    surface.strands = min(
        reversed(starts), key=lambda strands: sum(len(s.wrong(surface.seen)) for s in strands)
    )


def _rotated(layout: Layout, surface: Surface, lit: Mapping[Cell, Reading]) -> None:
    angles = {cell: r.angle_deg for cell, r in lit.items() if r.angle_deg}
    for where, cells in _groups(layout, lit, angles, least=2):
        if where == "wall" and {angles[cell] for cell in cells} == {180}:
            turned = tuple(remap(layout, turned_box(layout))(layout.strands))
            _start_from_best(surface, [turned, surface.strands])
        surface.causes.append(_turn(layout, where, cells, angles[cells[0]]))


def _turn(layout: Layout, where: str, cells: Sequence[Cell], angle_deg: int) -> SurfaceCause:
    wall = layout.wall
    names = ", ".join(f"{c} (from behind: {wall.rear_name(c)})" for c in cells[:4])
    more = f" and {len(cells) - 4} more" if len(cells) > 4 else ""
    edit = ConfigurationEdit(
        f"turn the cards of {where} by {angle_deg} degrees where the processor can, "
        "with their correction data",
        len(cells),
        settings={"turn_deg": dict.fromkeys(cells, (360 - angle_deg) % 360)},
    )
    return SurfaceCause(
        "cabinet-rotated",
        where,
        f"{where} hangs turned by {angle_deg} degrees",
        (f"have {names}{more} re-hung by competent riggers; look at locks, air and data sides",),
        edit,
        min(rehang_cost(wall, cells), edit.cost + 6),
        tuple(cells),
    )


def _garbled(layout: Layout, surface: Surface, lit: Mapping[Cell, Reading]) -> None:
    bad = {cell: 0 for cell, reading in lit.items() if reading.seen == "garbled"}
    if any(cause.kind in {"canvas-offset", "wrong-cabinet-size"} for cause in surface.causes):
        return
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
    if len(cells) > 1:
        edit = ConfigurationEdit(
            f"correct the module order in the programme of {where} once",
            1,
            settings={"module_order": tuple(cells)},
        )
        return SurfaceCause("module-order", where, says, (), edit, 1, tuple(cells))
    handling = (f"in {where} put each flat cable on its own hub output and each module upright",)
    settings = {"module_order": tuple(cells)}
    edit = ConfigurationEdit(f"load the programme of its type into the card of {where}", 1, settings=settings)
    return SurfaceCause("module-order", where, says, handling, edit, 4, tuple(cells))


def _groups(
    layout: Layout, lit: Mapping[Cell, Reading], bad: Mapping[Cell, int], least: int
) -> Iterable[tuple[str, list[Cell]]]:
    """Gather bad cabinets: the whole wall, else whole chains, else whole rows, else one by one."""
    left = dict(bad)
    whole: list[tuple[str, list[Cell]]] = [("wall", list(layout.cells))]
    whole += [(f"P{c.port}", list(c.cells)) for c in layout.wall.chains]
    for row in range(1, layout.wall.rows + 1) if len(bad) >= least else ():
        whole.append((f"row {row}", [cell for cell in layout.cells if cell.row == row]))
    for where, members in whole if len(bad) >= least else ():
        looked = [cell for cell in members if cell in lit]
        hit = [cell for cell in looked if cell in left]
        common = Counter(left[cell] for cell in hit).most_common(1)
        if len(hit) >= least and common and common[0][1] >= NEARLY_ALL * len(looked):
            cells = [cell for cell in hit if left[cell] == common[0][0]]
            for cell in cells:
                del left[cell]
            yield where, cells
    for cell in left:
        yield str(cell), [cell]


@dataclass(frozen=True, slots=True)
class _Fit:
    """Displacement of the canvas along one axis: `start` plus `slope` times the place in px."""

    start: float
    slope: float

    def at(self, place: float) -> float:
        return self.start + self.slope * place


def _offsets(layout: Layout, surface: Surface, lit: Mapping[Cell, Reading]) -> None:
    """Fit the split numbers by a straight line, a constant being an offset canvas."""
    split = {c for c, r in lit.items() if r.dx_px or r.dy_px}
    if not split:
        return
    numbered = {c: r for c, r in lit.items() if isinstance(r.seen, Cell)}
    whole = _fits(layout, numbered)
    if whole is not None:
        _explain(layout, surface, numbered, "wall", whole)
        return
    for chain in layout.wall.chains:
        members = {c: numbered[c] for c in chain.cells if c in numbered}
        if split & members.keys():
            fits = _fits(layout, members)
            if fits is not None:
                _explain(layout, surface, members, f"P{chain.port}", fits)
            else:
                surface.unexplained |= split & members.keys()


def _moved(layout: Layout, cell: Cell, reading: Reading) -> tuple[float, float]:
    """Return how far the piece of canvas in a cabinet lies from the piece it should show."""
    own = layout.boxes[layout.index[cell]]
    shown = layout.boxes[layout.index[_tile(reading)]]
    return shown[0] - reading.dx_px - own[0], shown[1] - reading.dy_px - own[1]


def _tile(reading: Reading) -> Cell:
    if not isinstance(reading.seen, Cell):
        raise TypeError("a reading without a number has no place on the canvas")
    return reading.seen


def _fits(layout: Layout, readings: Mapping[Cell, Reading]) -> tuple[_Fit, _Fit] | None:
    points = {c: _moved(layout, c, r) for c, r in readings.items()}
    fits = []
    for axis in (0, 1):
        pairs = [(layout.boxes[layout.index[c]][axis], points[c][axis]) for c in points]
        fits.append(_line(pairs))
    good = sum(
        all(
            abs(points[c][axis] - fits[axis].at(layout.boxes[layout.index[c]][axis]))
            <= _TOLERANCE_PX
            for axis in (0, 1)
        )
        for c in points
    )
    return (fits[0], fits[1]) if good >= max(2, 0.6 * len(points)) else None


def _line(pairs: Sequence[tuple[float, float]]) -> _Fit:
    """Return the line through most of the points: slope, then start, by the commonest value."""
    by_place: dict[float, Counter[float]] = {}
    for place, moved in pairs:
        by_place.setdefault(place, Counter())[moved] += 1
    typical = sorted((place, tally.most_common(1)[0][0]) for place, tally in by_place.items())
    slopes = Counter(
        round((b[1] - a[1]) / (b[0] - a[0]), 6) for a, b in pairwise(typical)
    )
    slope = slopes.most_common(1)[0][0] if slopes else 0.0
    starts = Counter(round(moved - slope * place, 1) for place, moved in pairs)
    return _Fit(starts.most_common(1)[0][0], slope)


def _explain(
    layout: Layout,
    surface: Surface,
    readings: Mapping[Cell, Reading],
    where: str,
    fits: tuple[_Fit, _Fit],
) -> None:
    places = {(box[0], box[1]): i for i, box in enumerate(layout.boxes)}
    for cell, reading in readings.items():
        i = layout.index[cell]
        own = layout.boxes[i]
        moved = _moved(layout, cell, reading)
        x, y = (own[a] + moved[a] - fits[a].at(own[a]) for a in (0, 1))
        tile = _nearest(places, layout, i, x, y)
        surface.seen[i] = tile
        if tile == ANY:
            surface.seen[i] = UNKNOWN
            surface.unexplained.add(cell)
    surface.causes.append(_offset_cause(layout, where, fits, tuple(readings)))


def _nearest(
    places: Mapping[tuple[int, int], int], layout: Layout, own: int, x: float, y: float
) -> int:
    box = layout.boxes[own]
    if abs(x - box[0]) <= _TOLERANCE_PX and abs(y - box[1]) <= _TOLERANCE_PX:
        return own
    near = range(-int(_TOLERANCE_PX), int(_TOLERANCE_PX) + 1)
    hits = (places.get((round(x) + a, round(y) + b)) for a in near for b in near)
    return next((hit for hit in hits if hit is not None), ANY)


def _offset_cause(
    layout: Layout, where: str, fits: tuple[_Fit, _Fit], cells: tuple[Cell, ...]
) -> SurfaceCause:
    kind = layout.wall.cabinets[cells[0]].kind
    if not fits[0].slope and not fits[1].slope:
        shift = (-round(fits[0].start), -round(fits[1].start))
        edit = ConfigurationEdit(
            f"move the start of the canvas by {shift[0]:+d} px across and {shift[1]:+d} px down",
            1,
            settings={"canvas_shift_px": shift},
        )
        says = f"the canvas starts {-shift[0]:+d} px across, {-shift[1]:+d} px down from its place"
        return SurfaceCause("canvas-offset", where, says, (), edit, 1, cells)
    found = (
        round(kind.width_px * (1 + fits[0].slope)),
        round(kind.height_px * (1 + fits[1].slope)),
    )
    wanted = (kind.width_px, kind.height_px)
    edit = ConfigurationEdit(
        f"load the right cabinet type for {where}: {wanted[0]} x {wanted[1]} px in place of "
        f"{found[0]} x {found[1]} px",
        2,
        settings={"cabinet_px": wanted, "cabinet_px_loaded": found},
    )
    says = (
        f"cabinets are loaded as {found[0]} x {found[1]} px (if the numbers are also larger or "
        "smaller than usual, the picture is scaled instead)"
    )
    return SurfaceCause("wrong-cabinet-size", where, says, (), edit, 2, cells)

"""Causes that lie in the whole plan: wrong view, wrong routing pattern, exchanged halves."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from functools import partial
from typing import NamedTuple

from commission_tui.wall.mapping.layout import DARK, SPLIT, UNKNOWN, Edit, Layout, Rect, Strand

Way = tuple[int, ...]
Change = Callable[[Sequence[Strand]], list[Strand]]
"""What a cause does to the strands of a wall, whatever they are."""


class PlanChange(NamedTuple):
    """A change of the whole configuration."""

    kind: str
    where: str
    says: str
    apply: Change

    def edit(self, strands: Sequence[Strand]) -> Edit:
        pairs = enumerate(zip(self.apply(strands), strands, strict=True))
        changed = {i: new for i, (new, old) in pairs if new != old}
        return Edit(self.kind, self.where, self.says, changed, again=self.apply)


def whole_plans(layout: Layout, seen: Sequence[int]) -> list[PlanChange]:
    """Return every single cause that may lie in the plan of the whole wall."""
    return [
        *(
            PlanChange(kind, "wall", f"{says} on every port", _repattern(layout, deal))
            for kind, says, _, deal in PATTERNS
        ),
        *(
            PlanChange(kind, "wall", f"the plan was drawn {how}", remapping(layout, move))
            for kind, how, move in (
                ("rear-view-plan", "from behind", mirror_rect(layout)),
                ("bottom-up-plan", "bottom up", flip_rect(layout)),
            )
        ),
        *_halves(layout),
        *_shift(layout, seen),
    ]


def _repattern(layout: Layout, deal: Callable[[Layout, int], Way]) -> Change:
    orders = [deal(layout, number) for number in range(len(layout.strands))]
    return lambda strands: [
        dealt_in_order(strand, order) for strand, order in zip(strands, orders, strict=True)
    ]


def dealt_in_order(strand: Strand, order: Way) -> Strand:
    """Deal a strand's tiles out in another order of places; a map of another length stays."""
    if len(strand.mapped) != len(order):
        return strand
    return strand._replace(mapped=tuple([strand.mapped[k] for k in order]))


def alternate_lines(layout: Layout, number: int) -> Way:
    """Return a port's places with every second line turned: serpentine to the same way, or back."""
    order: list[int] = []
    for index, (start, end) in enumerate(layout.lines(number, layout.strands[number].mapped)):
        line = range(start, end)
        order += line[::-1] if index % 2 else line
    return tuple(order)


def _crosswise(layout: Layout, number: int, *, turning: bool) -> Way:
    """Return a port's places along the other axis, from the corner where its chain starts."""
    cells = [layout.cells[i] for i in layout.strands[number].mapped]
    across, along = (1, 0) if layout.by_rows[number] else (0, 1)
    middle = [sum(cell[axis] for cell in cells) / len(cells) for axis in (0, 1)]
    backwards = [cells[0][axis] > middle[axis] for axis in (0, 1)]
    lines: dict[int, list[int]] = {}
    for k in sorted(range(len(cells)), key=lambda k: cells[k][along], reverse=backwards[along]):
        lines.setdefault(cells[k][across], []).append(k)
    order: list[int] = []
    for index, key in enumerate(sorted(lines, reverse=backwards[across])):
        order += lines[key][::-1] if turning and index % 2 else lines[key]
    return tuple(order)


PATTERNS: tuple[tuple[str, str, str, Callable[[Layout, int], Way]], ...] = (
    (
        "raster-serpentine",
        "every second line is dealt out backwards",
        "every second line is dealt out backwards",
        alternate_lines,
    ),
    (
        "columns-first",
        "tiles are dealt out across the lines, there and back",
        "tiles run across the lines, there and back",
        partial(_crosswise, turning=True),
    ),
    (
        "columns-first",
        "tiles are dealt out across the lines, all the same way",
        "tiles run across the lines, all the same way",
        partial(_crosswise, turning=False),
    ),
)
"""Orders of a port's places, with what is said of all ports and of one."""
PATTERN_KINDS = frozenset(kind for kind, *_ in PATTERNS)
"""They deal the tiles out anew, so they come before anything that moves them."""


def mirror_rect(layout: Layout) -> Callable[[Rect], Rect]:
    return lambda rect: (layout.right - rect[0] - rect[2], rect[1], rect[2], rect[3])


def flip_rect(layout: Layout) -> Callable[[Rect], Rect]:
    return lambda rect: (rect[0], layout.bottom - rect[1] - rect[3], rect[2], rect[3])


def turned_rect(layout: Layout) -> Callable[[Rect], Rect]:
    return lambda rect: mirror_rect(layout)(flip_rect(layout)(rect))


def remapping(layout: Layout, move: Callable[[Rect], Rect]) -> Change:
    """Return a change that gives every place the tile that lies where `move` puts its own."""
    moved = layout.tile_map(move)
    table = [*moved, SPLIT, UNKNOWN, DARK]  # the codes index from the end
    return lambda strands: [
        strand._replace(mapped=tuple([table[tile] for tile in strand.mapped])) for strand in strands
    ]


def _halves(layout: Layout) -> Iterator[PlanChange]:
    sides = (("left and right", 0, layout.right // 2), ("upper and lower", 1, layout.bottom // 2))
    for names, axis, half in sides:
        if not any(rect[axis] < half < rect[axis] + rect[axis + 2] for rect in layout.rects):
            says = f"the outputs for the {names} half of the canvas are exchanged"
            change = remapping(layout, _exchange(axis, half))
            yield PlanChange("outputs-swapped", f"{names} half", says, change)
    half = len(layout.strands) // 2
    if half >= 2:
        ports = [strand.port for strand in layout.strands]
        where = f"P{ports[0]} to P{ports[half - 1]} and P{ports[half]} to P{ports[2 * half - 1]}"
        says = f"the trunks of {where} are exchanged"
        yield PlanChange("outputs-swapped", where, says, _exchange_trunks)


def _exchange_trunks(strands: Sequence[Strand]) -> list[Strand]:
    half = len(strands) // 2
    even = strands[: 2 * half]  # of an odd number of ports the last has no counterpart
    crossed = [cabled_as(strand, even[(i + half) % len(even)]) for i, strand in enumerate(even)]
    return [*crossed, *strands[2 * half :]]


def cabled_as(strand: Strand, other: Strand) -> Strand:
    """Return a port on the cables of another."""
    return strand._replace(cabled=other.cabled, unlinked=other.unlinked)


def _exchange(axis: int, half: int) -> Callable[[Rect], Rect]:
    def move(rect: Rect) -> Rect:
        moved = list(rect)
        moved[axis] += half if rect[axis] < half else -half
        return moved[0], moved[1], moved[2], moved[3]

    return move


def _shift(layout: Layout, seen: Sequence[int]) -> Iterator[PlanChange]:
    """Yield the plan with the canvas start moved by whole tiles, when most readings agree."""
    rects = layout.rects
    steps = Counter(
        (rects[tile][0] - rects[i][0], rects[tile][1] - rects[i][1])
        for i, tile in enumerate(seen)
        if tile >= 0
    )
    ((dx, dy), count), *_ = steps.most_common(1) or [((0, 0), 0)]
    if (dx, dy) != (0, 0) and count >= max(3, sum(steps.values()) // 2):
        says = f"the canvas starts {dx} px across and {dy} px down from where it should"
        change = remapping(layout, lambda rect: (rect[0] + dx, rect[1] + dy, rect[2], rect[3]))
        yield PlanChange("canvas-offset", "wall", says, change)

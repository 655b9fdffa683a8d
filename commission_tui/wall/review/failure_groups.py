"""Single failures as a person decides about them: what is alike in one line, the worst first."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

from commission_tui.text import counted, listed
from commission_tui.wall.model.location import Cell
from commission_tui.wall.model.wall_model import Wall
from commission_tui.wall.review.redundancy import FailureKind, SingleFailure

_NAMES, _BLOCKS = 4, 4
Group = FailureKind | Literal["on a chain", "in a loop"]
"""What is told in one line: parts of a kind, jumpers and cabinets of open chains, those of loops."""


@dataclass(frozen=True, slots=True)
class LikeFailures:
    """Failures that are decided about together."""

    group: Group
    failures: tuple[SingleFailure, ...]
    """The worst first."""
    beyond_agreed: bool | None
    line: str

    @property
    def most_dark(self) -> int:
        return len(self.failures[0].dark)


def like_failures(wall: Wall, failures: Iterable[SingleFailure]) -> list[LikeFailures]:
    """Gather failures that are alike, what is beyond the agreed number first, then the worst."""
    ports = {cell: chain.port for chain in wall.chains for cell in chain.cells}
    loops = {chain.port for chain in wall.chains if chain.backup_port}
    groups: dict[tuple[Group, bool | None], list[SingleFailure]] = {}
    for failure in failures:
        group: Group = failure.kind
        if failure.kind in ("jumper", "cabinet"):
            looped = ports.get(_first_cell(failure)) in loops
            group = "in a loop" if looped else "on a chain"
        groups.setdefault((group, failure.beyond_agreed), []).append(failure)
    alike = []
    for (group, beyond), found in groups.items():
        found.sort(key=lambda failure: -len(failure.dark))
        on = sorted({ports.get(_first_cell(f), 0) for f in found}) if " " in group else []
        line = _line(wall, group, found, on)
        alike.append(LikeFailures(group, tuple(found), beyond, line))
    return sorted(alike, key=lambda like: (not like.beyond_agreed, -like.most_dark))


def _first_cell(failure: SingleFailure) -> Cell:
    return Cell.parse(failure.name.split(" ", 1)[0])


def _line(wall: Wall, group: Group, found: Sequence[SingleFailure], on: Sequence[int]) -> str:
    worst = found[0]
    most, least = len(worst.dark), len(found[-1].dark)
    dark = f"{most} dark" if most == least else f"{least} to {most} dark"
    where = cells_as_blocks(wall, worst.dark)
    if group == "in a loop" and most == 1:
        return f"any one of {counted(len(found), 'cabinet')} in a loop: itself alone"
    if len(found) == 1:
        return f"{_named(worst)}: {dark}: {where}"
    if group in ("on a chain", "in a loop"):
        ports = "a loop" if group == "in a loop" else listed([f"P{port}" for port in on], _NAMES)
        return (
            f"any one jumper or cabinet on {ports}: {dark}, all that is fed through it; "
            f"the worst is {_named(worst)}: {where}"
        )
    names = listed([failure.name for failure in found], _NAMES)
    each = " each" if most == least else f", the worst is {worst.name}: {where}"
    several = counted(len(found), group, "switches" if group == "switch" else "")
    return f"any one of {several} ({names}): {dark}{each}"


def _named(failure: SingleFailure) -> str:
    named = failure.name.lower().startswith(failure.kind)
    return failure.name if named else f"{failure.kind} {failure.name}"


def cells_as_blocks(wall: Wall, cells: Iterable[Cell]) -> str:
    """Write cabinets as the rectangles that the wall file knows: ``R1C1:R2C6, R3C4``."""
    left = set(cells)
    if left == set(wall.cabinets):
        return "the whole wall"
    found: list[str] = []
    while left:
        first = min(left)
        row, column = first
        right, bottom = column, row
        while Cell(row, right + 1) in left:
            right += 1
        while {Cell(bottom + 1, k) for k in range(column, right + 1)} <= left:
            bottom += 1
        last = Cell(bottom, right)
        left -= {Cell(r, c) for r in range(row, bottom + 1) for c in range(column, right + 1)}
        found.append(str(first) if first == last else f"{first}:{last}")
    return listed(found, _BLOCKS)

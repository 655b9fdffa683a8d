"""The places beside a place, where a number of the same kind should be much the same.

Only a handful is looked at, however large the wall is.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterator

from commission_tui.checks.places.places import GREY_STEPS, places
from commission_tui.errors import InputError
from commission_tui.wall.model.location import parse_location
from commission_tui.wall.model.wall_model import Wall

ROWS, COLUMNS = 2, 4
"""How far up and down, and left and right, a neighbour of a cabinet may be."""
_IN_A_LIST = 8
_ALIKE = frozenset(
    {
        *("nine points", "port", "backed-up port", "circuit", "protected circuit", "phase"),
        *("suspension point", "input", "stage position"),
    }
)
"""Kinds of place, named in a list, whose numbers are comparable."""
_ON_THE_GRID = frozenset({"cabinet", "row end", "seam"})
_REPEAT = re.compile(r"repeat ([0-9]+)")
_NTH = re.compile(r"([0-9]+) of ([0-9]+)")


def neighbours(where: str | tuple[str, ...], place: str, wall: Wall) -> tuple[str, ...]:
    """Return the places beside one, nearest first; none where numbers are not comparable.

    Of a combination such as ``input, repeat 3`` one part changes and the others stay.
    """
    if isinstance(where, tuple):
        return ()
    kinds = [kind.strip() for kind in where.split(",")]
    parts = _parts(kinds, place, wall)
    if parts is None:
        return ()
    found: list[str] = []
    for at, kind in enumerate(kinds):
        found += (
            ", ".join((*parts[:at], other, *parts[at + 1 :]))
            for other in _beside(kind, parts[at], wall)
        )
    return tuple(found)


def grey_steps_of(where: str | tuple[str, ...], place: str, wall: Wall) -> dict[float, str]:
    """Return percent of signal to place, of every grey step of the series a place belongs to."""
    if isinstance(where, tuple) or "grey step" not in where:
        return {}
    kinds = [kind.strip() for kind in where.split(",")]
    parts = _parts(kinds, place, wall)
    if parts is None or "grey step" not in kinds:
        return {}
    at = kinds.index("grey step")
    return {
        float(step.split()[0]): ", ".join((*parts[:at], step, *parts[at + 1 :]))
        for step in GREY_STEPS
    }


def _parts(kinds: list[str], place: str, wall: Wall) -> list[str] | None:
    """Part a place by its kinds; a name may itself hold a comma."""
    found: list[str] = []
    rest = place
    for left, kind in zip(range(len(kinds) - 1, -1, -1), kinds, strict=True):
        part = rest if not left else _first_part(kind, rest, wall)
        if part is None:
            return None
        found.append(part)
        rest = rest[len(part) + 2 :]
    return found


def _first_part(kind: str, rest: str, wall: Wall) -> str | None:
    if kind in _ON_THE_GRID or _REPEAT.fullmatch(kind):
        return rest.partition(", ")[0]
    try:
        names = places(kind, wall)
    except KeyError:
        return None
    fits = [name for name in names if rest.startswith(f"{name}, ")]
    return max(fits, key=len, default=None)


def _beside(kind: str, part: str, wall: Wall) -> Iterator[str]:
    if kind in _ON_THE_GRID:
        yield from _on_the_grid(part, wall)
    elif nth := _NTH.fullmatch(part) if _REPEAT.fullmatch(kind) else None:
        yield from (f"{n} of {nth[2]}" for n in range(1, int(nth[2]) + 1) if n != int(nth[1]))
    elif kind in _ALIKE:
        names = places(kind, wall)
        if part in names:
            at = names.index(part)
            order = sorted((abs(i - at), i) for i in range(len(names)) if i != at)
            yield from (names[i] for _, i in order[:_IN_A_LIST])


def _on_the_grid(part: str, wall: Wall) -> Iterator[str]:
    try:
        location = parse_location(part)
    except InputError:
        return
    if location.cell is None:
        return
    row, column = location.cell
    edge = f" {location.edge}" if location.edge else ""
    for down, right in _STEPS:
        near = (row + down, column + right)
        if near in wall.cabinets:
            yield f"R{near[0]}C{near[1]}{edge}"


_STEPS = sorted(
    (
        step
        for step in itertools.product(range(-ROWS, ROWS + 1), range(-COLUMNS, COLUMNS + 1))
        if step != (0, 0)
    ),
    key=lambda step: (abs(step[0]) + abs(step[1]), step),
)

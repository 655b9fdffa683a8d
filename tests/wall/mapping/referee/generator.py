"""Walls of many shapes, with faults committed on them at random."""

from __future__ import annotations

import random
from dataclasses import dataclass, replace
from itertools import pairwise

from commission_tui.wall.mapping.observed.observation import Observation
from commission_tui.wall.model.location import Cell
from commission_tui.wall.model.wall_file import parse_wall
from commission_tui.wall.model.wall_model import Wall
from tests.wall.mapping.referee.faults import FAULTS, Fault, Label, columns_first, raster_serpentine
from tests.wall.mapping.referee.site import Site
from tests.wall.mapping.walls import HEAD

PATTERNS: tuple[Fault, ...] = (raster_serpentine, columns_first)
"""Not both in one case: a group has one routing pattern, so the later replaces the earlier."""
TALL = """
[cabinet_types.F1000]
width_mm = 500
height_mm = 1000
width_px = 192
height_px = 384
weight_kg = 14
power_max_w = 320
"""


def random_wall(rng: random.Random, most: int = 400) -> Wall:
    """Make a wall of 5 to `most` cabinets, 1 to 16 ports: full, L-shaped or of mixed sizes."""
    while True:
        columns, rows = rng.randrange(3, 26), rng.randrange(1, 17)
        if 5 <= columns * rows <= most:
            break
    bands = _cuts(rng, rows, 4)
    halves = _cuts(rng, columns, 4)
    shape = rng.choice(["full", "full", "ell", "mixed"])
    text = HEAD + (TALL if shape == "mixed" else "")
    gap: tuple[int, int] | None = None
    if shape == "ell" and rows > 2 and columns > 3:
        gap = rng.randrange(1, rows // 2 + 1), rng.randrange(1, columns // 2)
    text += _mixed(rng, columns, rows) if shape == "mixed" else _grid(columns, rows, gap)
    axis, way = rng.choice(["rows", "columns"]), rng.choice(["serpentine"] * 3 + ["same way"])
    port = 0
    for top, bottom in bands:
        for left, right in halves:
            if gap and bottom <= gap[0] and right <= gap[1]:
                continue
            port += 1
            corner = f"{rng.choice(['top', 'bottom'])} {rng.choice(['left', 'right'])}"
            text += f'[[chains]]\nport = {port}\nblock = "R{top}C{left}:R{bottom}C{right}"\n'
            text += f'pattern = "{axis}, {way}, from {corner}"\n'
    return parse_wall(text)


def _cuts(rng: random.Random, length: int, most: int) -> list[tuple[int, int]]:
    parts = rng.randrange(1, min(most, max(1, length // 2)) + 1)
    edges = [0, *(round(length * i / parts) for i in range(1, parts)), length]
    return [(a + 1, b) for a, b in pairwise(edges)]


def _grid(columns: int, rows: int, gap: tuple[int, int] | None) -> str:
    text = f'[grid]\ncolumns = {columns}\nrows = {rows}\ntype = "F500"\n'
    return text + (f'absent = ["R1C1:R{gap[0]}C{gap[1]}"]\n' if gap else "")


def _mixed(rng: random.Random, columns: int, rows: int) -> str:
    text, y = "", 0
    for row in range(1, rows + 1):
        high = rng.choice([1, 2])
        for column in range(1, columns + 1):
            text += f'[[placements]]\nposition = "R{row}C{column}"\n'
            text += f'type = "{"F1000" if high == 2 else "F500"}"\n'
            text += f"x_mm = {500 * (column - 1)}\ny_mm = {500 * y}\n"
            text += f"x_px = {192 * (column - 1)}\ny_px = {192 * y}\n"
        y += high
    return text


@dataclass(frozen=True)
class Case:
    wall: Wall
    site: Site
    labels: tuple[Label, ...]
    readings: dict[Cell, Observation]
    fault_names: tuple[str, ...]


def random_case(
    rng: random.Random, causes: int, most: int = 400, faults: tuple[Fault, ...] = FAULTS
) -> Case:
    """Commit `causes` faults on a wall, each of which changes what is seen."""
    while True:
        wall = random_wall(rng, most)
        chosen = rng.sample(faults, causes)
        if set(PATTERNS) <= set(chosen):
            continue
        case = _commit(wall, rng, chosen)
        if case is not None:
            return case


def _commit(wall: Wall, rng: random.Random, chosen: list[Fault]) -> Case | None:
    site = Site(wall)
    site.one_broken_only = len(chosen) > 1
    labels = []
    for fault in chosen:
        before = site.look()
        label = fault(site, rng)
        if label is None or site.look() == before:
            return None
        labels.append(label)
    names = tuple(fault.__name__ for fault in chosen)
    return Case(wall, site, tuple(sorted(labels)), site.look(), names)


def hidden(
    readings: dict[Cell, Observation], rng: random.Random, share: float
) -> dict[Cell, Observation]:
    """Leave a share of the cabinets not looked at."""
    return {c: Observation() if rng.random() < share else r for c, r in readings.items()}


def misread(readings: dict[Cell, Observation], rng: random.Random) -> dict[Cell, Observation]:
    """Misread one number for another, at random."""
    looked = [c for c, r in readings.items() if isinstance(r.seen, Cell)]
    if not looked:
        return readings
    slip = rng.choice(looked)
    other = rng.choice([c for c in readings if c != readings[slip].seen])
    return readings | {slip: replace(readings[slip], seen=other)}

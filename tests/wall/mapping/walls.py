"""Walls for the mapping tests, written as wall files."""

from __future__ import annotations

from collections.abc import Mapping

from commission_tui.wall.mapping.observed.observation import Observation
from commission_tui.wall.mapping.observed.phrases import named_readings
from commission_tui.wall.model.location import Cell
from commission_tui.wall.model.wall_file import parse_wall
from commission_tui.wall.model.wall_model import Wall

HEAD = """
[wall]
name = "Main auditorium"
site = "Fellmoor Town Hall"
mounting = "flown"
[cabinet_types.F500]
width_mm = 500
height_mm = 500
width_px = 192
height_px = 192
module_columns = 2
module_rows = 2
weight_kg = 8
power_max_w = 170
[processor]
ports = 64
pixels_per_port = 100000000
"""


def grid_wall(
    columns: int, rows: int, chains: list[tuple[str, str]], absent: str = "", ports: int = 64
) -> Wall:
    """Make a wall of one cabinet type; each chain is a block and a pattern."""
    text = (
        HEAD.replace("ports = 64", f"ports = {ports}")
        + f'[grid]\ncolumns = {columns}\nrows = {rows}\ntype = "F500"\n'
    )
    text += f"absent = [{absent}]\n" if absent else ""
    for port, (block, pattern) in enumerate(chains, start=1):
        text += f'[[chains]]\nport = {port}\nblock = "{block}"\npattern = "{pattern}"\n'
    return parse_wall(text)


SERPENTINE = "rows, serpentine, from top left"


def vector_wall() -> Wall:
    """TRADE 4.2: 6 columns by 4 rows, P1 rows 1-2, P2 rows 3-4, each from its top left."""
    return grid_wall(6, 4, [("R1C1:R2C6", SERPENTINE), ("R3C1:R4C6", SERPENTINE)])


def columns_wall() -> Wall:
    """6 columns by 4 rows in columns there and back: P1 from the bottom left, P2 from above."""
    return grid_wall(
        6,
        4,
        [
            ("R1C1:R4C3", "columns, serpentine, from bottom left"),
            ("R1C4:R4C6", "columns, serpentine, from top left"),
        ],
    )


def table(wall: Wall, rows: list[str]) -> dict[Cell, Observation]:
    """Read rows of row-major numbers, as the vectors are printed; ``as design`` keeps a row."""
    cells = list(wall.cabinets)
    seen: dict[Cell, Observation] = {}
    for row, text in enumerate(rows, start=1):
        here = [cell for cell in cells if cell.row == row]
        words = text.split() if text != "as design" else [str(cells.index(c) + 1) for c in here]
        for cell, word in zip(here, words, strict=True):
            seen[cell] = Observation("dark" if word == "dark" else cells[int(word) - 1])
    return seen


def apply_phrase(
    wall: Wall, seen: Mapping[Cell, Observation], phrase: str
) -> dict[Cell, Observation]:
    """Return a table in which the cabinets that a phrase names show what it says."""
    return {**seen, **named_readings(wall, seen, phrase)}


def as_designed(wall: Wall) -> dict[Cell, Observation]:
    """Every cabinet shows its own number."""
    return {cell: Observation(cell) for cell in wall.cabinets}

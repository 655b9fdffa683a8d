"""The themes: for a dark house, for eyes that must stay adapted to the dark, and for an office; their grounds.

Blue stands for good and orange for bad in the first and the last, which people with any of the
common colour deficiencies tell apart; a sign and a word stand beside every colour anyway. The row
of a list that is marked differs from its ground by hue, not by light: text stays legible on it.

The grounds that tell ports apart and show how much, in each theme, are found by computation.

Ports: sets with a large least CIEDE2000 difference that a search found between any two, for normal
sight and as protanopes, deuteranopes and tritanopes see them (Machado, Oliveira and Fernandes 2009,
A physiologically-based model for simulation of color vision deficiency, IEEE Transactions on
Visualization and Computer Graphics 15(6), 1291-1298, at full severity), where text keeps a contrast
of 4.5 to 1. A test holds both. A number stands in every cabinet beside its colour.

Amounts: lightness rises in even steps, which every eye sees; a sign stands beside each step.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from textual.theme import Theme

from commission_tui.wall.model.location import Cell
from commission_tui.wall.model.wall_model import Wall


@dataclass(frozen=True, slots=True)
class Grounds:
    """The grounds of one theme, and the text on them."""

    text: str
    ports: tuple[str, ...]
    amounts: tuple[str, ...]
    """From little to much."""
    changes: tuple[str, ...]
    """From much less over no change to much more."""

    @property
    def variables(self) -> dict[str, str]:
        """The same as variables of a theme: ``port-3``, ``amount-0``, and ``on-ground`` for text."""
        sets = {"port": self.ports, "amount": self.amounts, "change": self.changes}
        named = {f"{name}-{n}": at for name, of in sets.items() for n, at in enumerate(of)}
        return {"on-ground": self.text, **named}


DARK_GROUNDS = Grounds(
    text="#e4e7ea",
    ports=("#37667c", "#2e0900", "#65632e", "#000036"),
    amounts=("#141a20", "#22405c", "#3a5f6e", "#626652"),
    changes=("#1a5fa0", "#173a5c", "#1c2126", "#54391c", "#8a5a22"),
)
LOW_BLUE_GROUNDS = Grounds(
    text="#e0a070",
    ports=("#410b00", "#583d04", "#290011", "#7e143e"),
    amounts=("#140800", "#2c1604", "#43220a", "#5a3010"),
    changes=("#060200", "#1c0d04", "#311808", "#47240d", "#5a3010"),
)
LIGHT_GROUNDS = Grounds(
    text="#14171a",
    ports=("#8588d1", "#efe5a8", "#94d6fe", "#bb7e8e"),
    amounts=("#f0f0ea", "#cfdde8", "#a9c6dc", "#7fadd0"),
    changes=("#7fb2e0", "#bcd6ec", "#eeeee8", "#ecd3ae", "#dfae62"),
)
FEWEST_PORTS = min(len(g.ports) for g in (DARK_GROUNDS, LOW_BLUE_GROUNDS, LIGHT_GROUNDS))
"""How many port colours every theme has."""


def port_colours(wall: Wall) -> Mapping[int, int]:
    """Return a colour's number for each port, so that chains which touch differ where they can."""
    return _apart({chain.port: chain.cells for chain in wall.chains})


def circuit_colours(wall: Wall) -> Mapping[int, int]:
    """Return a colour's number for each circuit, counted from 1; those that touch differ."""
    return _apart({n: circuit.cells for n, circuit in enumerate(wall.circuits, start=1)})


def _apart(groups: Mapping[int, Sequence[Cell]]) -> Mapping[int, int]:
    sides = _touching(groups, ((0, 1), (1, 0)))
    corners = _touching(groups, ((1, 1), (1, -1)))
    given: dict[int, int] = {}
    used = [0] * FEWEST_PORTS
    for group in sorted(sides, key=lambda g: (-len(sides[g]), g)):
        beside = [given[other] for other in sides[group] if other in given]
        across = [given[other] for other in corners[group] if other in given]
        best = min(
            range(FEWEST_PORTS), key=lambda c: (beside.count(c), across.count(c), used[c], c)
        )
        given[group] = best
        used[best] += 1
    return given


def _touching(
    groups: Mapping[int, Sequence[Cell]], steps: Sequence[tuple[int, int]]
) -> dict[int, set[int]]:
    at = {cell: group for group, cells in groups.items() for cell in cells}
    found: dict[int, set[int]] = {group: set() for group in groups}
    for cell, group in at.items():
        for down, right in steps:
            other = at.get(Cell(cell.row + down, cell.column + right), group)
            if other != group:
                found[group].add(other)
                found[other].add(group)
    return found


DARK_HOUSE = Theme(
    name="dark house",
    primary="#5f93c4",
    secondary="#46698a",
    accent="#c9a45a",
    success="#5fa3d8",
    warning="#d1b45c",
    error="#d9803a",
    foreground="#b4bac0",
    background="#0a0c0e",
    surface="#101316",
    panel="#20272e",
    dark=True,
    variables={
        **DARK_GROUNDS.variables,
        "footer-key-foreground": "#c9a45a",
        "footer-background": "#101316",
        "footer-foreground": "#8f979e",
        "input-cursor-background": "#c9a45a",
        "input-selection-background": "#c9a45a",
        "input-selection-foreground": "#0a0c0e",
        "block-cursor-blurred-background": "#0f2a42",
        "boost": "#151a1f",
        "scrollbar": "#2a3138",
        "scrollbar-background": "#0a0c0e",
    },
)
LOW_BLUE = Theme(
    name="low blue",
    primary="#c87c48",
    secondary="#7d4a2a",
    accent="#c98a3c",
    success="#bd8f4c",
    warning="#cfa640",
    error="#dd5a34",
    foreground="#d68d58",
    background="#080301",
    surface="#0f0602",
    panel="#1e0d06",
    dark=True,
    variables={
        **LOW_BLUE_GROUNDS.variables,
        "footer-key-foreground": "#c98a3c",
        "footer-background": "#0f0602",
        "footer-foreground": "#b0734a",
        "input-cursor-background": "#c98a3c",
        "input-selection-background": "#c98a3c",
        "input-selection-foreground": "#080301",
        "block-cursor-blurred-background": "#2e1305",
        "boost": "#190c05",
        "primary-muted": "#33190b",
        "scrollbar": "#33190a",
        "scrollbar-background": "#080301",
    },
)
OFFICE = Theme(
    name="office",
    primary="#1d5c99",
    secondary="#4a7aa6",
    accent="#7a4f00",
    success="#1d5c99",
    warning="#785a00",
    error="#7a1500",
    foreground="#1b1f23",
    background="#f4f4f0",
    surface="#ebebe6",
    panel="#dcdcd5",
    dark=False,
    variables={
        **LIGHT_GROUNDS.variables,
        "input-selection-background": "#7a4f00",
        "input-selection-foreground": "#f4f4f0",
        "block-cursor-blurred-background": "#c6dcee",
        "boost": "#e6e6e0",
    },
)
THEMES = (DARK_HOUSE, LOW_BLUE, OFFICE)

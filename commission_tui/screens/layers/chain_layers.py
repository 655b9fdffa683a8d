"""The layers "chains" and "circuits": how data and power reach each cabinet."""

from __future__ import annotations

from commission_tui.screens.layers.wall_geometry import Look
from commission_tui.screens.terminal.colours import FEWEST_PORTS, circuit_colours, port_colours
from commission_tui.screens.terminal.styled_text import Glyphs, Line, Part
from commission_tui.wall.model.location import Cell
from commission_tui.wall.model.wall_model import ResolvedChain, Wall


def chain_looks(wall: Wall, glyphs: Glyphs, *, rear: bool) -> dict[Cell, Look]:
    found = {cell: Look("?", "none", "fail") for cell in wall.cabinets}
    colours = port_colours(wall)
    for chain in wall.chains:
        ground = f"port-{colours[chain.port]}"
        for place, cell in enumerate(chain.cells, start=1):
            arrow = chain_arrow(chain, place, glyphs, rear)
            found[cell] = _chained(chain.port, place, arrow, ground)
    return found


def _chained(port: int, place: int, arrow: str, ground: str) -> Look:
    first = place == 1
    name = f"{port}.{place}"
    return Look(
        arrow,
        f"{arrow} in" if first else arrow,
        "strong" if first else "",
        f"{name}",
        f"{name}{arrow}",
        ground,
        short=arrow,
        below_short=str(place),
    )


def chain_arrow(chain: ResolvedChain, place: int, glyphs: Glyphs, rear: bool) -> str:
    """Return the arrow to the next cabinet of a chain, as it is seen; a block at its end."""
    if place == len(chain.cells):
        return glyphs.arrow[0, 0]
    here, there = chain.cells[place - 1], chain.cells[place]
    down, across = there.row - here.row, there.column - here.column
    if rear:
        across = -across
    if abs(down) > abs(across):
        return glyphs.arrow[1 if down > 0 else -1, 0]
    return glyphs.arrow[0, 1 if across > 0 else -1]


def chain_legend(wall: Wall, glyphs: Glyphs) -> Line:
    colours = port_colours(wall)
    parts: list[Part] = [("2.7 port 2, place 7  ", "strong"), (glyphs.arrow[0, 1], "strong")]
    parts += [(f" data goes on, {glyphs.arrow[0, 0]} ends, in: enters  ", "muted")]
    for chain in wall.chains[: 3 * FEWEST_PORTS]:
        parts += [(f"P{chain.port}", f"port-{colours[chain.port]}"), (" ", "")]
    if len(wall.chains) > 3 * FEWEST_PORTS:
        parts.append(("and so on", "muted"))
    return tuple(parts)


def circuit_looks(wall: Wall) -> dict[Cell, Look]:
    found = {cell: Look("?", "none", "fail") for cell in wall.cabinets}
    colours = circuit_colours(wall)
    for number, circuit in enumerate(wall.circuits, start=1):
        letter, phase = circuit_letter(number), circuit.circuit.phase
        ground = f"port-{colours[number]}"
        for cell in circuit.cells:
            found[cell] = Look(letter, letter, "", phase, f"{letter} {phase}", ground)
    return found


def circuit_letter(number: int) -> str:
    """Return A for 1; past Z a digit, then a question mark."""
    return "ABCDEFGHJKLMNPQRSTUVWXYZ0123456789"[number - 1] if number <= 34 else "?"


def circuit_legend(wall: Wall) -> Line:
    colours = circuit_colours(wall)
    parts: list[Part] = []
    for number, circuit in enumerate(wall.circuits[:34], start=1):
        parts += [
            (f" {circuit_letter(number)} ", f"port-{colours[number]}"),
            (f" {circuit.name}  ", "muted"),
        ]
    return tuple(parts)

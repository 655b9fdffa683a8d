"""What each layer of the wall shows in every cabinet, and its legend; chains and circuits are drawn here."""

from __future__ import annotations

from collections.abc import Callable

from commission_tui.logbook.job import OpenJob
from commission_tui.screens.layers import luminance_layers, progress_layers
from commission_tui.screens.layers.wall_geometry import Look
from commission_tui.screens.terminal.colours import FEWEST_PORTS, circuit_colours, port_colours
from commission_tui.screens.terminal.styled_text import ARROW, Line, Part
from commission_tui.wall.model.location import Cell
from commission_tui.wall.model.wall_model import ResolvedChain, Wall


def chain_looks(wall: Wall, *, rear: bool) -> dict[Cell, Look]:
    found = {cell: Look("?", "none", "fail") for cell in wall.cabinets}
    colours = port_colours(wall)
    for chain in wall.chains:
        ground = f"port-{colours[chain.port]}"
        for place, cell in enumerate(chain.cells, start=1):
            arrow, name = chain_arrow(chain, place, rear), f"{chain.port}.{place}"
            text, role = (f"{arrow} in", "strong") if place == 1 else (arrow, "")
            found[cell] = Look(
                arrow, text, role, name, f"{name}{arrow}", ground,
                short=arrow, below_short=str(place),
            )  # fmt: skip
    return found


def chain_arrow(chain: ResolvedChain, place: int, rear: bool) -> str:
    """Return the arrow to the next cabinet of a chain, as it is seen; a block at its end."""
    if place == len(chain.cells):
        return ARROW[0, 0]
    here, there = chain.cells[place - 1], chain.cells[place]
    down, across = there.row - here.row, there.column - here.column
    if rear:
        across = -across
    if abs(down) > abs(across):
        return ARROW[1 if down > 0 else -1, 0]
    return ARROW[0, 1 if across > 0 else -1]


def chain_legend(wall: Wall) -> Line:
    colours = port_colours(wall)
    parts: list[Part] = [("2.7 port 2, place 7  ", "strong"), (ARROW[0, 1], "strong")]
    parts += [(f" data goes on, {ARROW[0, 0]} ends, in: enters  ", "muted")]
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


LAYERS = ("progress", "chains", "circuits", "luminance", "faults")
CHANGE = "change"


def looks(layer: str, job: OpenJob, *, rear: bool = False) -> dict[Cell, Look]:
    """Return what every cabinet shows in a layer."""
    wall, changes = job.state.wall, luminance_layers.changes_of
    made: dict[str, Callable[[], dict[Cell, Look]]] = {
        "progress": lambda: progress_layers.progress_looks(job),
        "chains": lambda: chain_looks(wall, rear=rear),
        "circuits": lambda: circuit_looks(wall),
        "luminance": lambda: luminance_layers.luminance_looks(job),
        "faults": lambda: progress_layers.fault_looks(job),
        CHANGE: lambda: luminance_layers.change_looks(wall.cabinets, changes(job)),
    }
    return made[layer]()


def legend(layer: str, job: OpenJob) -> Line:
    """Return a layer's signs with their words, on one line."""
    wall, changes = job.state.wall, luminance_layers.changes_of
    made: dict[str, Callable[[], Line]] = {
        "progress": lambda: progress_layers.progress_legend(),
        "chains": lambda: chain_legend(wall),
        "circuits": lambda: circuit_legend(wall),
        "luminance": lambda: luminance_layers.luminance_legend(job),
        "faults": lambda: progress_layers.fault_legend(),
        CHANGE: lambda: luminance_layers.change_legend(job, changes(job)),
    }
    return made[layer]()

"""The places where a field is read: one for the wall, or one per cabinet, input, circuit."""

from __future__ import annotations

from collections.abc import Callable

from commission_tui.wall.model import Wall

NINE_POINTS = tuple(f"point {n}" for n in range(1, 10))
"""Centres of nine equal rectangles, row by row from the top left (1/6, 1/2, 5/6)."""
GREY_STEPS = tuple(f"{percent} %" for percent in range(0, 101, 5))
SEATS = ("nearest seat", "middle seat", "farthest seat")
SOLID_COLOURS = ("red", "green", "blue", "white", "black")
TRAINING_TOPICS = (
    "switching on and off",
    "blackout",
    "choosing an input or preset",
    "level of each light state",
    "a row or cabinet goes dark",
    "changing a module",
    "whom to call",
)

_PLACES: dict[str, Callable[[Wall], tuple[str, ...]]] = {
    "wall": lambda _: ("wall",),
    "nine points": lambda _: NINE_POINTS,
    "grey step": lambda _: GREY_STEPS,
    "seat": lambda _: SEATS,
    "solid colour": lambda _: SOLID_COLOURS,
    "training topic": lambda _: TRAINING_TOPICS,
    "cabinet": lambda wall: tuple(str(cell) for cell in wall.cabinets),
    "seam": lambda wall: tuple(str(seam) for seam in wall.seams),
    "port": lambda wall: tuple(f"P{chain.port}" for chain in wall.chains),
    "backed-up port": lambda wall: tuple(
        f"P{chain.port}" for chain in wall.chains if chain.backup_port is not None
    ),
    "circuit": lambda wall: tuple(circuit.name for circuit in wall.circuits),
    "protected circuit": lambda wall: tuple(
        circuit.name for circuit in wall.circuits if circuit.circuit.residual_ma is not None
    ),
    "phase": lambda wall: tuple(sorted({c.circuit.phase for c in wall.circuits})),
    "input": lambda wall: tuple(item.name for item in wall.file.inputs),
    "camera": lambda wall: tuple(item.name for item in wall.file.cameras),
    "stage position": lambda wall: tuple(item.name for item in wall.file.stage_positions),
    "suspension point": lambda wall: tuple(item.name for item in wall.file.suspension_points),
}

PER = tuple(_PLACES)


def places(per: str, wall: Wall) -> tuple[str, ...]:
    """Return every place of a kind on this wall, in the order in which one goes there."""
    return _PLACES[per](wall)


def point_fraction(point: str) -> tuple[float, float]:
    """Return across and down, as fractions of width and height, of one of the nine points."""
    index = NINE_POINTS.index(point)
    return (index % 3 * 2 + 1) / 6, (index // 3 * 2 + 1) / 6

"""When a check applies: what the wall and the room must have for it.

A wall file that says nothing of its room leaves every condition of the room open, and the check
stays on the list: the technician then says that it does not apply, and why.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import get_args

from commission_tui.wall.model.file_model import RoomFeature
from commission_tui.wall.model.wall_model import Wall

REVISIT = "revisit"
"""Holds once a later visit has begun, which the logbook knows and the wall does not."""

_WALL: dict[str, tuple[Callable[[Wall], bool], str]] = {
    "always": (lambda _: True, ""),
    REVISIT: (lambda _: True, ""),
    "flown": (lambda wall: wall.file.wall.mounting == "flown", "this wall is not flown"),
    "stacked": (lambda wall: wall.file.wall.mounting == "stacked", "this wall is not stacked"),
    "cameras": (lambda wall: bool(wall.file.cameras), "this wall has no cameras"),
    "stage positions": (
        lambda wall: bool(wall.file.stage_positions),
        "this wall has no stage positions",
    ),
    "inputs": (lambda wall: bool(wall.file.inputs), "this wall has no inputs"),
    "three-phase": (
        lambda wall: len({c.circuit.phase for c in wall.circuits}) > 1,
        "every circuit of this wall is on one phase",
    ),
    "protected circuits": (
        lambda wall: any(c.circuit.residual_ma is not None for c in wall.circuits),
        "no circuit of this wall has a residual-current device",
    ),
    "backed-up ports": (
        lambda wall: any(chain.backup_port is not None for chain in wall.chains),
        "no port of this wall has a backup",
    ),
    "several ports": (lambda wall: len(wall.chains) > 1, "this wall has one port"),
    "several inputs": (lambda wall: len(wall.file.inputs) > 1, "this wall has one input"),
}


def _room(feature: str) -> tuple[Callable[[Wall], bool], str]:
    def has(wall: Wall) -> bool:
        room = wall.file.room
        return room is None or feature in room.features

    return has, f"this room has no {feature}"


CONDITIONS: dict[str, tuple[Callable[[Wall], bool], str]] = {
    **_WALL,
    **{feature: _room(feature) for feature in get_args(RoomFeature)},
}
"""Name to what must hold, and what to say when it does not."""


def why_not(conditions: tuple[str, ...], wall: Wall) -> str:
    """Say why a check with these conditions does not apply to a wall; nothing when it does."""
    for name in conditions:
        holds, words = CONDITIONS[name]
        if not holds(wall):
            return words
    return ""

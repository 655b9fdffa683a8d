"""When a check applies: what the wall and the room must have for it.

What nobody has said of the wall or its room is a question (`features_to_settle`), never a no: the check waits
until it is answered.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import get_args

from commission_tui.wall.model.file_model import Feature
from commission_tui.wall.model.wall_model import Wall

REVISIT = "revisit"
"""Holds once a later visit has begun, which the logbook knows and the wall does not."""

_WALL: dict[str, tuple[Callable[[Wall], bool], str]] = {
    "always": (lambda _: True, ""),
    REVISIT: (lambda _: True, ""),
    "flown": (lambda wall: wall.file.wall.mounting == "flown", "this wall is not flown"),
    "stacked": (lambda wall: wall.file.wall.mounting == "stacked", "this wall is not stacked"),
    "stage positions": (
        lambda wall: bool(wall.file.stage_positions),
        "this wall has no stage positions",
    ),
    "inputs": (lambda wall: bool(wall.file.inputs), "this wall has no inputs"),
    "three-phase": (
        lambda wall: len({c.circuit.phase for c in wall.circuits}) > 1,
        "every circuit of this wall is on one phase",
    ),
    "several ports": (lambda wall: len(wall.chains) > 1, "this wall has one port"),
    "several inputs": (lambda wall: len(wall.file.inputs) > 1, "this wall has one input"),
}


_NO: dict[str, str] = {
    "cameras": "this wall has no cameras",
    "residual-current devices": "no circuit of this wall has a residual-current device",
    "backup runs": "no port of this wall has a backup",
}
_CALLED = {"protected circuits": "residual-current devices", "backed-up ports": "backup runs"}
"""What checklists call a feature by what it is read at."""


def _feature(feature: str) -> tuple[Callable[[Wall], bool], str]:
    no = _NO.get(feature, f"this room has no {feature}")
    return (lambda wall: wall.has(feature) is not False), no


CONDITIONS: dict[str, tuple[Callable[[Wall], bool], str]] = {
    **_WALL,
    **{feature: _feature(feature) for feature in get_args(Feature)},
    **{name: _feature(feature) for name, feature in _CALLED.items()},
}
"""Name to what must hold, and what to say when it does not."""


def why_not_applicable(conditions: tuple[str, ...], wall: Wall) -> str:
    """Say why a check with these conditions does not apply to a wall; nothing when it does."""
    for name in conditions:
        holds, words = CONDITIONS[name]
        if not holds(wall):
            return words
    return ""


def features_to_settle(conditions: tuple[str, ...], wall: Wall) -> tuple[str, ...]:
    """Return the features that must be settled before it is known whether such a check applies."""
    if why_not_applicable(conditions, wall):
        return ()
    named = (_CALLED.get(name, name) for name in conditions)
    return tuple(f for f in named if f in get_args(Feature) and wall.has(f) is None)

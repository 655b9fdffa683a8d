"""What one cabinet of the wall shows, in as many characters as it has."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Look:
    """What one cabinet shows: a sign that always fits, more words where there is room."""

    sign: str
    """One character, which always fits."""
    text: str = ""
    """First row, where it fits."""
    role: str = ""
    below: str = ""
    """Second row, where a cabinet has one; its name when there is nothing to say."""
    single: str = ""
    """The only row of a low cabinet, where it fits."""
    ground: str = ""
    """Role of its ground, so that what belongs together looks so; a chequer when there is none."""
    short: str = ""
    """First row where the text does not fit, and the second where what belongs below does not."""
    below_short: str = ""


BLANK = Look(" ")
_GRAVITY = ("fail", "marginal", "caution", "chain-first", "", "pass", "muted")
"""Roles, gravest first: of several cabinets on one character the gravest shows."""
_RANK = {role: rank for rank, role in enumerate(_GRAVITY)}


def gravest(looks: Iterable[Look]) -> Look:
    """Return the look that must not be missed."""
    return min(looks, key=lambda look: _RANK.get(look.role, len(_RANK)))


def row_text(look: Look, name: str, line: int, room: int, height: int) -> str:
    """Return what a cabinet shows on one of its rows, as wide as there is room."""
    text = ""
    if line == 0:
        wide = look.single if height == 1 and look.single else look.text
        text = next((t for t in (wide, look.short) if t and len(t) <= room), look.sign)
    elif line == 1:
        text = look.below or name
        text = text if len(text) <= room else look.below_short
    elif line == 2 and look.below:
        text = name
    return (text if len(text) <= room else "").ljust(room)

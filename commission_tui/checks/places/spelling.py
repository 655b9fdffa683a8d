"""What a person calls a place, and the job's own name for it."""

from __future__ import annotations

import re
from collections.abc import Mapping

from commission_tui.checks.places.places import places
from commission_tui.errors import InputError
from commission_tui.wall.model.location import parse_location
from commission_tui.wall.model.wall_model import Wall

_POINT = re.compile(r"(?:p|pt|point)?[ .]?0*(\d{1,3})", re.IGNORECASE)


def names_of_places(where: str | tuple[str, ...], wall: Wall) -> dict[str, str]:
    """Return each place where a field is read under its name in small letters."""
    return {place.casefold(): place for place in places(where, wall)}


def spelled_place(text: str, names: Mapping[str, str]) -> str:
    """Return a place as the job spells it: ``r3c7``; ``3`` and ``P3`` for point 3; else the text itself."""
    numbered = _POINT.fullmatch(text.strip())
    point = f"point {int(numbered[1])}" if numbered else text
    for candidate in (text.strip(), point, text.replace(" ", "")):
        if candidate.casefold() in names:
            return names[candidate.casefold()]
    try:
        return str(parse_location(text))
    except InputError:
        return text


def place_on(wall: Wall, where: str | tuple[str, ...], text: str) -> str:
    """Return a place that somebody typed as the job spells it; what is none stays as it is."""
    return spelled_place(text, names_of_places(where, wall))

"""What a person calls a place, and the job's own name for it: one way for screens, tables and commands."""

from __future__ import annotations

import re
from dataclasses import dataclass

from commission_tui.checks.places.places import places
from commission_tui.errors import InputError, did_you_mean
from commission_tui.text import listed, quoted
from commission_tui.wall.model.location import known_location
from commission_tui.wall.model.place_words import written_out
from commission_tui.wall.model.wall_model import Wall

_Where = str | tuple[str, ...]
_FIGURES = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine")
_NUMBERED = re.compile(
    rf"(?:point|pt|port|p)?[ .]*(?:0*(\d{{1,4}})|({'|'.join(_FIGURES)}))", re.IGNORECASE | re.ASCII
)
_LONGEST = 200
_FEW = 3


@dataclass(frozen=True, slots=True)
class _Names:
    """Every place where a field is read, in small letters."""

    whole: dict[str, str]
    """With spaces and without them."""
    begun: dict[str, tuple[str, ...]]
    """By each word that a name may be cut off behind: the names that begin so, two at most."""


def place_on(wall: Wall, where: _Where, text: str) -> str:
    """Return a place that somebody typed as the job spells it; what is none, or unclear, stays as it is.

    ``r3 c7``, ``P4.12`` and what is counted from behind are the cabinet; ``3``, ``P3`` and ``three`` are
    point 3; ``50%`` and ``50`` are 50 %; words that only one name begins with are that.
    """
    names, said = wall.once(_names, where), text.strip()
    for way in (said, _packed(said)):
        if found := names.whole.get(way.casefold()):
            return found
    if len(said) > _LONGEST:
        return text
    if numbered := _NUMBERED.fullmatch(said):
        number = int(numbered[1]) if numbered[1] else _FIGURES.index(numbered[2].lower()) + 1
        for way in (f"point {number}", f"p{number}"):
            if way in names.whole:
                return names.whole[way]
    for way in _on_the_wall(wall, said):
        if found := names.whole.get(way.casefold()):
            return found
    begun = names.begun.get(said.casefold(), ())
    is_cut_off = len(begun) == 1 and known_location(said) is None
    return begun[0] if is_cut_off else text


def refused_place(wall: Wall, where: _Where, text: str) -> str:
    """Say that something is no place of a field, with what is."""
    known = places(where, wall)
    begun = wall.once(_names, where).begun.get(text.strip().casefold(), ())
    if begun:
        return f"place: found {quoted(text)}, expected such as {' or '.join(map(quoted, begun))}"
    if len(known) <= _FEW:
        return f"place: found {quoted(text)}, expected {listed(known, between=' or ') or 'none'}"
    # Of numbered places none is near another that was meant.
    near = "" if known_location(known[0]) else did_you_mean(text, known)
    return f"place: found {quoted(text)}, expected such as {known[0]} or {known[1]}{near}"


def _names(wall: Wall, where: _Where) -> _Names:
    known = places(where, wall)
    begun: dict[str, tuple[str, ...]] = {}
    for place in known:
        low = place.casefold()
        for end in re.finditer(r"\w\b(?=\W)", low):
            cut = low[: end.end()]
            begun[cut] = (*begun.get(cut, ()), place)[:2]
    packed = {_packed(place).casefold(): place for place in known}
    return _Names(packed | {place.casefold(): place for place in known}, begun)


def _packed(text: str) -> str:
    return "".join(text.split())


def _on_the_wall(wall: Wall, text: str) -> tuple[str, ...]:
    """Return what a place of the wall's grammar is called: itself, its cabinet, its name alone."""
    at = known_location(written_out(wall, text))
    if at is None or not at.says_side:
        return ()
    try:
        there = wall.resolve(at)
    except InputError:
        return ()
    if there.named is not None:
        return (there.named[1],)
    if there.chain_place is not None:
        return tuple(map(str, wall.cells_at(there)))
    return (str(there),)

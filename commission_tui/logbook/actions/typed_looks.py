"""What somebody types of what is seen, as readings of the mapping check, or the question which of two it means."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Literal

from commission_tui.errors import InputError
from commission_tui.logbook.actions import mapping_log as log
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.entry_factory import body
from commission_tui.logbook.job import OpenJob
from commission_tui.text import listed, quoted
from commission_tui.wall.mapping.observed.answers import typed_answer
from commission_tui.wall.mapping.observed.observation import Observation
from commission_tui.wall.mapping.observed.phrases import (
    block_of,
    is_phrase,
    named_readings,
    spelt_out,
)
from commission_tui.wall.model.location import Cell
from commission_tui.wall.model.place_words import written_out
from commission_tui.wall.model.wall_model import Wall

Meant = Literal["", "cabinet", "tile"]
"""What a position with an arrow, such as ``R5C4 left``, is of: the cabinet there, or a tile seen here.

Empty while nobody said so: it is the cabinet then, and `TypedLook.question` asks.
"""
_ARROW_ONLY = (
    r"(?:up|right|down|left|upside down|0|90|180|270|mirrored|[+-]\d[\d.]* [+-]\d[\d.]*)(?: .*)?"
)
_LINE = re.compile(
    r"(?:(?P<place>R\d{1,4}C\d{1,4}) )?(?P<shows>(?:shows?|is|tile) )?(?P<rest>.+)", re.IGNORECASE
)
_TURNS = re.compile(r"(?P<what>.+?) (?:(?:is|are|all) )?(?:upside down|mirrored)", re.IGNORECASE)
"""A phrase of which only the arrow is new."""
_POSITION = re.compile(r"R\d{1,4}C\d{1,4}", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class TypedLook:
    """A typed line, understood."""

    said: str
    """What it speaks of, in words."""
    bodies: tuple[e.Body, ...]
    question: str = ""
    """Asks what it means, or whether what it replaces is no longer so; empty where that is clear."""
    is_here: bool = False
    """Whether it is of the one cabinet at which it was typed, so that one goes on to the next."""
    meant: Meant = ""
    """What a position with an arrow is in the lines after it."""


@dataclass(frozen=True, slots=True)
class _Readings:
    """The new readings that a line may mean."""

    of_place: dict[Cell, Observation]
    """Of the cabinets that it names, or of the one at which it was typed."""
    of_tile: dict[Cell, Observation] | None = None
    """Of the one at which it was typed, where the position in it may be a tile as well."""
    is_here: bool = False
    names: Meant = ""
    """What the position is that it begins with; empty where there is none, or that of the one here."""
    is_tile: bool = False
    """Whether it says of a position with an arrow that it is a tile: ``shows R5C4 left``."""
    keeps_tiles: bool = False
    """Whether it tells only how arrows stand at places."""


def typed_look(
    job: OpenJob, at: Cell, typed: str, *, from_behind: bool = False, meant: Meant = ""
) -> TypedLook:
    """Return what a typed line says, and the entries that log it.

    Parameters
    ----------
    job
        The job; nothing is written to it.
    at
        The cabinet of which a line without a place speaks.
    typed
        What one cabinet shows, a phrase such as ``row 3 backwards``, or what else was looked at,
        such as ``circuit C2 off``.
    from_behind
        Columns in a phrase are counted from behind; tiles keep the names they show.
    meant
        What a position with an arrow was said to be in the lines before.

    Raises
    ------
    InputError
        When the line has no meaning here.
    """
    wall, table = job.state.wall, log.seen_table(job.state)
    if not from_behind:  # left and right are the audience's
        typed = written_out(wall, typed)
    if answer := typed_answer(wall, at, typed, from_behind=from_behind):
        text = f"{log.LOOKED_AT}{answer.look}: {answer.seen}"
        note = body(e.Note, text=text, check=log.mapping_check_id(job.state))
        return TypedLook(f"{answer.look}: {answer.seen}", (note,), meant=meant)
    read = _read(wall, table, at, typed, from_behind=from_behind)
    is_open = read.of_tile is not None and read.of_tile != read.of_place
    is_of_tile = is_open and meant == "tile"
    new = read.of_tile if is_of_tile and read.of_tile is not None else read.of_place
    if len(new) == len(wall.cabinets) and all(log.is_right(c, r) for c, r in new.items()):
        said = "that every cabinet shows its own tile"
        return TypedLook(said, tuple(log.all_in_place(job)), meant=meant)
    question = ""
    if is_open and not meant:
        question = _which(table, at, typed, read)
    elif is_open or (read.keeps_tiles and len(new) > 1):
        question = _replaced(table, new, typed)
    return TypedLook(
        _said(table, new, typed, in_full=is_open or read.keeps_tiles),
        (*log.table_bodies(job, new), *_last_looked_at(job, table, new)),
        question,
        read.is_here or is_of_tile,
        "tile" if is_of_tile or read.is_tile else _meant_after(read, meant),
    )


def _meant_after(read: _Readings, meant: Meant) -> Meant:
    """Return what a position with an arrow is in the next line: as in this one, where that names any."""
    if read.names == "cabinet":
        return "cabinet"
    return "" if read.names == "tile" and meant == "cabinet" else meant


# --- what a line may mean


def _read(
    wall: Wall, table: log.SeenTable, at: Cell, typed: str, *, from_behind: bool
) -> _Readings:
    words = spelt_out(typed)
    line, turns = _LINE.fullmatch(words), _TURNS.fullmatch(words)
    place = _front(wall, line["place"], from_behind=from_behind) if line else None
    if is_phrase(typed):
        new = _phrase(wall, table.readings, typed, from_behind=from_behind)
        names: Meant = "" if place in {None, at} else "cabinet"
        is_open = names and turns is not None and line is not None and not line["shows"]
        tile = _tile(wall, at, words) if is_open else None
        return _Readings(new, tile, keeps_tiles=turns is not None, names=names)
    here = table.readings[at]
    if line is None or (line["place"] and place is None):
        return _Readings({at: _one(wall, at, words, here)}, is_here=True)
    rest = line["rest"]
    if place is None:
        new = {at: _one(wall, at, rest if line["shows"] else words, here)}
        is_position = _POSITION.match(rest) is not None
        says = is_position and " " in rest and bool(line["shows"])
        return _Readings(new, is_here=True, names="tile" if is_position else "", is_tile=says)
    try:
        log.typed_tile(wall, place, rest)
    except InputError:
        if not line["shows"]:
            _one(wall, at, words, here)  # refused as it was typed
        raise
    new = {place: _one(wall, place, rest, table.readings[place])}
    is_open = not line["shows"] and re.fullmatch(_ARROW_ONLY, rest, re.IGNORECASE) is not None
    if place == at:
        return _Readings(new, is_here=is_open, keeps_tiles=is_open)
    tile = _tile(wall, at, words) if is_open else None
    return _Readings(new, tile, keeps_tiles=is_open, names="cabinet")


def _tile(wall: Wall, at: Cell, words: str) -> dict[Cell, Observation] | None:
    """Return the reading of the cabinet here where a position with an arrow is a tile; None if it cannot be."""
    try:
        return {at: _one(wall, at, words, None)}
    except InputError:
        return None


def _front(wall: Wall, named: str | None, *, from_behind: bool) -> Cell | None:
    """Return the cabinet that a position names as columns are counted; None where there is none."""
    if named is None:
        return None
    try:
        return block_of(wall, named, from_behind=from_behind).cells[0]
    except InputError:
        return None


def _one(wall: Wall, cell: Cell, text: str, old: Observation | None) -> Observation:
    reading = log.typed_tile(wall, cell, text, old)
    dim = {"dark": {"dark", "d"}, None: {log.UNSEEN}}.get(
        None if reading.seen is None else str(reading.seen)
    )
    if dim is not None and " ".join(text.lower().split()) not in dim:
        what = "a dark cabinet" if reading.seen else "one not looked at"
        raise InputError(
            f"seen: found {quoted(text)}, expected how its arrow stands or the word before it, not "
            f"both: {what} shows no arrow"
        )
    return reading


def _phrase(
    wall: Wall, table: Mapping[Cell, Observation], typed: str, *, from_behind: bool
) -> dict[Cell, Observation]:
    """Return the new readings of the cabinets that a phrase names."""
    base = {c: r if r.seen is not None else Observation(c) for c, r in table.items()}
    new = named_readings(wall, base, typed, from_behind=from_behind)
    if spelt_out(typed).endswith("backwards") and all(
        r.seen in (c, base[c].seen) for c, r in new.items()
    ):
        return {cell: base[cell] for cell in new}  # said once more: it still is
    return new


# --- in words


def _which(table: log.SeenTable, at: Cell, typed: str, read: _Readings) -> str:
    (place,) = read.of_place
    stands = _stands(table, place)
    return (
        f"{quoted(typed)}: Enter again logs cabinet {place}, {_shown(place, read.of_place[place])}"
        f"{f' (it stands as {stands})' if stands else ''}; if {at} shows that tile, type: shows "
        f"{spelt_out(typed)}. The lines after it are taken alike"
    )


def _replaced(table: log.SeenTable, new: Mapping[Cell, Observation], typed: str) -> str:
    """Ask whether cabinets are no longer what they stand as and a line says nothing of."""
    lost = {
        cell: stands
        for cell, reading in new.items()
        if (stands := _stands(table, cell)) and table.readings[cell].seen != reading.seen
    }
    if not lost:
        return ""
    first = next(iter(lost.values()))
    alike = [cell for cell, stands in lost.items() if stands == first]
    stand = "stands" if len(alike) == 1 else "stand"
    few = ", else type the place of those alone that you mean" if len(new) > 1 else ""
    return f"{quoted(typed)}: {listed(alike, 4)} {stand} as {first}; Enter again replaces that{few}"


def _stands(table: log.SeenTable, cell: Cell) -> str:
    """Return in words what a cabinet stands as, where that is not its own tile; empty if nobody looked."""
    if cell in table.unclear:
        return quoted(table.unclear[cell])
    reading = table.readings[cell]
    if reading.seen is None or log.is_right(cell, reading):
        return ""
    return "dark" if reading.seen == "dark" else _shown(cell, reading)


def _shown(cell: Cell, reading: Observation) -> str:
    what = "its own tile" if reading.seen == cell else f"tile {reading.seen}"
    parts = ["garbled" if reading.seen == "garbled" else what]
    if reading.angle_deg:
        parts.append(f"arrow {log.WORD_AT[reading.angle_deg]}")
    if reading.mirrored:
        parts.append("mirrored")
    if reading.dx_px or reading.dy_px:
        parts.append(f"starting {reading.dx_px:+g} {reading.dy_px:+g}")
    return ", ".join(parts)


def _said(
    table: log.SeenTable, new: Mapping[Cell, Observation], typed: str, *, in_full: bool
) -> str:
    said = f"what {listed([*new], 4)} {'shows' if len(new) == 1 else 'show'}"
    if typed.lower().split()[-1] == "right":  # of an arrow, not the opposite of wrong
        return f"{said}: an arrow that points right; where it is as designed type ok"
    lit = [
        cell
        for cell, reading in new.items()
        if table.readings[cell].seen == "dark" and isinstance(reading.seen, Cell)
    ]
    if in_full and len(new) == 1:
        ((cell, reading),) = new.items()
        said = f"that {cell} shows {_shown(cell, reading)}"
    return f"{said}; no longer dark: {listed(lit, 4)}" if in_full and lit else said


def _last_looked_at(
    job: OpenJob, table: log.SeenTable, new: Mapping[Cell, Observation]
) -> Iterator[e.Body]:
    """Answer for the whole wall once every cabinet of it was looked at."""
    now = {**table.readings, **new}
    looked = all(reading.seen is not None for reading in now.values())
    whole = log.slot_of(job.state, log.WHOLE, "wall")
    if looked and not set(table.unclear) - set(new) and not whole:
        is_right = all(log.is_right(c, r) for c, r in now.items())
        yield log.mapping_reading(job, log.WHOLE, "wall", is_right)

"""Where a fault is, as somebody typed it: one place as the wall names it, or many cabinets."""

from __future__ import annotations

import re

from commission_tui.checks.faults.fault_words import about_pixels
from commission_tui.checks.faults.kinds import FaultKind
from commission_tui.checks.places.places import NINE_POINTS, nearest_cell, point_fraction
from commission_tui.errors import InputError
from commission_tui.text import quoted
from commission_tui.wall.mapping.observed.phrases import block_of, is_area
from commission_tui.wall.model import place_words
from commission_tui.wall.model.location import Cell, Location, known_location
from commission_tui.wall.model.place_words import CELL
from commission_tui.wall.model.wall_model import Wall

PARTS = {"pixel": "x12 y40", "module": "m1,2", "line": "m1,2 row 5"}
"""How a part of a cabinet is typed."""
_BESIDE_THE_PICTURE = frozenset({"port", "chain place", "circuit", "suspension point", "input"})
"""Forms of place that are no part of each other: a fault of one is not at another."""
_CHAIN = frozenset({"port", "chain place"})
_LIST = re.compile(
    r"R\d{1,4}C\d{1,4}(?:(?: ?[,;&+] ?(?:and )?| and | )R\d{1,4}C\d{1,4})+",
    re.IGNORECASE | re.ASCII,
)
_COLUMN = re.compile(r"(?:^|(?<= ))c ?(\d+)(?= |:|,|$)", re.IGNORECASE | re.ASCII)
_PAIR = re.compile(r"(?<![\w,.])(\d+) *, *(\d+)(?![\w,.]| *(?:mm|cm|m|%|°|lx|cd)\b)", re.ASCII)
_MODULE = re.compile(
    r"\b(?:modules?|mod\.?) *:? *(?:R|row )?([1-9]\d?)(?: *[,./] *|C| column |, column )([1-9]\d?)"
    r"(?![\w,.]| *(?:mm|cm|m|%)\b)",
    re.IGNORECASE | re.ASCII,
)
_ABOUT_MODULES = re.compile(r"\bmod(?:ules?)?\b|\bm\d+,\d+", re.IGNORECASE | re.ASCII)
_PIXEL = re.compile(r"\bx *=? *(\d+)[ ,;/]*y *=? *(\d+)", re.IGNORECASE | re.ASCII)


def form_of(place: str) -> str:
    """Return the form of a place, or nothing while it has no meaning; of many cabinets, theirs."""
    if is_many(place):
        return "cabinet"
    at = known_location(place)
    return at.form if at is not None else ""


def is_many(place: str) -> bool:
    """Whether a place is many cabinets, such as ``row 3``, ``R3C1-R3C6`` or ``R4C2, R4C4``.

    A column is not named by its letter alone: ``C2`` may be a circuit.
    """
    if listed_cells(place):
        return True
    many = is_area(place) and known_location(place) is None
    return many and re.fullmatch(r"c ?\d+", place.strip(), re.IGNORECASE) is None


def listed_cells(place: str) -> tuple[Cell, ...]:
    """Return the cabinets of a list; none of two beside each other without a comma: a seam is between them."""
    text = place.strip()
    if not _LIST.fullmatch(text):
        return ()
    cells = tuple(Cell.parse(cell) for cell in CELL.findall(text))
    rows, columns = ({getattr(cell, way) for cell in cells} for way in ("row", "column"))
    beside = len(cells) == 2 and max(rows) - min(rows) < 2 and max(columns) - min(columns) < 2
    return () if beside and not re.search("[,;]", text) else tuple(dict.fromkeys(cells))


def written_out(wall: Wall, typed: str) -> str:
    """Write places out as the grammar has them: ``bottom row`` as its number, ``C3`` as ``column 3``.

    The latter at an end of the line, where no circuit of the wall is called so.
    """
    typed = place_words.written_out(wall, typed)
    circuits = {circuit.name.casefold() for circuit in wall.circuits}

    def column(found: re.Match[str]) -> str:
        at_an_end = found.start() == 0 or found.end() == len(typed)
        is_circuit = f"c{found[1]}" in circuits or typed[: found.start()].endswith("circuit ")
        return f"column {found[1]}" if at_an_end and not is_circuit else found[0]

    return _COLUMN.sub(column, typed)


def one_part(typed: str, said: str = "") -> str:
    """Return a line with its module or its pixel as places are written; `said` is what is at fault there.

    ``module 2,1`` is ``m2,1``. ``x=12, y=40`` is ``x12 y40``; so is ``12,40`` where the line is about a
    pixel of a cabinet, and not about a module as well unless it stands right behind the pixel.
    """
    text = _MODULE.sub(r"m\1,\2", typed)
    text = _PIXEL.sub(r"x\1 y\2", text)
    if not (about_pixels(f"{said} {text}") and CELL.search(text)):
        return text
    pair = _PAIR.search(text)
    if pair is None or (
        _ABOUT_MODULES.search(text) and not about_pixels(text[: pair.start()].split(" ")[-2:][0])
    ):
        return text
    return f"{text[: pair.start()]}x{pair[1]} y{pair[2]}{text[pair.end() :]}"


def inside(place: str, typed: str, form: str) -> str:
    """Return a part that was typed by itself as one of the place that it was asked of."""
    pair = r"x\1 y\2" if form == "pixel" else r"m\1,\2"
    part = _PAIR.sub(pair, one_part(typed), count=1)
    at = known_location(place)
    if form == "pixel" and at is not None and at.module is not None:
        place = str(at.cell)  # its pixels are counted in the cabinet
    if CELL.match(part):  # another cabinet, and no part of this one
        return part if form_of(part) else typed
    return next((where for where in (f"{place} {part}", part) if form_of(where)), typed)


def unclear_numbers(words: str) -> tuple[str, ...]:
    """Return two numbers in words about a module and a pixel, which may be of either."""
    if not (_ABOUT_MODULES.search(words) and about_pixels(words)):
        return ()
    return tuple(pair[0] for pair in _PAIR.finditer(words))


def cabinets_of(wall: Wall, place: str) -> tuple[str, ...]:
    """Return the cabinets where a place is many of them; none where it is one place.

    Raises
    ------
    InputError
        When none of them is on this wall, or one of a list is not.
    """
    if not is_many(place):
        return ()
    if cells := listed_cells(place):
        return tuple(str(cell) for one in cells for cell in block_of(wall, str(one)).cells)
    return tuple(str(cell) for cell in block_of(wall, place).cells)


def place_of(wall: Wall, typed: str) -> str:
    """Return what is typed of a place as the wall's places are named: a measured point by its cabinet.

    Raises
    ------
    InputError
        When it begins with a cabinet that is not there.
    """
    text = " ".join(typed.split()).lower()
    if text in NINE_POINTS:
        return str(nearest_cell(point_fraction(text), wall))
    if at := CELL.match(text):  # whatever follows: first the cabinet has to be there
        wall.resolve(Location(cell=Cell.parse(at[0])))
    return one_part(typed)


def places_of(wall: Wall, kind: FaultKind, typed: str) -> tuple[str, ...]:
    """Return every place at which a fault is logged for what is typed.

    Raises
    ------
    InputError
        When a fault of this kind cannot be at a place of this form, or none of the cabinets is there.
    """
    if why := misplaced(wall, kind, typed):
        raise InputError(f"place: {why}")
    return cabinets_of(wall, typed) or (place_of(wall, typed),)


def misplaced(wall: Wall, kind: FaultKind | None, place: str) -> str:
    """Say why a fault of a kind cannot be at a place, whatever the wall has there; nothing where it can."""
    if kind is None:
        return ""
    if is_many(place) and kind.form in PARTS:
        try:
            first = cabinets_of(wall, place)[0]
        except InputError:  # the wall has none of them, which is said when it is logged
            return ""
        return (
            f"found {quoted(place)}, expected one cabinet for a fault of one {kind.form}, "
            f"such as {first} {PARTS[kind.form]}"
        )
    at = form_of(place)
    forms = {at, kind.form}
    if at == kind.form or not forms <= _BESIDE_THE_PICTURE or forms <= _CHAIN:
        return ""
    return f"found {quoted(place)}, a {at}; expected {kind.place_hint}"

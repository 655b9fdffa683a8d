"""Where a fault is: its place told apart from its words, the part that is asked for, the cabinets it names."""

from __future__ import annotations

import re

from commission_tui.checks.faults.fault_words import about_pixels, kinds_like, kinds_meant
from commission_tui.checks.places.places import NINE_POINTS
from commission_tui.logbook.job import OpenJob
from commission_tui.screens.layers.place_lookup import fault_location
from commission_tui.wall.mapping.observed.phrases import block_of, is_area
from commission_tui.wall.model import place_words
from commission_tui.wall.model.location import Cell, Location, known_location
from commission_tui.wall.model.place_words import CELL


def form_of(place: str) -> str:
    """Return the form of a place, or nothing while it has no meaning; of many cabinets, theirs."""
    if is_many(place):
        return "cabinet"
    at = known_location(place)
    return at.form if at is not None else ""


def is_many(place: str) -> bool:
    """Whether a place is many cabinets, such as ``row 3`` or ``R3C1-R3C6``.

    A column is not named by its letter alone: ``C2`` may be a circuit.
    """
    many = is_area(place) and known_location(place) is None
    return many and re.fullmatch(r"c ?\d+", place.strip(), re.IGNORECASE) is None


_COLUMN = re.compile(r"(?:^|(?<= ))c ?(\d+)(?= |:|,|$)", re.IGNORECASE | re.ASCII)


def written_out(job: OpenJob, typed: str) -> str:
    """Write places out as the grammar has them: ``bottom row`` as its number, ``C3`` as ``column 3``.

    The latter at an end of the line, where no circuit of the wall is called so.
    """
    typed = place_words.written_out(job.state.wall, typed)
    circuits = {circuit.name.casefold() for circuit in job.state.wall.circuits}

    def column(found: re.Match[str]) -> str:
        at_an_end = found.start() == 0 or found.end() == len(typed)
        is_circuit = f"c{found[1]}" in circuits or typed[: found.start()].endswith("circuit ")
        return f"column {found[1]}" if at_an_end and not is_circuit else found[0]

    return _COLUMN.sub(column, typed)


def inside(place: str, typed: str, form: str) -> str:
    """Return a part that was typed by itself as one of the place that it was asked of."""
    pair = r"x\1 y\2" if form == "pixel" else r"m\1,\2"
    part = _PAIR.sub(pair, one_part(typed), count=1)
    at = known_location(place)
    if form == "pixel" and at is not None and at.module is not None:
        place = str(at.cell)  # its pixels are counted in the cabinet
    return next((where for where in (f"{place} {part}", part) if form_of(where)), typed)


def one_part(typed: str) -> str:
    """Return a line with its module or its pixel as places are written.

    ``module 2,1`` is ``m2,1``. ``x=12, y=40`` is ``x12 y40``; so is ``12,40`` where the line is about a
    pixel of a cabinet, and not about a module as well unless it stands right behind the pixel.
    """
    text = _MODULE.sub(r"m\1,\2", typed)
    text = _PIXEL.sub(r"x\1 y\2", text)
    if not (about_pixels(text) and CELL.search(text)):
        return text
    pair = _PAIR.search(text)
    if pair is None or (
        _ABOUT_MODULES.search(text) and not about_pixels(text[: pair.start()].split(" ")[-2:][0])
    ):
        return text
    return f"{text[: pair.start()]}x{pair[1]} y{pair[2]}{text[pair.end() :]}"


_LONGEST_PLACE = 7
"""Words of a place: from behind: row 3, 6th from left."""
_BETWEEN = {"at", "in", "of", "on", ":", ",", "-"}
_PLACE = re.compile(
    r"\b(?:R\d+C\d+|m?\d+,\d+|x\d+ y\d+|\d+(?:st|nd|rd|th) )", re.IGNORECASE | re.ASCII
)
_PAIR = re.compile(r"(?<![\w,.])(\d+) *, *(\d+)(?![\w,.]| *(?:mm|cm|m|%|°|lx|cd)\b)", re.ASCII)
_MODULE = re.compile(
    r"\b(?:modules?|mod\.?) *:? *(?:R|row )?([1-9]\d?)(?: *[,./] *|C| column |, column )([1-9]\d?)"
    r"(?![\w,.]| *(?:mm|cm|m|%)\b)",
    re.IGNORECASE | re.ASCII,
)
_SIDE = re.compile(r"(?:top|bottom|left|right|upper|lower|corner)\b", re.IGNORECASE)
_ABOUT_MODULES = re.compile(r"\bmod(?:ules?)?\b|\bm\d+,\d+", re.IGNORECASE | re.ASCII)
_PIXEL = re.compile(r"\bx *=? *(\d+)[ ,;/]*y *=? *(\d+)", re.IGNORECASE | re.ASCII)


def unclear_numbers(words: str) -> tuple[str, ...]:
    """Return two numbers in words about a module and a pixel, which may be of either."""
    if not (_ABOUT_MODULES.search(words) and about_pixels(words)):
        return ()
    return tuple(pair[0] for pair in _PAIR.finditer(words))


def parted(typed: str) -> tuple[str, str]:
    """Part one line, such as ``R2C3 dead pixel at x12 y40``, into the place and the fault.

    The place may stand anywhere, a cabinet apart from what is inside it. Where all of it may be a
    kind of fault, or no place stands in it, the place is empty.
    """
    if kinds_like(typed):
        return "", typed
    words = one_part(typed).split()
    if many := _many_at_an_end(words):
        return _text(words, many), _rest(words, many)
    spans = [
        (first, first + count)
        for count in range(min(len(words) - 1, _LONGEST_PLACE), 0, -1)
        for first in range(len(words) - count + 1)
    ]
    places = [span for span in spans if _may_stand(span, words) and _is_place(_text(words, span))]
    for cell in places:
        if form_of(_text(words, cell)) != "cabinet":
            continue
        for part in spans:
            where = f"{_text(words, cell)} {_text(words, part)}"
            apart = part[1] <= cell[0] or cell[1] < part[0]
            if apart and _is_numbered(words, part) and _is_place(where):
                return where, _rest(words, cell, part)
    for place in places:
        if not _is_side_of_corner(place, words):
            return _text(words, place), _rest(words, place)
    return "", typed


def _is_side_of_corner(span: tuple[int, int], words: list[str]) -> bool:
    """Whether a seam is only half of what is said: ``R6C12 bottom right`` is a corner of the cabinet."""
    is_seam = form_of(_text(words, span)) == "seam" and words[span[1] - 1][-1:].isalpha()
    return is_seam and words[span[1] : span[1] + 1] != [] and bool(_SIDE.match(words[span[1]]))


def is_fault_line(typed: str) -> bool:
    """Whether a line names a place and, beside it, a kind of fault: it is a fault by itself."""
    if known_location(typed) is not None:
        return False
    place, words = parted(typed)
    return bool(place and kinds_meant(words))


def _many_at_an_end(words: list[str]) -> tuple[int, int] | None:
    """Return where many cabinets are named, first or last in a line that names no other place."""
    for count in range(min(len(words) - 1, _LONGEST_PLACE), 0, -1):
        for span in ((0, count), (len(words) - count, len(words))):
            rest = " ".join([*words[: span[0]], *words[span[1] :]])
            if is_many(_text(words, span)) and not _PLACE.search(rest):
                return span
    return None


def _text(words: list[str], span: tuple[int, int]) -> str:
    return " ".join(words[slice(*span)]).rstrip(":,;")


def _may_stand(span: tuple[int, int], words: list[str]) -> bool:
    """Whether a place may stand here: one without a number, the wall, is first or last in the line."""
    return _is_numbered(words, span) or span[0] == 0 or span[1] == len(words)


def _is_numbered(words: list[str], span: tuple[int, int]) -> bool:
    return any(letter.isdecimal() for letter in _text(words, span))


def _rest(words: list[str], *places: tuple[int, int]) -> str:
    """Return the words without places, and without what stands between a place and a fault."""
    taken = {at for span in places for at in range(*span)}
    for first, behind in places:
        for beside, step in ((first - 1, -1), (behind, 1)):
            at = beside
            while 0 <= at < len(words) and (at in taken or words[at] in _BETWEEN):
                taken.add(at)
                at += step
    return " ".join(word for at, word in enumerate(words) if at not in taken)


def _is_place(text: str) -> bool:
    """Whether this is a place other than one by name, since any word may be a name."""
    at = known_location(text)
    return at is not None and at.named is None


def cabinets_of(job: OpenJob, place: str) -> tuple[str, ...]:
    """Return the cabinets where a place is many of them; none where it is one place.

    Raises
    ------
    InputError
        When none of them is on this wall.
    """
    if not is_many(place):
        return ()
    return tuple(str(cell) for cell in block_of(job.state.wall, place).cells)


def place_of(job: OpenJob, typed: str) -> str:
    """Return what is typed of a place as the wall's places are named: a measured point by its cabinet.

    Raises
    ------
    InputError
        When it begins with a cabinet that is not there.
    """
    text = " ".join(typed.split()).lower()
    if text in NINE_POINTS:
        return fault_location("nine points", text, job.state.wall)
    if at := CELL.match(text):  # whatever follows: first the cabinet has to be there
        job.state.wall.resolve(Location(cell=Cell.parse(at[0])))
    return one_part(typed)


def in_module(at: str, place: str, words: str) -> str:
    """Return a row or column as a line of the module that one is at, where a line is meant; else as it is."""
    whole = f"{at} {place}"
    if form_of(whole) != "line":
        return place
    kinds = kinds_meant(" ".join(CELL.sub("", words).split()), form_of(at))
    return whole if kinds and kinds[0].form == "line" else place

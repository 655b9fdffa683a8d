"""A fault in one line: its place told apart from its words."""

from __future__ import annotations

import re

from commission_tui.checks.faults.fault_words import kinds_like, kinds_meant
from commission_tui.checks.faults.typed_places import form_of, is_many, listed_cells, one_part
from commission_tui.wall.model.location import known_location
from commission_tui.wall.model.place_words import BETWEEN, CELL

_LONGEST_PLACE = 7
"""Words of a place: from behind: row 3, 6th from left."""
_BETWEEN = {"at", "in", "of", "on", ":", ",", "-"}
_PLACE = re.compile(
    r"\b(?:R\d+C\d+|m?\d+,\d+|x\d+ y\d+|\d+(?:st|nd|rd|th) )", re.IGNORECASE | re.ASCII
)
_SIDE = re.compile(r"(?:top|bottom|left|right|upper|lower|corner)\b", re.IGNORECASE)


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
            where = _text(words, span)
            if listed_cells(where) and BETWEEN.search(rest):
                continue
            if is_many(where) and not _PLACE.search(rest):
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


def in_module(at: str, place: str, words: str) -> str:
    """Return a row or column as a line of the module that one is at, where a line is meant; else as it is."""
    whole = f"{at} {place}"
    if form_of(whole) != "line":
        return place
    kinds = kinds_meant(" ".join(CELL.sub("", words).split()), form_of(at))
    return whole if kinds and kinds[0].form == "line" else place

"""Places as people say them, front view: ``bottom row``, ``top left cabinet``, ``rows 2 to 4``.

What has one meaning on a wall is written as the grammar of `location` and of ranges has it; what
may mean several places stays as it is, and `places_named` finds it, so that somebody is asked.
"""

from __future__ import annotations

import re

from commission_tui.wall.model.location import Cell
from commission_tui.wall.model.wall_model import Wall

CELL = re.compile(r"\bR\d+C\d+\b", re.IGNORECASE | re.ASCII)
_NUMBERS = [
    "first",
    "second",
    "third",
    "fourth",
    "fifth",
    "sixth",
    "seventh",
    "eighth",
    "ninth",
    "tenth",
]
_NTH = rf"(?:{'|'.join(_NUMBERS)}|[1-9]\d{{0,3}}(?:st|nd|rd|th))"
_CABINETS = r"(?: (?:of )?(?:cabinets|panels|tiles)\b)?"
_ROW = re.compile(
    rf"\b(?:the )?(?P<which>top|topmost|bottom|lowest|last|middle|centre|center|{_NTH}) row\b"
    rf"(?! from| of (?!cabinets|panels|tiles)){_CABINETS}",
    re.IGNORECASE | re.ASCII,
)
_COLUMN = re.compile(
    rf"\b(?:the )?(?P<which>(?:far )?(?:left|right)(?:most|[- ]hand)?|middle|centre|center|{_NTH}) "
    rf"col(?:umn|\.)?(?=\W|$)(?! from| of (?!cabinets|panels|tiles)){_CABINETS}",
    re.IGNORECASE | re.ASCII,
)
_HIGH = r"(?P<high>top|upper|bottom|lower)"
_WIDE = r"(?P<wide>left|right)(?:[- ]hand)?"
_ONE = r"(?:corner )?(?:cabinet|panel|tile)"
_AT_CORNER = tuple(
    re.compile(rf"\b(?:the )?{pattern}\b", re.IGNORECASE)
    for pattern in (
        rf"{_HIGH}[- ]{_WIDE} {_ONE}",
        rf"{_WIDE}[- ]{_HIGH} {_ONE}",
        rf"{_ONE} (?:at |in )?(?:the )?{_HIGH}[- ]{_WIDE}(?! of)(?: corner\b(?! of))?",
    )
)
_IN_MIDDLE = re.compile(rf"\b(?:the )?(?:middle|centre|center) {_ONE}\b", re.IGNORECASE)
_RANGE = re.compile(
    r"\b(rows?|columns?|cols?\.?) (\d{1,4}) ?(?:to|till|until|through) ?(\d{1,4})\b",
    re.IGNORECASE | re.ASCII,
)
_TWO = re.compile(
    r"\b(rows?|columns?|cols?\.?) (\d{1,4}) ?(?:and|&|\+) ?(\d{1,4})\b(?! *(?:and|&|\+|,) *\d)",
    re.IGNORECASE | re.ASCII,
)
_CELLS = re.compile(
    r"\b(?:from )?(R\d{1,4}C\d{1,4}) ?(?:to|till|until|through) ?((?:R\d{1,4})?C\d{1,4})\b",
    re.IGNORECASE | re.ASCII,
)
BETWEEN = re.compile(
    r"\b(?:seams?|gaps?|steps?|edges?|corners?|cables?|jumpers?|links?|between|swapped|exchanged|crossed)\b",
    re.IGNORECASE,
)
"""Words beside which two cabinets are no range: what is at fault lies between them."""
_ROW_AND_COLUMN = re.compile(
    r"\b(?:row|r)[ .:]*0*([1-9]\d{0,3})[ ,;:/.-]*(?:column|col|c)[ .:]*0*([1-9]\d{0,3})\b"
    r"(?! ?(?:[-,&+]|and) ?\d)",
    re.IGNORECASE | re.ASCII,
)
"""Not where more columns follow: they are several cabinets."""
_OF_MODULE = re.compile(r"\bmod(?:ules?)?\b[ .:]*$", re.IGNORECASE)
_COLUMN_FIRST = re.compile(r"\bC(\d{1,4}) ?R(\d{1,4})\b", re.IGNORECASE | re.ASCII)
_WHOLE = re.compile(r"\b(?:the )?(?:whole|entire) wall\b", re.IGNORECASE)
_OTHER_VIEW = re.compile(
    r"\b(?:behind|rear|back|backside|modules?|leds?|pixels?|lines?|stage|m\d+,\d+)\b",
    re.IGNORECASE | re.ASCII,
)
"""Words beside which left is not the audience's, or a row not one of cabinets."""


def written_out(wall: Wall, typed: str) -> str:
    """Write what a person calls a place as the grammar has it, where it is one place of this wall.

    ``bottom row`` is ``row 4`` of a wall with four; ``top left cabinet`` is ``R1C1``. Where a cabinet
    is named, or it is said from behind or of modules, words for sides are left as they are.
    """
    text = _TWO.sub(_two, _RANGE.sub(r"\1 \2-\3", typed))
    text = _ROW_AND_COLUMN.sub(_cell, text)
    text = _COLUMN_FIRST.sub(lambda found: _row_first(wall, found), text)
    if not BETWEEN.search(text):
        text = _CELLS.sub(r"\1-\2", text)
    if CELL.search(text) or _OTHER_VIEW.search(text):
        return text
    text = _WHOLE.sub("wall", text)
    for pattern in _AT_CORNER:
        text = pattern.sub(lambda found: _corner(wall, found), text)
    if wall.rows % 2 and wall.columns % 2:
        middle = Cell((wall.rows + 1) // 2, (wall.columns + 1) // 2)
        if middle in wall.cabinets:
            text = _IN_MIDDLE.sub(str(middle), text)
    text = _ROW.sub(lambda found: _line(found, "row", wall.rows), text)
    return _COLUMN.sub(lambda found: _line(found, "column", wall.columns), text)


def _two(found: re.Match[str]) -> str:
    """Return two lines beside each other as a range; others are none."""
    beside = abs(int(found[2]) - int(found[3])) == 1
    return f"{found[1]} {found[2]}-{found[3]}" if beside else found[0]


def _cell(found: re.Match[str]) -> str:
    """Return ``row 1 col 13`` as ``R1C13``, unless it is a module, or lies in a cabinet named before."""
    before, cell = found.string[: found.start()], f"R{found[1]}C{found[2]}"
    is_within = CELL.search(before) and _OTHER_VIEW.search(before)
    is_other = is_within or _OF_MODULE.search(before) or found[0].upper() == cell
    return found[0] if is_other else cell


def _row_first(wall: Wall, found: re.Match[str]) -> str:
    """Return ``C5 R2`` as ``R2C5``, where that is a cabinet and no circuit is called ``C5``."""
    cell = Cell(int(found[2]), int(found[1]))
    is_circuit = f"c{found[1]}" in {circuit.name.casefold() for circuit in wall.circuits}
    return str(cell) if cell in wall.cabinets and not is_circuit else found[0]


def _corner(wall: Wall, found: re.Match[str]) -> str:
    row = 1 if found["high"].lower() in {"top", "upper"} else wall.rows
    cell = Cell(row, 1 if found["wide"].lower() == "left" else wall.columns)
    return str(cell) if cell in wall.cabinets else found[0]


def _line(found: re.Match[str], way: str, many: int) -> str:
    which = found["which"].lower()
    if which in _NUMBERS:
        number = _NUMBERS.index(which) + 1
    elif which[0].isdecimal():
        number = int(re.sub(r"\D", "", which))
    elif which in {"middle", "centre", "center"}:
        number = (many + 1) // 2 if many % 2 else 0
    else:
        number = 1 if which.startswith("top") or "left" in which else many
    return f"{way} {number}" if number else found[0]


_SIDE = (
    r"(?:top|bottom|left|right|upper|lower|topmost|lowest|(?:left|right)(?:most|-hand)|middle|centre|"
    r"center|corners?)"
)
_COUNTED = (
    r"(?:rows?|columns?|cols?\.?|cabinets?|panels?|tiles?|modules?|mod\.?|pixels?|lines?|ports?) ?"
)
_NAMED = re.compile(
    rf"\b(?:{_SIDE}(?:[- ](?:{_SIDE}|half|third|quarter|part|side|edge|end|row|column|cabinet|panel|"
    rf"tile|module)\b)*|(?:whole|entire) wall|{_NTH} (?:row|column|cabinet|panel|tile|module)\b)",
    re.IGNORECASE | re.ASCII,
)
_NUMBERED = re.compile(
    rf"(?:\b{_COUNTED}\d+(?: ?[-,./] ?\d+\b)?|\bR\d+C\d+|\b[RC]\d+(?= |$)|\bP\d+(?:\.\d+)?(?= |$)|"
    r"\bm\d+,\d+|\bx\d+ y\d+)",
    re.IGNORECASE | re.ASCII,
)


def places_named(words: str, *, sides: bool = True) -> tuple[str, ...]:
    """Return every place that words name or hint at; without `sides` only those with a number."""
    patterns = (_NAMED, _NUMBERED) if sides else (_NUMBERED,)
    found = [
        (one.start(), one[0].strip()) for pattern in patterns for one in pattern.finditer(words)
    ]
    return tuple(text for _, text in sorted(found))

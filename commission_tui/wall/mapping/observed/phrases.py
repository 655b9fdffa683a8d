"""What was seen, typed as people say it: ``C1-C3 show C4-C6``, ``R1C5.. dark``, ``wall ok``."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from commission_tui.errors import InputError
from commission_tui.text import counted, quoted
from commission_tui.wall.mapping.observed.observation import Observation, Observations
from commission_tui.wall.model.location import Cell
from commission_tui.wall.model.wall_model import Wall

_AREA = (
    r"(?:wall|(?:rows?|columns?) \d{1,4}(?: ?- ?\d{1,4})?|C\d{1,4}(?: ?- ?C?\d{1,4})?"
    r"|R\d{1,4}(?: ?- ?R?\d{1,4})?|R\d{1,4}C\d{1,4}(?: ?(?:\.\.|[:-] ?(?:R\d{1,4})?C\d{1,4}))?"
    r"|P\d{1,4}(?:\.\d{1,5}(?: ?\.\.)?)?)"
)
_PHRASE = re.compile(
    rf"(?P<what>{_AREA}) (?:(?:shows? )?(?P<shown>{_AREA})|(?:(?:is|are|all) )?(?P<how>backwards|"
    r"upside down|mirrored|dark|garbled|not looked at|as designed|ok))",
    re.IGNORECASE,
)
_STARTS = re.compile(rf"(?P<what>{_AREA}) (?P<how>[a-z].*)", re.IGNORECASE)
_ONE = re.compile(r"R\d{1,4}C\d{1,4}", re.IGNORECASE)
_DARK_COUNT = re.compile(rf"(?P<what>{_AREA}) last (?P<count>\d{{1,5}}) dark", re.IGNORECASE)
_STANDS = ("up", "right", "down", "left")
_SHORT = (
    (re.compile(r"(?<=[a-z])[.,;!]$"), ""),
    (re.compile(r"\b(?:the )?(?:whole wall|all|everything)(?= \w)"), "wall"),
    (re.compile(r"\bcol(?:umn)?(s?)\.? ?(?=\d)"), r"column\1 "),
    (re.compile(r"\brow(s?) ?(?=\d)"), r"row\1 "),
    (re.compile(r"\b(?:port|p) ?(?=\d)"), "P"),
    (re.compile(r"\br ?(?=\d)"), "R"),
    (re.compile(r"(?<=\d)c(?=\d)|\bc ?(?=\d)"), "C"),
    (re.compile(r"\b(R\d+) (?:c|C) ?(?=\d+\b)"), r"\1C"),
    (re.compile(r"\bfrom (?=[RC]\d)"), ""),
    (re.compile(r"(?<=\d) ?(?:to|till|until|through) ?(?=[RC]?\d)"), "-"),
    (re.compile(r"(?<=\d) ?(?:\.{2,}|…) ?(?=[RC]\d)"), "-"),
    (re.compile(r" ?(?:\.{2,}|…)"), ".."),
    (re.compile(r" ?(?:[-=]>|→) ?(?=[RCP]\d|row|col)"), " shows "),
    *((re.compile(f" ?{sign}$"), f" {word}") for sign, word in zip("↑→↓←", _STANDS, strict=True)),
    (re.compile(r" ?= ?|\bis(?= [RCP]\d)"), " shows "),
    (re.compile(r"\b(?:backward|reversed)$"), "backwards"),
    (re.compile(r"\bupside-down$"), "upside down"),
    (re.compile(r"\bblack$"), "dark"),
    (re.compile(r"\b(?:okay|good|fine|own|its own)$"), "ok"),
)
"""Short ways to write, each with the one that is read."""
PHRASES = (
    "row 3, C1-C3, R1C1 to R2C6, R1C5.. (from there to the end of its chain), P2 or wall, then "
    "backwards, upside down, mirrored, dark, last 5 dark, garbled, not looked at, ok, or show C4-C6"
)


def spelt_out(text: str) -> str:
    """Return what was typed with short ways written out: ``row3 okay`` is ``row 3 ok``."""
    words = " ".join(text.lower().split())
    for short, whole in _SHORT:
        words = short.sub(whole, words)
    return " ".join(words.split())


def is_phrase(text: str) -> bool:
    """Tell a phrase about places (``R1C2 dark``) from a tile with its arrow (``R1C2 down``)."""
    words = spelt_out(text)
    if _PHRASE.fullmatch(words) or _DARK_COUNT.fullmatch(words):
        return True
    match = _STARTS.fullmatch(words)
    return match is not None and _ONE.fullmatch(match["what"]) is None


def is_area(text: str) -> bool:
    """Whether this names cabinets as a phrase does (``row 3``, ``R3C1-R3C6``), one or many."""
    return re.fullmatch(_AREA, spelt_out(text), re.IGNORECASE) is not None


@dataclass(frozen=True, slots=True)
class Block:
    """The cabinets that a phrase names, in the order in which it names them."""

    cells: tuple[Cell, ...]
    lines: tuple[tuple[Cell, ...], ...]
    """The same line by line: rows from left to right, or a column or a chain from its start."""


def named_readings(
    wall: Wall, observations: Observations, phrase: str, *, from_behind: bool = False
) -> dict[Cell, Observation]:
    """Return what a phrase such as ``row 3 backwards`` says of the cabinets that it names.

    Parameters
    ----------
    wall, observations
        The wall, and what was seen so far.
    phrase
        Where, and what is seen there.
    from_behind
        Columns are counted from behind; tiles keep the names that they show.

    Raises
    ------
    InputError
        When the phrase is not understood, names cabinets that are not there, or more dark ones
        than there are.
    """
    words = spelt_out(phrase)
    if count := _DARK_COUNT.fullmatch(words):
        return _last_dark(wall, count, from_behind=from_behind)
    match = _PHRASE.fullmatch(words)
    if match is None:
        raise InputError(f"entry: found {quoted(phrase)}, expected {PHRASES}")
    block = block_of(wall, match["what"], from_behind=from_behind)
    old = {cell: observations.get(cell, Observation()) for cell in block.cells}
    if match["shown"]:
        shown = block_of(wall, match["shown"]).cells
        if len(shown) != len(block.cells):
            raise InputError(
                f"entry: found {counted(len(shown), 'tile')} for "
                f"{counted(len(block.cells), 'cabinet')}, expected as many"
            )
        return {c: replace(old[c], seen=s) for c, s in zip(block.cells, shown, strict=True)}
    how = match["how"].lower()
    if how == "backwards":
        return {
            cell: _backwards(old[cell], other, old[other])
            for line in block.lines
            for cell, other in zip(line, reversed(line), strict=True)
        }
    return {cell: _changed(cell, reading, how) for cell, reading in old.items()}


def _last_dark(wall: Wall, match: re.Match[str], *, from_behind: bool) -> dict[Cell, Observation]:
    block = block_of(wall, match["what"], from_behind=from_behind)
    count = int(match["count"])
    if not 0 < count <= len(block.cells):
        raise InputError(
            f"entry: found {count} dark of {match['what']}, expected 1 to {len(block.cells)}"
        )
    return dict.fromkeys(block.cells[-count:], Observation("dark"))


def _backwards(here: Observation, other: Cell, there: Observation) -> Observation:
    """Return what a cabinet shows that had its line's other place; one that shows no tile has none to give."""
    if here.seen in ("dark", "garbled"):
        return here
    return replace(here, seen=other if there.seen in ("dark", "garbled") else there.seen)


def _changed(cell: Cell, reading: Observation, how: str) -> Observation:
    if how in {"upside down", "mirrored"} and reading.seen in (None, "dark"):
        reading = Observation(cell)  # who sees how it is turned sees it lit
    if how == "upside down":
        return replace(reading, angle_deg=180)
    if how == "mirrored":
        return replace(reading, mirrored=True)
    if how == "dark":
        return Observation("dark")
    if how == "garbled":
        return replace(reading, seen="garbled")
    return Observation() if how == "not looked at" else Observation(cell)


def block_of(wall: Wall, text: str, *, from_behind: bool = False) -> Block:
    """Return the cabinets of a place: a block, whole lines, or a chain from a place on.

    Raises
    ------
    InputError
        When no cabinet of this wall is there.
    """
    word = spelt_out(text).lower()
    if word.startswith("p") or word.endswith(".."):
        cells = _of_chain(wall, word, from_behind=from_behind)
        lines: list[tuple[Cell, ...]] = [tuple(cells)]
    else:
        rows, columns = _bounds(wall, word)
        if from_behind and columns is not None:
            columns = sorted(wall.columns + 1 - column for column in columns)
        lines = _lines(wall, rows, columns, downwards=word.startswith("column"))
        if from_behind:
            lines = [line[::-1] for line in lines] if not word.startswith("column") else lines
    cells = [cell for line in lines for cell in line]
    if not cells:
        raise InputError(f"entry: found {quoted(text)}, expected cabinets of this wall")
    return Block(tuple(cells), tuple(lines))


def _bounds(wall: Wall, word: str) -> tuple[list[int], list[int] | None]:
    """Return the first and last row and column that a place names; no columns for all of them."""
    numbers = [int(number) for number in re.findall(r"\d+", word)]
    every_row = [1, wall.rows]
    if word == "wall":
        return every_row, None
    if word.startswith("c"):
        return every_row, sorted([numbers[0], numbers[-1]])
    if "c" in word.removeprefix("row"):
        first = numbers[:2]
        last = numbers[::2] if len(numbers) == 3 else numbers[-2:]  # R1C4-C6 stays in its row
        return sorted([first[0], last[0]]), sorted([first[1], last[1]])
    return sorted([numbers[0], numbers[-1]]), None


def _lines(
    wall: Wall, rows: Sequence[int], columns: Sequence[int] | None, *, downwards: bool
) -> list[tuple[Cell, ...]]:
    found: dict[int, list[Cell]] = {}
    for cell in wall.cabinets:
        inside = columns is None or columns[0] <= cell.column <= columns[-1]
        if rows[0] <= cell.row <= rows[-1] and inside:
            found.setdefault(cell.column if downwards else cell.row, []).append(cell)
    return [tuple(line) for _, line in sorted(found.items())]


def _of_chain(wall: Wall, word: str, *, from_behind: bool) -> list[Cell]:
    onwards = word.endswith("..")
    place = word.removesuffix("..").strip()
    if place.startswith("p"):
        port, _, number = place[1:].partition(".")
        chain = next((c.cells for c in wall.chains if c.port == int(port)), ())
        start = int(number) - 1 if number else 0
        return list(chain[start:] if onwards or not number else chain[start : start + 1])
    cell = Cell.parse(place)
    if from_behind:
        cell = Cell(cell.row, wall.columns + 1 - cell.column)
    chain = next((c.cells for c in wall.chains if cell in c.cells), ())
    return list(chain[chain.index(cell) :]) if cell in chain else []

"""What is asked of a fault's place: one that its words name as well, its part, one that cannot be."""

from __future__ import annotations

import re

from commission_tui.checks.faults.kinds import FaultKind
from commission_tui.checks.faults.typed_places import (
    PARTS,
    form_of,
    inside,
    is_many,
    misplaced,
    unclear_numbers,
    written_out,
)
from commission_tui.errors import InputError
from commission_tui.logbook.job import OpenJob
from commission_tui.screens.shared.fault_places import in_module, parted
from commission_tui.screens.terminal.styled_text import Part
from commission_tui.text import listed, quoted
from commission_tui.wall.model import place_words
from commission_tui.wall.model.location import Location, known_location
from commission_tui.wall.model.place_words import CELL

_MODULE = re.compile(r"\bm([1-9]\d?),([1-9]\d?)\b")


def which_part(kind: FaultKind, place: str) -> str:
    """Ask for the part of a place that a kind of fault is of; nothing where it is named."""
    at = form_of(place)
    open_at = {"wall", "cabinet"} | ({"module"} - {kind.form})
    if kind.form not in PARTS or at not in open_at or is_many(place):
        return ""
    example = PARTS[kind.form]
    if at == "module":
        example = "row 5" if kind.form == "line" else f"{example}, counted in the cabinet"
    elif at == "wall" and kind.form != "pixel":
        example = f"R3C7 {example}"
    return f"which {kind.form} of {place}? Such as {example}; Enter again logs it without one"


def not_taken(
    job: OpenJob, place: str, words: str, kind: FaultKind | None, *, is_typed: bool = True
) -> str:
    """Return the places that the words beside a place name, and that it is not; nothing where there are none.

    Beside a cabinet that was typed, or a part of one, sides tell where in it something is; and what a
    kind is called is no place (corner damage).
    """
    at = known_location(place)
    is_of_cabinet = at is not None and (at.cell is not None or at.rear is not None)
    named = place_words.places_named(words, sides=not (is_of_cabinet and is_typed))
    beside = _AND_MORE.match(words)
    if beside and is_many(place):
        named = (beside[0].strip(), *named)
    if kind is not None:
        of_two = is_of_cabinet and ("swapped" in kind.also or kind.form in _OF_TWO)
        named = tuple(
            one for one in named
            if not (of_two and CELL.fullmatch(one)) and not _is_called_so(kind, one, words)
        )  # fmt: skip
    if at is not None and (module := module_of(job, at)) is not None:
        named = tuple(one for one in named if one != f"m{module[0]},{module[1]}")
    if is_of_cabinet:
        named += unclear_numbers(words)
    return ", ".join(named)


_AND_MORE = re.compile(
    r"(?:and|to|till|until|&|\+|/)? ?(?:R|C|row |column )?\d+\b(?! *%)", re.IGNORECASE
)
_OF_TWO = frozenset({"seam", "corner", "chain place"})
"""Forms of place that lie between two cabinets, of which the second is no other place."""


def _is_called_so(kind: FaultKind, place: str, words: str) -> bool:
    """Whether a word for a place is one of those that a kind is called by, all of which stand there."""
    there = set(words.lower().split())
    called = (set(name.lower().split()) for name in (kind.name, *kind.also))
    return any(set(place.lower().split()) <= name <= there for name in called)


def module_of(job: OpenJob, at: Location) -> tuple[int, int] | None:
    """Return the module, by row and column in its cabinet, that a pixel of a cabinet is in; else None."""
    if at.cell is None or at.pixel is None or at.cell not in job.state.wall.cabinets:
        return None
    return job.state.wall.module_at(at.cell, *at.pixel)


def _by_front(job: OpenJob, place: str) -> str:
    """Return a cabinet that is counted from behind by its name, since a part follows only that."""
    at = known_location(place)
    if at is None or at.rear is None:
        return place
    try:
        return str(job.state.wall.resolve(at))
    except InputError:  # which is said when it is logged
        return place


class FaultPlace:
    """Where one fault is: typed beside it or in the line for the place, where one was, or asked for."""

    def __init__(self, job: OpenJob, here: str) -> None:
        """Begin at the place where one is, which stands in the line until another is typed."""
        self._job, self._here = job, known_location(here)
        self._typed = self.words = self.beside = ""
        """What is typed in one line, of it the fault, and of it the place."""
        self.other = here
        """What stands in the line for the place while none is typed beside the fault."""
        self.is_said = False
        """Whether somebody typed in the line for the place what stands there."""
        self.part_of: str | None = None
        """The place of which it was asked at which pixel, module or line."""
        self.is_asked = self._is_of_words = False
        """Whether it was asked if the place is meant although the words name another."""
        self._module: tuple[int, int] | None = None
        """The module, by row and column, that the words name beside a pixel."""

    def part(self, typed: str, shown: str) -> str:
        """Tell place and words of a line apart; return what belongs into the line for the place.

        `shown` is what stands there.
        """
        if not self.beside:
            self.other = shown
        if typed != self._typed:
            self._typed, self.is_asked, self._is_of_words = typed, False, False
        place, words = parted(written_out(self._job.state.wall, typed))
        at, self._module = known_location(place), None
        if at is not None and at.pixel is not None and (named := _MODULE.search(words)):
            self._module = int(named[1]), int(named[2])  # it is held against the pixel's own
            words = " ".join(f"{words[: named.start()]} {words[named.end() :]}".split())
        self.beside, self.words = (place, words) if place else ("", typed)
        self.beside = in_module(self.other, self.beside, self.words)
        self.is_said &= not self.beside
        return self.beside or self.other

    def keep_beside(self) -> None:
        """Leave the place that was typed beside the fault to its line."""
        self.other, self.beside, self._typed = self.beside, "", self.words
        self._is_of_words = True

    @property
    def module(self) -> str:
        """The module named beside a pixel, where it stands in no line any more."""
        row, column = self._module or (0, 0)
        return "" if self.beside or not row else f"m{row},{column}"

    @property
    def was_asked(self) -> bool:
        """Whether what is entered in the line for the place is an answer."""
        return self.is_asked or self.part_of is not None

    def meant(self, shown: str, kind: FaultKind | None) -> str:
        """Return the place that is logged: what stands in its line, or the part that was asked for."""
        typed = written_out(self._job.state.wall, shown)
        if self.part_of is None or kind is None:
            return typed
        return inside(self.part_of, typed, kind.form)

    def left_over(self, place: str, kind: FaultKind | None) -> str:
        """Return the places that the words name and that were not taken; none where one was typed by itself."""
        is_typed = bool(self.beside) or self._is_of_words
        if self.is_said:
            return ""
        return not_taken(self._job, place, self.words, kind, is_typed=is_typed)

    def ask(self, place: str, kind: FaultKind) -> None:
        """Ask once about a place that is not taken, and once for the part that a kind of fault is of.

        Raises
        ------
        InputError
            With the question, or when the pixel that was answered is not in the module it was asked of.
        """
        if self.part_of is not None:
            asked, at = known_location(self.part_of), known_location(place)
            if asked is None or at is None or asked.cell != at.cell:
                return
            if wrong := self._in_other_module(place, asked.module):
                raise InputError(wrong)
            return
        if not self.is_asked and (wrong := self._in_other_module(place, self._module)):
            self.is_asked = True
            raise InputError(f"{wrong}; Enter again logs it at {place}")
        if not self.is_asked and (named := self.left_over(place, kind)):
            self.is_asked = True
            raise InputError(
                f"where is {quoted(named)}? Such as R3C7, R3C7 m1,2 or row 3; Enter again logs it at {place}"
            )
        if not self.is_asked and (other := self._pixel_here(place)):
            self.is_asked = True
            raise InputError(
                f"where is {quoted(place)}? Such as {other}; Enter again logs it there on the canvas"
            )
        if which := which_part(kind, place):
            self.part_of = _by_front(self._job, place)
            raise InputError(which)

    def _pixel_here(self, place: str) -> str:
        """Return the pixel of the cabinet where one is, of a pixel in the words that names none; else nothing."""
        at, here = known_location(place), self._here
        is_bare = at is not None and at.cell is None and at.pixel is not None
        if not self._is_of_words or here is None or here.cell is None or not is_bare:
            return ""
        return "" if place.lower().startswith("canvas") else f"{here.cell} {place}"

    def _in_other_module(self, place: str, named: tuple[int, int] | None) -> str:
        """Say that a pixel of a cabinet is not in a module, and which pixel of that it may be; else nothing."""
        at = known_location(place)
        module = module_of(self._job, at) if at is not None else None
        if at is None or at.cell is None or at.pixel is None or named in {None, module}:
            return ""
        cabinet = self._job.state.wall.cabinets.get(at.cell)
        if cabinet is None or module is None or named is None:
            return ""
        (row, column), (x, y) = named, at.pixel
        below = (row - 1) * cabinet.height_px // cabinet.module_rows
        beside = (column - 1) * cabinet.width_px // cabinet.module_columns
        return (
            f"place: found {place}, which is in m{module[0]},{module[1]}, expected one in m{row},{column}, "
            f"where {x},{y} is x{x + beside} y{y + below} of the cabinet"
        )


def place_line(
    job: OpenJob, where: FaultPlace, place: str, kind: FaultKind | None, many: tuple[str, ...]
) -> Part:
    """Say beside the line for the place what contradicts it, else what it is many of, or how it is typed."""
    if many and not is_many(place):  # marked before, and no line asks for them
        return f"  {listed(many, 4)}", "muted"
    if wrong := misplaced(job.state.wall, kind, place):
        return f"  {wrong}", "error"
    if named := where.left_over(place, kind):
        return (
            f"  {quoted(named)} stands in your words: type it here, such as R3C7 or row 3",
            "error",
        )
    if many:
        return f"  {listed(many, 4)}", "muted"
    return f"  {kind.place_hint if kind else 'wall, or a position like R3C7'}", "muted"

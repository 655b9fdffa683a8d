"""Of lines that come at once to the form of a fault: which is the next fault, and waits."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from commission_tui.checks.faults.kinds import FaultKind
from commission_tui.checks.faults.typed_places import form_of, inside, is_many, one_part
from commission_tui.checks.places.places import NINE_POINTS
from commission_tui.errors import InputError
from commission_tui.screens.host.typed_keys import Typed, lines_of
from commission_tui.screens.shared import fault_choices as choices
from commission_tui.screens.shared import fault_places
from commission_tui.text import counted
from commission_tui.wall.model.place_words import places_named


@dataclass(slots=True)
class NextFaults:
    """Lines that are each a fault by itself, and what tells another from an answer to the form.

    Of what comes at once, a line is the next fault that has a place together with words, that says a
    kind, or that the field it comes to cannot take; only behind an empty Enter is other text for that
    field. A place that stands beside the fault is not given up for one that comes behind it.
    """

    lines: list[str] = field(default_factory=list)
    came_with: str = ""
    """What stood in the field when one came to it."""
    behind_empty: bool = False
    """Whether an Enter led to the field before which nothing was typed."""
    has_place: bool = False
    """Whether a place was typed beside the fault that the form is of."""

    def is_next(self, name: str, typed: str, *, is_where: bool, at_once: bool) -> bool:
        """Whether what was entered in a field, by its name, is the next fault.

        Parameters
        ----------
        name : str
            Of the field: place, severity or note.
        typed : str
            What was entered.
        is_where : bool
            Whether the field for the place can take it.
        at_once : bool
            Whether it came behind the line before it without a pause.
        """
        if typed == self.came_with:
            return False
        if fault_places.is_fault_line(typed):
            return True
        if not at_once or not typed.strip():
            return False
        if name == "place":
            return self.has_place or not is_where
        if name == "severity":
            return not _is_severity(typed)
        return not self.behind_empty and _is_fault(typed)

    @property
    def says(self) -> str:
        """Which of the lines comes next, and how many do behind it."""
        first, *behind = self.lines
        more = f"; {counted(len(behind), 'line')} behind it" if behind else ""
        return f"Waits until this fault is logged: {first}{more}"

    def left(self, typed: str) -> None:
        """Note what was entered in a field that was left by Enter."""
        self.behind_empty = typed == self.came_with


def is_place(typed: str, kind: FaultKind | None, part_of: str | None) -> bool:
    """Whether the line for the place can take this; a part of a place by itself, where that is asked."""
    text = " ".join(typed.split())
    about_one = one_part(f"pixel {text}").removeprefix("pixel ")
    part = inside(part_of, text, kind.form) if part_of is not None and kind else ""
    return text.lower() in NINE_POINTS or any(
        is_many(where) or form_of(where) for where in (text, about_one, part)
    )


def begin_with_fault(typed: Sequence[Typed]) -> bool:
    """Whether what waits behind a fault begins with the next one, and not with figures or commands."""
    line = lines_of(typed)[0].strip()
    if not line or _opens_a_form(typed, line):
        return False
    return _is_fault(line) or bool(" " in line and places_named(line) and not form_of(line))


def _opens_a_form(typed: Sequence[Typed], line: str) -> bool:
    """Whether the first key is the one that opens the form of the next fault, and no letter of its words."""
    first = typed[0]
    if not first.is_text:
        return not first.is_enter
    if first.key != "l":
        return False
    is_done = any(one.key == "ctrl+s" for one in typed)
    return is_done or (_is_fault(line[1:]) and not _is_fault(line))


def _is_severity(typed: str) -> bool:
    try:
        choices.severity_of(typed)
    except InputError:
        return False
    return True


def _is_fault(typed: str) -> bool:
    """Whether a line has a place and words beside it, or says a kind of fault."""
    if form_of(typed):
        return False
    place, words = fault_places.parted(typed)
    return bool(place and words) or choices.first_is_said(choices.kinds_offered(typed), typed)

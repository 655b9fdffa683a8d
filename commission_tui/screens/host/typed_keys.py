"""What was typed or pasted and is still to do: one key or one line each, and the words for them."""

from __future__ import annotations

import dataclasses
import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from textual import events
from textual.screen import Screen

from commission_tui.screens.host.key_table import key_name
from commission_tui.text import JOINERS, counted, listed

_SHOWN = 24
_FEWEST_SHOWN = 6
_TOLD = 30
"""So many dropped lines are told one by one."""
_NO_COMMAND = re.compile(r"(?:r\d+c\d+|c\d+\s?r\d+)\s+\S.*|l\d*[.,]?\d+", re.IGNORECASE)
"""A fault with its place in front, and a figure with an l for its 1."""
_WORDS = re.compile(
    r"[^\W\d]+(?:-[^\W\d]+)*[,.:]?\s+(?:\S{2,}|\d).*|(?!(.)\1*$)[^\W\d]{8,}|[^\W\d]{2,}(?:-[^\W\d]{2,})+",
    re.IGNORECASE,
)
"""Two words, a long one, and one with a hyphen: commands typed ahead are fewer in a row than its letters."""
_EDITS = frozenset(
    {"backspace", "delete", "left", "right", "home", "end", "ctrl+u", "ctrl+w", "ctrl+k"}
)
_MOVES = frozenset({"up", "down", "pageup", "pagedown", *(f"f{number}" for number in range(1, 13))})
_BREAK = re.compile(r"(\r\n|\r|\n)")


@dataclass(frozen=True, slots=True)
class Asked:
    """What a screen asks for."""

    check: str
    field: str
    """Its name; x and y of a colour, which are asked by turns and pasted as one, have one name."""
    label: str = dataclasses.field(compare=False)


@dataclass(slots=True, eq=False)
class Paste:
    """One paste; its lines go to the screen and the field in which it began, and where let in."""

    screen: Screen[Any] | None = None
    fields: list[Asked] = dataclasses.field(default_factory=list)


@dataclass(frozen=True, slots=True)
class Typed:
    """One key, or one line of a paste."""

    event: events.Key | events.Paste
    at: float
    """When it came, by the clock of Textual's messages."""
    paste: Paste | None = None

    @property
    def is_text(self) -> bool:
        return isinstance(self.event, events.Paste) or self.event.is_printable or self._joins

    @property
    def is_enter(self) -> bool:
        return isinstance(self.event, events.Key) and self.event.key == "enter"

    @property
    def is_escape(self) -> bool:
        return isinstance(self.event, events.Key) and self.event.key == "escape"

    def is_one_more(self, last: Typed, reads_s: float) -> bool:
        """Whether it is text, or ends a line of it, that was typed at once behind another key."""
        is_line = self.is_text or self.is_enter
        return is_line and self.paste is None and self.at - last.at < reads_s

    @property
    def key(self) -> str:
        """Its key; nothing for a line of a paste."""
        return self.event.key if isinstance(self.event, events.Key) else ""

    @property
    def is_edit(self) -> bool:
        """Whether it changes the text before it in a field."""
        return self.is_text or self.key in _EDITS

    @property
    def is_move(self) -> bool:
        """Whether it goes to another place, check or screen, and answers nothing."""
        return self.key in _MOVES

    @property
    def text(self) -> str:
        if isinstance(self.event, events.Paste):
            return self.event.text
        character = self.event.character
        return character if self.is_text and character else f"<{self.event.key}>"

    @property
    def _joins(self) -> bool:
        character = getattr(self.event, "character", None)
        return character is not None and character in JOINERS


@dataclass(slots=True)
class Pace:
    """How soon behind each other keys and lines came."""

    last: Typed | None = None
    """The key that is at work, or was last."""
    came_at_once: bool = False
    """Whether the line of text that is at work came behind the one before it without a pause."""
    closed_at: float = -math.inf
    """When the Enter came that closed a form, by which its field was gone."""

    @property
    def last_at(self) -> float:
        return self.last.at if self.last else -math.inf

    def note(self, typed: Typed, reads_s: float) -> None:
        """Take a key that is about to be handed over."""
        last, self.last = self.last, typed
        if not typed.is_text:
            self.came_at_once &= typed.is_enter
        elif last is not None and last.is_enter:
            is_pasted = typed.paste is not None and typed.paste is last.paste
            self.came_at_once = is_pasted or typed.at - last.at < reads_s

    def is_behind_form(self, typed: Typed, reads_s: float) -> bool:
        """Whether nobody can have seen yet that the form is closed for which a key may be meant."""
        return typed.at - self.closed_at < reads_s


def as_typed(line: str, paste: Paste | None = None) -> list[Typed]:
    """Return a line and its Enter, as they would come now."""
    now = events.Event().time
    keys = events.Paste(line), events.Key("enter", "\r")
    return [Typed(key, now, paste) for key in keys]


def pasted(event: events.Paste) -> Iterator[Typed]:
    """Yield the lines of a paste, and an Enter for each line break, however it is written."""
    paste = Paste()
    for piece in filter(None, _BREAK.split(event.text)):
        ends = _BREAK.fullmatch(piece)
        key = events.Key("enter", "\r") if ends else events.Paste(piece)
        yield Typed(key, event.time, paste)


def is_text_line(typed: Sequence[Typed], opening: str) -> bool:
    """Whether what came at once is a line of text, so that its first letter is no command.

    Behind an `opening` letter, which opens a field, words are typed.
    """
    line = "".join(one.text for one in typed)
    is_behind = line[:1] in opening
    return bool(_NO_COMMAND.fullmatch(line) or (not is_behind and _WORDS.fullmatch(line)))


def is_spelt(typed: Sequence[Typed], opening: str) -> bool:
    """Whether several letters came, the first none that opens a field."""
    return len(typed) > 1 and typed[0].text.isalpha() and typed[0].text not in opening


def is_word(typed: Sequence[Typed]) -> bool:
    """Whether what came at once is a word: three letters or more, not one key held down."""
    line = "".join(one.text for one in typed)
    return len(line) > 2 and line.isalpha() and len(set(line)) > 1


def kept_text(typed: Sequence[Typed]) -> str:
    """Return the text that was typed, each Enter as a line break; keys that are no text are left out."""
    return "".join(
        "\n" if one.is_enter else one.text for one in typed if one.is_text or one.is_enter
    )


def lines_of(typed: Sequence[Typed]) -> list[str]:
    text = "".join(one.text for one in typed).replace("<enter>", "\n")
    return text.removesuffix("\n").split("\n")


def whole_text(typed: Sequence[Typed]) -> str:
    """Return every line that was typed, and how many these are where it is more than one."""
    lines = lines_of(typed)
    text = _written(typed)
    if len(lines) < 2 or len(text) <= _SHOWN:
        return text
    told = listed(lines, _TOLD, " | ")  # a comma may be a decimal sign of what was typed
    return f"{counted(len(lines), 'line')}: {told}"


def short_text(typed: Sequence[Typed], room: int) -> str:
    """Return the beginning of what was typed in so many columns, and of how many lines it is that."""
    text, lines = _written(typed), len(lines_of(typed))
    if len(text) <= min(_SHOWN, room):
        return text
    many = f" ({lines} lines)" if lines > 1 else ""
    most = min(_SHOWN - 2, room - len(f" ..{many}"))
    return f"{text[: max(_FEWEST_SHOWN, most)].rstrip()} ..{many}"


def _written(typed: Sequence[Typed]) -> str:
    """Return what was typed in one line, keys by their names; a tab would take more columns than one."""
    return "".join(
        one.text.replace("\t", " ") if one.is_text else f" {key_name(one.key)} " for one in typed
    ).strip()

"""Words for screen, page and command line: one way each to count, shorten, list and clean them."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Sequence

NO_CONTROLS = r"^[^\x00-\x08\x0b-\x1f\x7f-\x9f\u2028-\u202e\u2066-\u2069]*$"
"""A pattern: no control characters and no direction overrides; tabs and line ends may be."""
NO_CONTROLS_IN_LINE = NO_CONTROLS.replace(r"\x08\x0b", r"\x09\x0a\x0b")
"""The same for one line, which has neither."""
JOINERS = "\u200c\u200d"
"""Invisible, and needed to write some languages, and people and flags among emoji."""
CUT = ".."
"""Stands for what is left out; every terminal and every font has it."""
NO_SOURCE = "common practice, no published source"
"""The source of what the trade does and nobody was found to have written down."""
_QUOTED = 40
_NAMED = 5


def upper_first(text: str) -> str:
    """Return text that begins a sentence."""
    return text[:1].upper() + text[1:]


def lower_first(text: str) -> str:
    """Return text to stand inside a sentence; what is written in capitals stays, such as EDID."""
    word = text.split(" ", 1)[0]
    return text if word[1:] != word[1:].lower() else text[:1].lower() + text[1:]


def counted(number: int, thing: str, things: str = "") -> str:
    """Say how many there are of something; `things` where the plural takes more than an s."""
    return f"{number} {thing}" if number == 1 else f"{number} {things or thing + 's'}"


def listed(items: Sequence[object], most: int = _NAMED, between: str = ", ") -> str:
    """Name the first of several and count the rest: ``a, b and 3 more``."""
    rest = len(items) - most
    named = between.join(str(item) for item in items[:most])
    return f"{named} and {rest} more" if rest > 0 else named


def clipped(text: str, width: int) -> str:
    """Return text of at most so many characters; that something is left out shows."""
    if len(text) <= width:
        return text
    return text[: width - len(CUT)] + CUT if width > len(CUT) else text[: max(0, width)]


def begin_words(text: str, words: Sequence[str]) -> bool:
    """Whether each of these begins a word of a text, in any case."""
    low = text.lower()
    return all(re.search(rf"(?<!\w){re.escape(word)}", low) for word in words)


def flat(text: str) -> str:
    """Return text as one line: what breaks it, or cannot be printed, becomes a space."""
    return " ".join(_each(text, lambda _: " ", "").split())


def is_hidden(letter: str) -> bool:
    """Whether a terminal would act on a character, or nobody could see it."""
    return not letter.isprintable() and unicodedata.category(letter) != "Zs"


def visible(text: str, keep: str = "\n") -> str:
    """Return text in which what is hidden shows as its code, ``[U+202E]``, and so does nothing."""
    return _each(text, lambda letter: f"[U+{ord(letter):04X}]", keep)


def escaped(text: str) -> str:
    """Return text as one line, what is hidden written as its escape."""
    return _each(text, lambda letter: letter.encode("unicode_escape").decode("ascii"), "")


def _each(text: str, shown: Callable[[str], str], keep: str) -> str:
    """Return text with each hidden character shown in its way; a joiner that joins stays."""
    if text.isprintable():
        return text
    return "".join(
        shown(letter)
        if is_hidden(letter) and letter not in keep and not joins(text, at)
        else letter
        for at, letter in enumerate(text)
    )


def joins(text: str, at: int) -> bool:
    """Whether a character is a joiner behind a letter or a picture; no letter of ASCII is joined."""
    before = text[at - 1] if at else ""
    return text[at] in JOINERS and before > "\x7f" and before.isprintable()


def quoted(text: str, most: int = _QUOTED) -> str:
    """Return what was found, to stand in a message: in quotes, escaped and not too long."""
    return f"'{clipped(escaped(text[: most + 1]), most)}'"

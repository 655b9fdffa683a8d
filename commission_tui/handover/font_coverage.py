"""Text that the document's own fonts cannot show.

The fonts that come with the typesetter hold Latin, Greek, Cyrillic, Arabic and many signs, but no
Chinese, Japanese or Korean and no pictures. PDF/A refuses a character without a glyph, rightly: it
would print as an empty box. Such a character, and one that is invisible or turns the direction of
what follows, is printed by its Unicode number instead, ``[U+6F22]``,
and the document says so; the attached record holds it as it was typed.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable
from functools import cache
from typing import Any

import typst

from commission_tui.text import is_hidden, visible

_ALWAYS = frozenset(chr(code) for code in range(0x20, 0x7F)) | {"\n"}
_KEPT = "\n\t\u200c\u200d"
"""Line ends and tabs; and the joiners, which are invisible and needed to write some languages."""
_SOURCE = b"""#set document(title: "x")
#set text(font: ("Libertinus Serif", "DejaVu Sans Mono"))
#read("text.txt")
"""


def printable(data: Any) -> tuple[Any, tuple[str, ...]]:
    """Return the data with every text made printable, and the characters that had to give way."""
    said = json.dumps(data, ensure_ascii=False)
    if "\\u" not in said and "\\t" not in said:  # nothing that is written in escapes
        lacking = unprintable(said)
        if not lacking:
            return data, ()
    lacking = unprintable(_characters(data))
    spoken = _numbers(lacking) | {ord("\t"): " "}
    return _mapped(data, lambda text: text.translate(spoken)), tuple(sorted(lacking))


def all_visible(data: Any) -> Any:
    """Return the data with invisible characters named, and those that turn what follows."""
    return _mapped(data, shown_text)


def shown_text(text: str) -> str:
    """Return a text of the document with what is hidden in it named."""
    return visible(text, _KEPT)


def _numbers(characters: Iterable[str]) -> dict[int, str]:
    return {ord(char): f"[U+{ord(char):04X}]" for char in characters}


def _hidden(characters: Iterable[str]) -> set[str]:
    return {char for char in set(characters) if is_hidden(char) and char not in _KEPT}


def unprintable(characters: Iterable[str]) -> set[str]:
    """Return those characters for which the document has no glyph."""
    unsure = set(characters) - _ALWAYS - {"\t"}
    hidden = _hidden(unsure)
    return hidden | set(_lacking(tuple(sorted(unsure - hidden))))


@cache
def _lacking(characters: tuple[str, ...]) -> tuple[str, ...]:
    """Find them by halving: the typesetter says only that one of a text is lacking."""
    if not characters or _sets("".join(characters)):
        return ()
    if len(characters) == 1:
        return characters
    middle = len(characters) // 2
    return _lacking(characters[:middle]) + _lacking(characters[middle:])


def _sets(text: str) -> bool:
    # Each on its own line: side by side, two characters may join into a glyph that neither has.
    lines = "\n".join(f"a{char}" for char in text).encode("utf-8", "surrogatepass")
    try:
        typst.compile(
            {"main": _SOURCE, "text.txt": lines},  # type: ignore[call-overload]
            format="pdf",
            pdf_standards=["a-3a", "ua-1"],
            ignore_system_fonts=True,
            timestamp=0,
        )
    except typst.TypstError:
        return False
    return True


def _characters(data: Any) -> set[str]:
    found: set[str] = set()

    def take(text: str) -> str:
        found.update(text)
        return text

    _mapped(data, take)
    return found


def _mapped(data: Any, change: Callable[[str], str]) -> Any:
    if isinstance(data, str):
        return change(data)
    if isinstance(data, dict):
        return {key: _mapped(value, change) for key, value in data.items()}
    if isinstance(data, list | tuple):
        return [_mapped(value, change) for value in data]
    return data

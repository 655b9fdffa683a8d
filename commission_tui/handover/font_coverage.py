"""Text that the document's own fonts cannot show.

The fonts that come with the typesetter hold Latin, Greek, Cyrillic, Arabic and many signs, but no
Chinese, Japanese or Korean and no pictures. PDF/A refuses a character without a glyph, rightly: it
would print as an empty box. Such a character, and one that is invisible or turns the direction of
what follows, is printed by its Unicode number instead, ``[U+6F22]``,
and the document says so; the attached record holds it as it was typed.

A letter and the marks on it are set in one font, so they are shown or named together.
"""

from __future__ import annotations

import json
import unicodedata
from collections.abc import Callable, Iterator
from importlib import resources
from itertools import pairwise
from typing import Any

from commission_tui.text import JOINERS, visible

_KEPT = f"\n\t{JOINERS}"


def _held() -> dict[str, frozenset[str]]:
    """Read which characters each font holds; `tests.handover.font_ranges` found them out."""
    table = resources.files("commission_tui.handover.typeset") / "glyphs.json"
    spans = json.loads(table.read_text(encoding="ascii"))
    return {font: frozenset(_in_ranges(written)) for font, written in spans.items()}


def _in_ranges(written: str) -> Iterator[str]:
    for span in written.split():
        first, _, last = span.partition("-")
        yield from map(chr, range(int(first, 16), int(last or first, 16) + 1))


_HELD = _held()
_WHOLE = tuple(_HELD[font] for font in ("serif", "mono"))
"""Fonts of which one must hold a letter and all of its marks."""
_DRAWN = frozenset(c for c in _HELD["drawn"] if not unicodedata.category(c).startswith("M"))
"""What drawings can show. The typesetter loses which letter a mark is of, and takes some letters apart."""


def _is_mark(letter: str) -> bool:
    return letter in JOINERS or unicodedata.category(letter).startswith("M")


_ALONE = frozenset(letter for letter in _HELD["any"] if not _is_mark(letter)) | {"\n"}
"""Characters that can be shown whatever stands beside them, unless that is a mark."""


def printable(data: Any) -> tuple[Any, tuple[str, ...]]:
    """Return the data with every text made printable, and the characters that had to give way."""
    lacking: set[str] = set()
    return _mapped(data, lambda text: _printed(text, lacking)), tuple(sorted(lacking))


def drawable(words: str) -> str:
    """Return the words of a drawing with what its font lacks named."""
    if words.isascii() and words.isprintable():
        return words
    # A letter with its mark is one character where there is one, and then often can be shown.
    clusters = _clusters(unicodedata.normalize("NFC", words))
    return "".join(c if c in _DRAWN else _numbers(c) for c in clusters)


def all_visible(data: Any) -> Any:
    """Return the data with invisible characters named, and those that turn what follows."""
    return _mapped(data, shown_text)


def shown_text(text: str) -> str:
    """Return a text of the document with what is hidden in it named."""
    return visible(text, _KEPT)


def _printed(text: str, lacking: set[str]) -> str:
    if _ALONE.issuperset(text):
        return text
    shown = []
    for cluster in _clusters(text.replace("\t", " ")):
        if cluster in _ALONE or any(font.issuperset(cluster) for font in _WHOLE):
            shown.append(cluster)
        else:
            lacking.update(cluster)
            shown.append(_numbers(cluster))
    return "".join(shown)


def _clusters(text: str) -> Iterator[str]:
    """Yield each character with the marks on it and whatever is joined to it."""
    start = 0
    for at, (before, letter) in enumerate(pairwise(text), start=1):
        if "\n" in (before, letter) or not (_is_mark(letter) or before == "\u200d"):
            yield text[start:at]
            start = at
    if text:
        yield text[start:]


def _numbers(characters: str) -> str:
    return "".join(f"[U+{ord(char):04X}]" for char in characters)


def _mapped(data: Any, change: Callable[[str], str]) -> Any:
    if isinstance(data, str):
        return change(data)
    if isinstance(data, dict):
        return {key: _mapped(value, change) for key, value in data.items()}
    if isinstance(data, list | tuple):
        return [_mapped(value, change) for value in data]
    return data

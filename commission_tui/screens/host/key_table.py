"""A table of keys, row by row: name, keys, what they do, the word, what the help says; and what keys are called."""

from __future__ import annotations

from functools import partial

from textual.binding import Binding


def key(
    name: str,
    keys: str,
    action: str,
    word: str,
    tooltip: str,
    *,
    show: bool = True,
    key_display: str | None = None,
    priority: bool = False,
) -> Binding:
    return Binding(keys, action, word, show, key_display, priority, tooltip, name)


quiet = partial(key, show=False)
"""A key for which the last line of the screen has no room."""


_NAMES = {
    "slash": "/", "question_mark": "?", "pagedown": "Page Down", "pageup": "Page Up", "plus": "+",
    "minus": "-", "escape": "Esc", "enter": "Enter", "R": "R",
}  # fmt: skip


def key_name(key: str) -> str:
    """Return a key as it is printed on the keyboard."""
    if key in _NAMES:
        return _NAMES[key]
    if key.startswith("ctrl+"):
        return f"Ctrl+{key[5:].upper()}"
    if key[:1] == "f" and key[1:].isdecimal():
        return key.upper()
    return key if len(key) == 1 else key.capitalize()


def short_key(key: str) -> str:
    """Return a key as the footer has room for it."""
    if key.startswith("ctrl+"):
        return f"^{key[5:].upper()}"
    return {"pagedown": "PgDn", "pageup": "PgUp"}.get(key, key_name(key))

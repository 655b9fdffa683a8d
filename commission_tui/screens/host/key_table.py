"""A row of a table of keys: its name, the keys, what they do, the word for it, what the help says."""

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

"""How far long work is, told to whoever waits for it; it ends where nobody does any more."""

from __future__ import annotations

from collections.abc import Callable

Progress = Callable[[int, int], None]
"""Told how much is done, and of how much: 0 while that is not known. What it raises ends the work."""


class StoppedError(Exception):
    """The work was stopped; there is no result."""


def unwatched(*_: object) -> None:
    """Tell nobody."""

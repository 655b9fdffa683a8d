"""Words for screen, page and command line: one way each to shorten, count and clean them."""

from __future__ import annotations


def upper_first(text: str) -> str:
    """Return text that begins a sentence."""
    return text[:1].upper() + text[1:]


def lower_first(text: str) -> str:
    """Return text to stand inside a sentence; what is written in capitals stays, such as EDID."""
    word = text.split(" ", 1)[0]
    return text if word[1:] != word[1:].lower() else text[:1].lower() + text[1:]

"""How far long work is, in one line, and what stops it."""

from __future__ import annotations

from commission_tui.screens.terminal.styled_text import Glyphs, Line

_STOPS: Line = (("   Esc", "key"), (" stops", "muted"))
_LEAST_CELLS, _MOST_CELLS = 5, 20


def progress_line(
    what: str, done: float, of: float, width: int, glyphs: Glyphs, more: str = ""
) -> Line:
    """Say how far work is; `of` is 0 while that is not known. `more` replaces the two numbers."""
    if not of:
        so_far = f"{done:,.0f} so far" if done else "..."
        return ((f"{what} ", "muted"), (so_far, "strong"), *_STOPS)
    share = min(1.0, done / of)
    numbers = more or f"{done:,.0f} of {of:,.0f}"
    cells = max(_LEAST_CELLS, min(_MOST_CELLS, width - len(what) - len(numbers) - 20))
    full = round(share * cells)
    return (
        (f"{what} ", "muted"),
        (glyphs.shades[-1] * full + glyphs.shades[0] * (cells - full), ""),
        (f" {share:4.0%} ", "strong"),
        (numbers, "muted"),
        *_STOPS,
    )

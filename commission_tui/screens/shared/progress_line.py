"""How far long work is, in one line, and what stops it."""

from __future__ import annotations

from commission_tui.screens.terminal.styled_text import Glyphs, Line
from commission_tui.subprocess_job import Step

_STOPS: Line = (("   Esc", "key"), (" stops", "muted"))
_LEAST_CELLS, _MOST_CELLS = 5, 20
_WIDE = 36


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


def working_line(doing: str, step: Step | None, seconds: int, width: int, glyphs: Glyphs) -> Line:
    """Say how far long work is, for how long it has run, and that Esc stops it."""
    if step is None:
        return progress_line(doing, 0, 0, width, glyphs)
    more = f"{step.number} of {step.count}: {step.says}, {seconds} s"
    # As wide for every step, so that the bar does not jump.
    return progress_line(doing, step.number - 1, step.count, width, glyphs, f"{more:<{_WIDE}}")

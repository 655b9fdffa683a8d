"""Results that a change left no longer good, as lines: each change once, below it what rests on it."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

from commission_tui.logbook.judging.doubts import Doubt
from commission_tui.screens.terminal.styled_text import Line, minutes_text
from commission_tui.text import counted


def title(found: Sequence[Doubt]) -> Line:
    if not found:
        return (("No result is in doubt", "title"),)
    again = minutes_text(sum(doubt.minutes for doubt in found))
    return (
        (f"{counted(len(found), 'result')} no longer good", "title"),
        (f"  {again} to read again", ""),
    )


def rows(found: Sequence[Doubt]) -> list[tuple[Line, Doubt | None]]:
    """Return the results in their order, what they are no longer good for said once above them."""
    listed: list[tuple[Line, Doubt | None]] = []
    for words, doubts in groupby(found, key=lambda doubt: doubt.change.words):
        listed.append((((f"Since {words}", "muted"),), None))
        listed += [(_line(doubt), doubt) for doubt in doubts]
    return listed


def _line(doubt: Doubt) -> Line:
    left = len(doubt.slots)
    many = f"all {left}" if left == doubt.of and left > 1 else f"{left} of {doubt.of}"
    return (
        (f"{minutes_text(doubt.minutes):>8}  ", "muted"),
        (doubt.title, "strong"),
        (f"  {many} to read again", ""),
    )

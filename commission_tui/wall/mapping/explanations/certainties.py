"""What is certain of cabinets that no cause explains: what they show, part by part."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from commission_tui.text import listed
from commission_tui.wall.mapping.layout import Layout
from commission_tui.wall.mapping.observed.observation import Observation, Observations
from commission_tui.wall.model.location import Cell

_TOLD = 6


def certain_parts(
    layout: Layout, observations: Observations, cells: Iterable[Cell]
) -> tuple[str, ...]:
    """Return in words what some cabinets show: dark ones by groups, pairs that are exchanged, others."""
    read = {cell: observations.get(cell, Observation()) for cell in sorted(cells)}
    seen = {cell: reading.seen for cell, reading in read.items()}
    dark = {layout.index[cell] for cell, shown in seen.items() if shown == "dark"}
    parts = list(_dark_parts(layout, dark))
    others = [cell for cell, shown in seen.items() if shown not in ("dark", None)]
    told: list[str] = []
    for cell in others:
        shown, turns = seen[cell], read[cell].turns
        if (
            isinstance(shown, Cell)
            and seen.get(shown) == cell != shown
            and not (turns or read[shown].turns)
        ):
            if cell < shown:
                parts.append(f"{cell} and {shown} show each other's tile")
        elif shown == "garbled":
            told.append(f"{cell} is garbled")
        else:
            what = "its own tile" if shown == cell else str(shown)
            told.append(f"{cell} shows {what} {turns}".rstrip())
    return (*parts, *([listed(told, _TOLD)] if told else []))


def _dark_parts(layout: Layout, dark: set[int]) -> Iterator[str]:
    alone: list[int] = []
    left = sorted(dark)
    while left:
        group, waiting = {left[0]}, [left[0]]
        while waiting:
            near = {n for n in layout.beside[waiting.pop()] if n in dark} - group
            group |= near
            waiting += near
        left = [i for i in left if i not in group]
        if len(group) > 1:
            yield f"{layout.names(group)} are dark, side by side"
        else:
            alone += group
    if alone:
        are = "is dark, and none beside it" if len(alone) == 1 else "are dark, each by itself"
        yield f"{layout.names(alone)} {are}"

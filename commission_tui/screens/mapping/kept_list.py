"""The correction list that is walked, kept with what is unfinished: a crash between two moves loses no step."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import asdict
from typing import Any

from commission_tui.errors import InputError
from commission_tui.logbook.actions.mapping_corrections import CorrectionList, CorrectionStep
from commission_tui.screens.mapping.view import Chosen
from commission_tui.wall.model.location import Cell
from commission_tui.wall.model.wall_model import Wall

DRAFT = "mapping corrections"
"""Under which name it is kept; which of its moves are done is in the log alone."""
_LIST = "list"


def to_keep(chosen: Chosen | None) -> dict[str, str]:
    """Return what is kept of the list that is walked; nothing of none."""
    if chosen is None:
        return {}
    found = {"concerned": chosen.concerned, **asdict(chosen.corrections)}
    return {_LIST: json.dumps(found, default=_sorted)}


def _sorted(cells: Iterable[Cell]) -> list[Cell]:
    return sorted(cells)


def taken_up(kept: Mapping[str, str], wall: Wall) -> Chosen | None:
    """Return the list that was kept; none where there is none, or it is not one of this wall."""
    try:
        found = json.loads(kept.get(_LIST, ""))
        corrections = CorrectionList(
            steps=tuple(_step(wall, step) for step in found["steps"]),
            look_after=_cells(wall, found["look_after"]),
            left_over=int(found["left_over"]),
            changes=_cells(wall, found["changes"]),
            since=str(found["since"]),
        )
        return Chosen(corrections, frozenset(_cells(wall, found["concerned"])))
    except (
        ValueError,
        TypeError,
        KeyError,
        RecursionError,
        InputError,
    ):  # anybody may write the file
        return None


def _step(wall: Wall, found: Mapping[str, Any]) -> CorrectionStep:
    return CorrectionStep(
        str(found["text"]),
        str(found["cause"]),
        is_further_try=bool(found["is_further_try"]),
        is_instead=bool(found["is_instead"]),
        **{name: frozenset(_cells(wall, found[name])) for name in ("unplugged", "plugged", "at")},
    )


def _cells(wall: Wall, found: Iterable[Iterable[int]]) -> tuple[Cell, ...]:
    cells = tuple(Cell(*map(int, one)) for one in found)
    for cell in cells:
        if cell not in wall.cabinets:
            raise InputError(f"position: found {cell}, expected a cabinet of this wall")
    return cells

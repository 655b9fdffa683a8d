"""What a photograph says of the wall's light: steps, outliers, and luminance by the meter's points."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from commission_tui.errors import InputError
from commission_tui.photo.light.evenness import Evenness
from commission_tui.text import counted
from commission_tui.wall.model.location import Cell
from commission_tui.wall.model.wall_model import Wall

_FEWEST_POINTS = 5


@dataclass(frozen=True)
class LightReport:
    """What a photograph says of the wall's light, and what it does not."""

    white: Evenness
    measures: bool
    """Whether ratios may be stated as measured."""
    gradient: bool
    """Whether the slow gradient is the wall's, seen from the camera: with a flat photograph."""
    colours: Mapping[str, Evenness]
    """Light of each colour's field."""
    casts: Mapping[str, Evenness]
    """``red`` and ``blue`` against green."""
    notes: tuple[str, ...]

    @property
    def expanded(self) -> float | None:
        """Expanded uncertainty (k = 2) of a step between neighbours, the median, as a share."""
        if not self.measures or not self.white.steps:
            return None
        return float(np.median([step.expanded for step in self.white.steps]))


def absolute_cd_m2(
    wall: Wall, found: Evenness, readings: Sequence[tuple[float, float, float]]
) -> tuple[dict[Cell, float], float]:
    """Bring relative luminance to that of a meter.

    A reading is across and down as shares of the wall's width and height, and luminance, [cd/m²].
    Returns luminance by cabinet, [cd/m²], and the scatter of the meter about it, expanded (k = 2), as a
    share.

    Raises
    ------
    InputError
        Fewer than five readings that lie on cabinets of the picture.

    Notes
    -----
    The plane through the ratios is the gradient that a photograph alone does not know.
    """
    rows, ratios = [], []
    for across, down, level in readings:
        cell = _under(wall, across, down)
        if cell is not None and cell in found.relative and level > 0:
            rows.append((1.0, across - 0.5, down - 0.5))
            ratios.append(np.log(level / found.relative[cell]))
    if len(rows) < _FEWEST_POINTS:
        raise InputError(
            f"nine points: found {counted(len(rows), 'reading')} on cabinets in the picture, expected 5 or more"
        )
    plane = np.linalg.lstsq(np.array(rows), np.array(ratios), rcond=None)[0]
    left = np.array(ratios) - np.array(rows) @ plane
    scatter = float(np.sqrt((left @ left) / (len(rows) - 3)))
    levels = {}
    for cell, value in found.relative.items():
        cabinet = wall.cabinets[cell]
        across = (cabinet.x_mm + cabinet.width_mm / 2 - wall.left_mm) / wall.width_mm - 0.5
        down = (cabinet.y_mm + cabinet.height_mm / 2 - wall.top_mm) / wall.height_mm - 0.5
        levels[cell] = value * float(np.exp(plane @ (1.0, across, down)))
    return levels, 2 * scatter


def _under(wall: Wall, across: float, down: float) -> Cell | None:
    x, y = wall.left_mm + across * wall.width_mm, wall.top_mm + down * wall.height_mm
    for cell, cabinet in wall.cabinets.items():
        if 0 <= x - cabinet.x_mm < cabinet.width_mm and 0 <= y - cabinet.y_mm < cabinet.height_mm:
            return cell
    return None

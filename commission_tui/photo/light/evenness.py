"""Cabinets against each other, once the falloff of lens and angle is taken off.

The falloff is one smooth surface over the wall. Its finer terms are read inside of cabinets, where
a cabinet's own brightness plays no part; plane and bowl are fitted through the cabinets themselves
and with them any slow gradient of the wall's own, which is why none is stated.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from commission_tui.photo.robust_fit import Array, spread, tukey_fit
from commission_tui.wall.model.location import Cell, Location
from commission_tui.wall.model.wall_model import Wall

_FINE = ((3, 0), (2, 1), (1, 2), (0, 3), (4, 0), (3, 1), (2, 2), (1, 3), (0, 4))
_BOWL = ((2, 0), (1, 1), (0, 2))
_PLANE = ((1, 0), (0, 1))
_FEWEST_FOR_BOWL = 12
_FEWEST_FOR_FINE = 8
_COVERAGE = 2.0
_COARSE = 1.4
"""A cabinet's mean scatters more than its blocks say, since errors beside each other are alike: rendered walls."""
_LEAST = 0.0003
"""What the surface leaves over on rendered walls, one standard deviation of a step."""
_OF_SCATTER = 0.1
"""How far the response may be off at one level, of the scatter of single steps about it: rendered walls."""
_OUTLIER_FLOOR = 0.026
"""Apart from those around; five times what cabinets that scatter by 0.5 % are."""
_OUTLIER_MADS = 2.2
"""In walls that scatter more. At 3.5 half of those were missed that stand out by four times the scatter,
since the scatter of few cabinets is itself known to a seventh; rendered walls."""
_UNEVEN_MADS = 5.0
_UNEVEN_FLOOR = 0.012
_DARK = 0.25
_AROUND = 2
"""Cabinets each way that a cabinet is held against."""


@dataclass(frozen=True, slots=True)
class Step:
    """How much brighter the right or lower cabinet of a seam is, as a share."""

    seam: Location
    share: float
    expanded: float


@dataclass(frozen=True)
class Evenness:
    """Of each cabinet its luminance relative to the middle one, with the falloff taken off."""

    relative: Mapping[Cell, float]
    standard: Mapping[Cell, float]
    """Standard uncertainty of each from scatter inside of the cabinet, as a share."""
    steps: tuple[Step, ...]
    """Largest first."""
    outliers: Mapping[Cell, float]
    """Cabinets apart from those around them, and by which share."""
    left_out: Mapping[Cell, str]


def evenness(
    wall: Wall,
    logs: Mapping[Cell, Array],
    places: Array,
    *,
    smooth: bool = True,
    response_scatter: float = 0.0,
) -> Evenness:
    """Find how cabinets differ; empty where none is lit.

    Parameters
    ----------
    logs : mapping
        Natural logarithm of light by cabinet, (n, n) blocks, rows downwards.
    places : ndarray
        Of the blocks' middles inside of the cabinet, (n,), 0 to 1.
    smooth : bool
        Whether a smooth surface is taken off; not where a flat photograph did that.
    response_scatter : float
        Of the camera's response, relative, [1].
    """
    lit, left_out = _lit(logs)
    if not lit:
        return Evenness({}, {}, (), {}, left_out)
    at = {cell: _where(wall, cell, places) for cell in lit}
    uneven: set[Cell] = set()
    for _ in range(2):  # Once with all, once without what is uneven inside.
        use = [cell for cell in lit if cell not in uneven]
        flat = {c: logs[c] for c in lit}
        if smooth:
            surface = _surface({c: logs[c] for c in use}, at)
            fine = _powers(np.stack([at[c] for c in lit]), _FINE)
            # A product for each cabinet: of one for all of them the last bits are others.
            flat = {
                c: logs[c] - (terms @ surface).reshape(logs[c].shape)
                for c, terms in zip(lit, fine, strict=True)
            }
        scatter = _scatter(flat, use)
        typical = float(np.median([scatter[c] for c in use]))
        limit = max(_UNEVEN_MADS * typical, _UNEVEN_FLOOR)
        uneven = {cell for cell in lit if scatter[cell] > limit}
        if len(uneven) > len(lit) / 2:
            uneven = set()
            break
    use = [cell for cell in lit if cell not in uneven]
    left_out |= dict.fromkeys(sorted(uneven), "uneven inside, or something stands in front of it")
    levels = np.array([flat[c].mean() for c in use])
    middles = np.array([at[c].mean(axis=0) for c in use])
    doubt = np.zeros((len(use), 1))
    if smooth:
        fitted, doubt = _through(middles, levels)
        levels = levels - fitted
    levels = levels - np.median(levels)
    relative = {cell: float(np.exp(level)) for cell, level in zip(use, levels, strict=True)}
    blocks = len(places) ** 2
    floor = float(np.median([scatter[c] for c in use]))
    standard = {c: _COARSE * max(scatter[c], floor) / np.sqrt(blocks) for c in use}
    doubts = dict(zip(use, doubt, strict=True))
    steps = _steps(wall, relative, standard, doubts, response_scatter)
    return Evenness(relative, standard, steps, _outliers(relative, standard), left_out)


def _lit(logs: Mapping[Cell, Array]) -> tuple[list[Cell], dict[Cell, str]]:
    if not logs:
        return [], {}
    means = {cell: float(values.mean()) for cell, values in logs.items()}
    usual = float(np.median(list(means.values())))
    dark = {cell for cell, mean in means.items() if mean < usual + np.log(_DARK)}
    words = "dark, or something stands in front of it"
    return [cell for cell in logs if cell not in dark], dict.fromkeys(sorted(dark), words)


def _where(wall: Wall, cell: Cell, places: Array) -> Array:
    """Return where each block lies on the wall, (n * n, 2), both scaled by the wall's larger half."""
    cabinet = wall.cabinets[cell]
    half = max(wall.width_mm, wall.height_mm) / 2
    x = (cabinet.x_mm - wall.left_mm + places * cabinet.width_mm - wall.width_mm / 2) / half
    y = (cabinet.y_mm - wall.top_mm + places * cabinet.height_mm - wall.height_mm / 2) / half
    return np.stack(np.meshgrid(x, y), axis=-1).reshape(-1, 2)


def _powers(at: Array, powers: tuple[tuple[int, int], ...]) -> Array:
    """Return the terms of places, (…, places, terms)."""
    x, y = at[..., 0], at[..., 1]
    return np.stack([x**a * y**b for a, b in powers], axis=-1)


def _surface(logs: Mapping[Cell, Array], at: Mapping[Cell, Array]) -> Array:
    """Return the finer terms, from what changes inside of cabinets alone.

    What every cabinet has alike inside (its own plane and bowl) is fitted beside them, so that it is
    not taken for the lens's.
    """
    if len(logs) < _FEWEST_FOR_FINE:
        return np.zeros(len(_FINE))
    terms = _powers(np.stack([at[cell] for cell in logs]), (*_FINE, *_BOWL, *_PLANE))
    values = np.stack([inner.ravel() for inner in logs.values()])
    rows = terms - terms.mean(axis=1, keepdims=True)
    wanted = values - values.mean(axis=1, keepdims=True)
    fitted, *_ = tukey_fit(rows.reshape(-1, rows.shape[-1]), wanted.ravel(), 5)
    return fitted[: len(_FINE)]


def _through(middles: Array, levels: Array) -> tuple[Array, Array]:
    """Fit a plane, or a bowl where there are cabinets enough, through the cabinets' levels.

    Returns the fit, (N,), and rows (N, k) whose difference between two cabinets has the length of the
    standard uncertainty that the fit gives the step between them.
    """
    powers: tuple[tuple[int, int], ...] = ((0, 0), *_PLANE)
    if len(levels) >= _FEWEST_FOR_BOWL:
        powers = (*powers, *_BOWL)
    design = _powers(middles, powers)
    _, left, weights = tukey_fit(design, levels, 20)
    scatter = _spread(left) * np.sqrt(len(left) / max(len(left) - design.shape[1], 1))
    inner = np.linalg.pinv(design.T @ (design * weights[:, None]))
    values, vectors = np.linalg.eigh(inner)
    return levels - left, scatter * design @ (vectors * np.sqrt(np.clip(values, 0, None)))


def _spread(left: Array) -> float:
    return max(float(spread(left)), 1e-6)


def _scatter(flat: Mapping[Cell, Array], use: list[Cell]) -> dict[Cell, float]:
    """Return how the blocks of each cabinet scatter about what all cabinets have alike inside."""
    blocks = next(iter(flat.values())).shape
    levels = np.stack([values.ravel() for values in flat.values()])
    inner = levels - levels.mean(axis=1, keepdims=True)
    kept = set(use)
    chosen = [number for number, cell in enumerate(flat) if cell in kept]
    left = inner - np.median(inner[chosen], axis=0)
    rows, columns = (np.linspace(-1, 1, n) for n in blocks)
    # Its plane is the falloff's, which is fitted later.
    for tilt in (grid.ravel() for grid in np.meshgrid(columns, rows)):
        left = left - tilt * (left * tilt).sum(axis=1, keepdims=True) / (tilt * tilt).sum()
    scatter = left.std(axis=1, ddof=3 if levels.shape[1] > 4 else 0)
    return dict(zip(flat, scatter.tolist(), strict=True))


def _steps(
    wall: Wall,
    relative: Mapping[Cell, float],
    standard: Mapping[Cell, float],
    doubts: Mapping[Cell, Array],
    response: float,
) -> tuple[Step, ...]:
    found = []
    for seam, (cell, beside) in wall.seams.items():
        if cell in relative and beside in relative:
            share = relative[beside] / relative[cell] - 1
            surface = doubts[beside] - doubts[cell]
            parts = standard[cell] ** 2 + standard[beside] ** 2 + float(surface @ surface)
            parts += (_OF_SCATTER * response) ** 2 + _LEAST**2
            found.append(Step(seam, share, _COVERAGE * float(np.sqrt(parts))))
    return tuple(sorted(found, key=lambda step: (-abs(step.share), str(step.seam))))


def _outliers(relative: Mapping[Cell, float], standard: Mapping[Cell, float]) -> dict[Cell, float]:
    """Return the cabinets that stand apart from the median of those around them."""
    apart = {}
    for cell, value in relative.items():
        around = [
            other
            for near, other in relative.items()
            if near != cell
            and abs(near.row - cell.row) <= _AROUND
            and abs(near.column - cell.column) <= _AROUND
        ]
        if len(around) >= 3:
            apart[cell] = value / float(np.median(around)) - 1
    if not apart:
        return {}
    limit = max(_OUTLIER_FLOOR, _OUTLIER_MADS * _spread(np.array(list(apart.values()))))
    found = {c: by for c, by in apart.items() if abs(by) > max(limit, _COVERAGE * standard[c])}
    return dict(sorted(found.items(), key=lambda item: -abs(item[1])))

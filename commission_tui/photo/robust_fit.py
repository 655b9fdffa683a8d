"""Least squares that a few values far apart do not bend, and how the others scatter."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

_TUKEY = 4.685
"""Tukey's constant for his weights, as in every handbook of robust statistics (from memory)."""


def spread(left: NDArray[np.floating[Any]], axis: tuple[int, ...] | int | None = None) -> Any:
    """Return the standard deviation about nought, from the median: of a normal distribution the same."""
    return 1.4826 * np.median(np.abs(left), axis=axis)


def tukey_fit(
    design: Array, wanted: Array, rounds: int, *, floor: float = 1e-6, held: Array | None = None
) -> tuple[Array, Array, Array]:
    """Fit by least squares with Tukey's weights; return what was solved, what is left, and the weights.

    `floor` is the least spread that is reckoned with, `held` rows that are to be nought.
    """
    held = np.zeros((0, design.shape[1])) if held is None else held
    weights: Array = np.ones(len(wanted))
    for _ in range(rounds):
        root = np.sqrt(weights)
        rows = np.vstack([design * root[:, None], held])
        solved = np.linalg.lstsq(rows, np.append(wanted * root, np.zeros(len(held))), rcond=None)[0]
        left = wanted - design @ solved
        scaled = left / (_TUKEY * max(float(spread(left)), floor))
        weights = np.clip(1 - scaled**2, 0, None) ** 2
    return np.asarray(solved, np.float64), left, weights

"""Whole-cabinet layouts nearest to a wanted size or resolution."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass

from commission_tui.engineering.numeric.bounds import (
    computed,
    positive,
    whole,
)

_MOST_PER_AXIS = 10_000


@dataclass(frozen=True, slots=True)
class Layout:
    """A full rectangle of one cabinet type.

    Attributes
    ----------
    columns, rows : int
        Whole cabinets across and down.
    turned : bool
        Whether the cabinets hang turned by a quarter.
    width_mm, height_mm : float
        Size, [mm].
    width_px, height_px : int
        Resolution, [px].
    width_error, height_error : float
        Got less wanted, as a share of the wanted figure.
    """

    columns: int
    rows: int
    turned: bool
    width_mm: float
    height_mm: float
    width_px: int
    height_px: int
    width_error: float
    height_error: float

    @property
    def error(self) -> float:
        """Both errors in one figure, the ranking."""
        return math.hypot(self.width_error, self.height_error)


def nearest_layouts(
    *,
    cabinet_width_mm: float,
    cabinet_height_mm: float,
    cabinet_width_px: int,
    cabinet_height_px: int,
    width_mm: float | None = None,
    height_mm: float | None = None,
    width_px: int | None = None,
    height_px: int | None = None,
    may_turn: bool = True,
    count: int = 5,
) -> tuple[Layout, ...]:
    """Rank the whole-cabinet layouts nearest to a wanted size or resolution.

    Parameters
    ----------
    cabinet_width_mm, cabinet_height_mm : float
        The cabinet unturned, above 0, [mm].
    cabinet_width_px, cabinet_height_px : int
        Its pixels unturned, 1 or more, [px].
    width_mm, width_px : float or int, optional
        The wanted width: one of the two, above 0, [mm] or [px].
    height_mm, height_px : float or int, optional
        The wanted height: one of the two, above 0, [mm] or [px].
    may_turn : bool
        Whether cabinets may hang turned by a quarter.
    count : int
        How many layouts at most, 1 or more.

    Returns
    -------
    tuple of Layout
        Best first: by the root of the squares of the two relative errors; of equals the unturned.

    Raises
    ------
    ValueError
        A figure out of its range, both or neither of a mm and a px figure, or a wall of more than
        10,000 cabinets across or down.

    Examples
    --------
    >>> best = nearest_layouts(cabinet_width_mm=500, cabinet_height_mm=500, cabinet_width_px=192,
    ...     cabinet_height_px=192, width_px=2692, height_px=1536)[0]
    >>> best.columns, best.rows, best.width_px
    (14, 8, 2688)
    """
    size = (
        positive("cabinet_width_mm", cabinet_width_mm, "mm"),
        positive("cabinet_height_mm", cabinet_height_mm, "mm"),
    )
    pixels = (
        whole("cabinet_width_px", cabinet_width_px, "px", low=1),
        whole("cabinet_height_px", cabinet_height_px, "px", low=1),
    )
    across = _wanted("width", width_mm, width_px)
    down = _wanted("height", height_mm, height_px)
    count = whole("count", count, "", low=1)
    found = _layouts(size, pixels, across, down, turned=False)
    if may_turn and (size[0] != size[1] or pixels[0] != pixels[1]):
        found += _layouts(size[::-1], pixels[::-1], across, down, turned=True)
    return tuple(sorted(found, key=lambda layout: (layout.error, layout.turned))[:count])


def _wanted(axis: str, in_mm: float | None, in_px: int | None) -> tuple[float, bool]:
    """Return the wanted figure, and whether it is in pixels."""
    if in_mm is not None and in_px is None:
        return positive(f"{axis}_mm", in_mm, "mm"), False
    if in_px is not None and in_mm is None:
        return whole(f"{axis}_px", in_px, "px", low=1), True
    raise ValueError(f"{axis}_mm is {in_mm} and {axis}_px is {in_px}, expected exactly one of them")


def _layouts(
    size: tuple[float, float],
    pixels: tuple[int, int],
    across: tuple[float, bool],
    down: tuple[float, bool],
    *,
    turned: bool,
) -> list[Layout]:
    columns = _counts("columns", across, size[0], pixels[0])
    rows = _counts("rows", down, size[1], pixels[1])
    return [
        Layout(
            c, r, turned,
            computed("width", c * size[0], "mm"), computed("height", r * size[1], "mm"),
            c * pixels[0], r * pixels[1], c_error, r_error,
        )
        for (c, c_error), (r, r_error) in itertools.product(columns, rows)
    ]  # fmt: skip


def _counts(
    name: str, wanted: tuple[float, bool], size: float, pixels: int
) -> list[tuple[int, float]]:
    """Cabinet counts about the wanted figure, each with its relative error."""
    figure, in_pixels = wanted
    step = pixels if in_pixels else size
    exact = figure / step
    if exact > _MOST_PER_AXIS:
        raise ValueError(f"{name} would be {exact:g}, expected at most {_MOST_PER_AXIS}")
    near = range(max(1, math.floor(exact) - 1), math.ceil(exact) + 2)
    return [
        (count, computed(f"{name} error", (count * step - figure) / figure, "")) for count in near
    ]

"""Whole-cabinet layouts nearest to a wanted size or resolution."""

import itertools
import math
from dataclasses import dataclass
from typing import Annotated

from commission_tui.engineering.numeric.bounds import Range, checked, computed

_MOST_PER_AXIS = 10_000


@dataclass(frozen=True, slots=True)
class Layout:
    """A full rectangle of one cabinet type."""

    columns: int
    rows: int
    """Whole cabinets across and down."""
    turned: bool
    """Whether the cabinets hang turned by a quarter."""
    width_mm: float
    height_mm: float
    """Size, [mm]."""
    width_px: int
    height_px: int
    """Resolution, [px]."""
    width_error: float
    height_error: float
    """Got less wanted, as a share of the wanted figure."""

    @property
    def error(self) -> float:
        """Both errors in one figure, the ranking."""
        return math.hypot(self.width_error, self.height_error)


@checked
def nearest_layouts(
    *,
    cabinet_width_mm: Annotated[float, Range("mm", above=0), "The cabinet unturned"],
    cabinet_height_mm: Annotated[float, Range("mm", above=0), "The cabinet unturned"],
    cabinet_width_px: Annotated[int, Range("px", least=1), "Its pixels unturned"],
    cabinet_height_px: Annotated[int, Range("px", least=1), "Its pixels unturned"],
    width_mm: Annotated[float | None, Range("mm", above=0), "Wanted; this or width-px"] = None,
    height_mm: Annotated[float | None, Range("mm", above=0), "Wanted; this or height-px"] = None,
    width_px: Annotated[int | None, Range("px", least=1), "Wanted; this or width-mm"] = None,
    height_px: Annotated[int | None, Range("px", least=1), "Wanted; this or height-mm"] = None,
    may_turn: Annotated[bool, "Whether cabinets may hang turned by a quarter"] = True,
    count: Annotated[int, Range(least=1), "How many layouts at most"] = 5,
) -> tuple[Layout, ...]:
    """Rank the whole-cabinet layouts nearest to a wanted size or resolution.

    Returns
    -------
    tuple of Layout
        Best first: by the root of the squares of the two relative errors; of equals the unturned.

    Raises
    ------
    ValueError
        Both or neither of a mm and a px figure, or more than 10,000 cabinets across or down.

    Examples
    --------
    >>> best = nearest_layouts(cabinet_width_mm=500, cabinet_height_mm=500, cabinet_width_px=192,
    ...     cabinet_height_px=192, width_px=2692, height_px=1536)[0]
    >>> best.columns, best.rows, best.width_px
    (14, 8, 2688)
    """
    size, pixels = (cabinet_width_mm, cabinet_height_mm), (cabinet_width_px, cabinet_height_px)
    across = _wanted("width", width_mm, width_px)
    down = _wanted("height", height_mm, height_px)
    found = _layouts(size, pixels, across, down, turned=False)
    if may_turn and (size[0] != size[1] or pixels[0] != pixels[1]):
        found += _layouts(size[::-1], pixels[::-1], across, down, turned=True)
    return tuple(sorted(found, key=lambda layout: (layout.error, layout.turned))[:count])


def _wanted(axis: str, in_mm: float | None, in_px: int | None) -> tuple[float, bool]:
    """Return the wanted figure, and whether it is in pixels."""
    if in_mm is not None and in_px is None:
        return in_mm, False
    if in_px is not None and in_mm is None:
        return in_px, True
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

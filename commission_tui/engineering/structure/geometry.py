"""Size, pitch, pixels and squareness of a wall made of whole cabinets.

Everything is seen from the front, x to the right and y down from the top left.
"""

import itertools
import math
from dataclasses import dataclass
from fractions import Fraction
from typing import Annotated

from commission_tui.engineering.numeric.bounds import Range, RefusedError, checked, computed

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
    """Rank the whole-cabinet layouts nearest to a wanted size or resolution, best first.

    By the root of the squares of the two relative errors; of equals the unturned.

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
    raise RefusedError(
        f"{axis}_mm is {in_mm} and {axis}_px is {in_px}, expected exactly one of them"
    )


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
        raise RefusedError(f"{name} would be {exact:g}, expected at most {_MOST_PER_AXIS}")
    near = range(max(1, math.floor(exact) - 1), math.ceil(exact) + 2)
    return [
        (count, computed(f"{name} error", (count * step - figure) / figure, "")) for count in near
    ]


_NAMED_ASPECTS = ((5, 4), (4, 3), (3, 2), (16, 10), (16, 9), (32, 9))
_ASPECT_TOLERANCE = 0.001
_FARTHEST = 1e9
_PLACE, _SIZE = Range(least=-_FARTHEST, most=_FARTHEST), Range(above=0, most=_FARTHEST)
_TURN = Range("degree")


@dataclass(frozen=True, slots=True)
class Rectangle:
    """One cabinet's place, all in [mm] or all in [px]."""

    x: float
    y: float
    """Left and top edge as it hangs, −1e9 to 1e9."""
    width: float
    height: float
    """Before turning, above 0 to 1e9."""
    rotation_deg: int = 0
    """Clockwise, whole quarter turns, [degree]."""

    @property
    def across(self) -> float:
        """Width as it hangs."""
        return self.height if self.rotation_deg % 180 else self.width

    @property
    def down(self) -> float:
        """Height as it hangs."""
        return self.width if self.rotation_deg % 180 else self.height

    def check(self, name: str) -> None:
        """Refuse one without a place or a size, or turned by anything but quarter turns."""
        _PLACE.figure(f"{name}.x", self.x)
        _PLACE.figure(f"{name}.y", self.y)
        _SIZE.figure(f"{name}.width", self.width)
        _SIZE.figure(f"{name}.height", self.height)
        turn = _TURN.count(f"{name}.rotation_deg", self.rotation_deg)
        if turn % 90:
            raise RefusedError(
                f"{name}.rotation_deg is {turn} degree, expected a multiple of 90 degree"
            )


@checked
def pitch_mm(
    size_mm: Annotated[float, Range("mm", above=0), "Width or height"],
    pixels: Annotated[int, Range("px", least=1), "Pixels along it"],
) -> Annotated[float, Range("mm")]:
    """Exact pixel pitch of a cabinet, or of a wall without gaps.

    Notes
    -----
    Always from the cabinet: a printed pitch is rounded or truncated and must not be multiplied.

    Examples
    --------
    >>> round(pitch_mm(500.0, 192), 4)
    2.6042
    """
    return computed("pitch", size_mm / pixels, "mm")


@checked
def aspect(
    width: Annotated[float, Range(above=0)],
    height: Annotated[float, Range(above=0), "In the unit of the width"],
) -> float:
    """Width over height.

    Examples
    --------
    >>> aspect(7000, 4000)
    1.75
    """
    return Range(above=0).figure("aspect", computed("aspect", width / height, ""))


@checked
def aspect_text(
    width: Annotated[float, Range(above=0)],
    height: Annotated[float, Range(above=0), "In the unit of the width"],
) -> Annotated[str, "``16:9`` and its like, ``2:1`` and its like, else ``1.75:1`` or ``1:1.75``"]:
    """Name the aspect ratio as the trade says it.

    Notes
    -----
    A name is used within 0.1 %; which ratios have names is common practice, no published source.

    Examples
    --------
    >>> aspect_text(1920, 1080), aspect_text(7000, 4000), aspect_text(500, 1000)
    ('16:9', '1.75:1', '1:2')
    """
    ratio = aspect(width, height)
    if ratio < 1.0:
        long_side, short_side = aspect_text(height, width).split(":")
        return f"{short_side}:{long_side}"
    for across, down in (*_NAMED_ASPECTS, (round(ratio), 1)):
        if math.isclose(ratio, Fraction(across, down), rel_tol=_ASPECT_TOLERANCE):
            return f"{across}:{down}"
    return f"{ratio:.2f}:1"


@checked
def expected_diagonal_mm(
    width_mm: Annotated[float, Range("mm", above=0)],
    height_mm: Annotated[float, Range("mm", above=0)],
) -> Annotated[float, Range("mm")]:
    """Diagonal of a square-cornered wall.

    Euclid, Elements, I.47.

    Examples
    --------
    >>> expected_diagonal_mm(3000.0, 4000.0)
    5000.0
    """
    return computed("diagonal", math.hypot(width_mm, height_mm), "mm")


FallingMm = Annotated[float, Range("mm", above=0), "Diagonal from top left to bottom right"]
RisingMm = Annotated[float, Range("mm", above=0), "Diagonal from bottom left to top right"]


@checked
def diagonal_difference_mm(
    falling_mm: FallingMm, rising_mm: RisingMm
) -> Annotated[float, Range("mm"), "Magnitude of the difference"]:
    """Difference of the two measured diagonals; 0 is square.

    Examples
    --------
    >>> diagonal_difference_mm(8062.0, 8066.5)
    4.5
    """
    return abs(falling_mm - rising_mm)


@checked
def out_of_square_mm(
    falling_mm: FallingMm,
    rising_mm: RisingMm,
    width_mm: Annotated[float, Range("mm", above=0), "Width of the wall"],
) -> Annotated[float, Range("mm"), "Shift of the top against the bottom, positive to the right"]:
    """How far the top edge is shifted sideways against the bottom edge.

    Notes
    -----
    The wall is taken as a parallelogram with level edges: with the top shifted by s the squares of
    the diagonals differ by 4·width·s, so s = (rising² − falling²) / (4·width).

    References
    ----------
    .. [1] Law of cosines, Euclid, Elements, II.12 and II.13.

    Examples
    --------
    >>> round(out_of_square_mm(8062.26, 8066.26, 7000.0), 2)
    2.3
    """
    half_mean_mm = rising_mm / 4.0 + falling_mm / 4.0
    return computed("shift", (rising_mm - falling_mm) / width_mm * half_mean_mm, "mm")

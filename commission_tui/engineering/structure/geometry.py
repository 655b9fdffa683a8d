"""Size, pitch, pixels and squareness of a wall made of whole cabinets.

Everything is seen from the front, x to the right and y down from the top left.
"""

import math
from dataclasses import dataclass
from fractions import Fraction
from typing import Annotated

from commission_tui.engineering.numeric.bounds import (
    Range,
    checked,
    computed,
    finite,
    positive,
    whole,
)
from commission_tui.engineering.structure._cabinet_layouts import Layout, nearest_layouts
from commission_tui.engineering.structure._stated_figures import (
    Reconciled,
    reconcile,
    stated_pitch_matches,
)

__all__ = [
    "Layout",
    "Reconciled",
    "Rectangle",
    "aspect",
    "aspect_text",
    "diagonal_difference_mm",
    "expected_diagonal_mm",
    "nearest_layouts",
    "out_of_square_mm",
    "pitch_mm",
    "reconcile",
    "stated_pitch_matches",
]

_NAMED_ASPECTS = ((5, 4), (4, 3), (3, 2), (16, 10), (16, 9), (32, 9))
_ASPECT_TOLERANCE = 0.001
_FARTHEST = 1e9


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


def check_rectangle(rectangle: Rectangle, name: str) -> None:
    """Refuse a rectangle without a place or a size, or turned by anything but quarter turns."""
    finite(f"{name}.x", rectangle.x, "", low=-_FARTHEST, high=_FARTHEST)
    finite(f"{name}.y", rectangle.y, "", low=-_FARTHEST, high=_FARTHEST)
    finite(f"{name}.width", rectangle.width, "", low=0.0, high=_FARTHEST, low_open=True)
    finite(f"{name}.height", rectangle.height, "", low=0.0, high=_FARTHEST, low_open=True)
    turn = whole(f"{name}.rotation_deg", rectangle.rotation_deg, "degree")
    if turn % 90:
        raise ValueError(f"{name}.rotation_deg is {turn} degree, expected a multiple of 90 degree")


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
    return positive("aspect", computed("aspect", width / height, ""), "")


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

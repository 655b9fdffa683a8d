"""What can be seen and read from a seat: pixel size in the eye, text height, viewing angle."""

from __future__ import annotations

import math
from dataclasses import dataclass

from commission_tui.engineering.numeric.bounds import computed, finite, positive, whole

ARCMIN_PER_RADIAN = 60.0 * 180.0 / math.pi
"""3437.75, minutes of arc in one radian."""

ACUITY_ARCMIN = 1.0
"""Smallest detail for decimal acuity 1.0 (20/20), ISO 8596 (from memory)."""

TEXT_MINIMUM_ARCMIN = 16.0
"""Least height of a capital letter, ISO 9241-303:2011 and NUREG-0700 rev. 2, 1.3.1-4."""

BASIC_DECISION_ACUITY_FACTOR = 200.0
"""Of ANSI/AVIXA V202.01 (DISCAS), basic decision making."""

_FARTHEST_M = 1e5


@dataclass(frozen=True, slots=True)
class Seat:
    """How a wall looks from one seat.

    Attributes
    ----------
    distance_mm : float
        To the nearest point of the wall's horizontal middle line, [mm].
    off_axis_deg : float
        Angle between the line to the wall's centre and its normal, [degree].
    horizontal_deg : float
        Angle that the width fills, [degree].
    nearest_arcmin, farthest_arcmin : float
        Width of a pixel in the eye at the nearest point and at the far edge, foreshortening
        included, [arcmin].
    """

    distance_mm: float
    off_axis_deg: float
    horizontal_deg: float
    nearest_arcmin: float
    farthest_arcmin: float


def arcmin(size_mm: float, distance_m: float) -> float:
    """Angle that an object fills, seen square on.

    Parameters
    ----------
    size_mm : float
        Above 0 to 1e9, [mm].
    distance_m : float
        From the eye, above 0 to 1e5, [m].

    Returns
    -------
    float
        Angle, [arcmin].

    Raises
    ------
    ValueError
        A figure out of its range.

    Notes
    -----
    Exact, 2·atan(size / (2·distance)); for small objects 3437.75 · size / distance.

    Examples
    --------
    >>> round(arcmin(2.6042, 8.9527), 3)
    1.0
    """
    half = _size_m("size_mm", size_mm) / 2.0 / _distance_m(distance_m)
    return 2.0 * math.atan(half) * ARCMIN_PER_RADIAN


def _size_m(name: str, size_mm: float) -> float:
    return finite(name, size_mm, "mm", low=1e-6, high=1e9) / 1000.0


def _distance_m(distance_m: float, name: str = "distance_m") -> float:
    return finite(name, distance_m, "m", low=1e-3, high=_FARTHEST_M)


def size_for_arcmin_mm(angle_arcmin: float, distance_m: float) -> float:
    """Size of an object that fills an angle, seen square on.

    Parameters
    ----------
    angle_arcmin : float
        Above 0, less than 180 degrees or 10,800, [arcmin].
    distance_m : float
        From the eye, 0.001 to 1e5, [m].

    Returns
    -------
    float
        Size, [mm].

    Raises
    ------
    ValueError
        A figure out of its range.

    Examples
    --------
    >>> round(size_for_arcmin_mm(16.0, 24.0), 1)
    111.7
    """
    angle = finite(
        "angle_arcmin",
        angle_arcmin,
        "arcmin",
        low=0.0,
        high=10_800.0,
        low_open=True,
        high_open=True,
    )
    size = 2.0 * _distance_m(distance_m) * math.tan(angle / 2.0 / ARCMIN_PER_RADIAN) * 1000.0
    return positive("size", computed("size", size, "mm"), "mm")


def pixel_visibility_distance_m(pitch_mm: float, acuity_arcmin: float = ACUITY_ARCMIN) -> float:
    """Distance beyond which the eye no longer parts one pixel from the next.

    Parameters
    ----------
    pitch_mm : float
        1e-6 to 1e9, [mm].
    acuity_arcmin : float
        Smallest detail seen, 0.1 to 60, [arcmin].

    Returns
    -------
    float
        Distance, [m].

    Raises
    ------
    ValueError
        A figure out of its range.

    Notes
    -----
    At 1 arcmin it is 3.44 m for each mm of pitch. The trade's "as many metres as millimetres of
    pitch" is the nearest comfortable viewer (common practice, no published source).

    References
    ----------
    .. [1] ISO 8596, acuity 1.0 resolves 1 arcmin (from memory).

    Examples
    --------
    >>> round(pixel_visibility_distance_m(2.6042), 2)
    8.95
    """
    angle = finite("acuity_arcmin", acuity_arcmin, "arcmin", low=0.1, high=60.0)
    return _size_m("pitch_mm", pitch_mm) / 2.0 / math.tan(angle / 2.0 / ARCMIN_PER_RADIAN)


def text_height_px(
    pitch_mm: float, farthest_m: float, minimum_arcmin: float = TEXT_MINIMUM_ARCMIN
) -> int:
    """Least height of a capital letter that the farthest seat can read.

    Parameters
    ----------
    pitch_mm : float
        1e-6 to 1e9, [mm].
    farthest_m : float
        Farthest seat, 0.001 to 1e5, [m].
    minimum_arcmin : float
        Height wanted in the eye, 1 to 600, [arcmin].

    Returns
    -------
    int
        Height, rounded up to whole pixels, [px].

    Raises
    ------
    ValueError
        A figure out of its range.

    References
    ----------
    .. [1] ISO 9241-303:2011, character height at least 16 arcmin, 20 to 22 preferred.

    Examples
    --------
    >>> text_height_px(500 / 192, 24.0)
    43
    """
    pitch = _size_m("pitch_mm", pitch_mm) * 1000.0
    farthest = _distance_m(farthest_m, "farthest_m")
    angle = finite("minimum_arcmin", minimum_arcmin, "arcmin", low=1.0, high=600.0)
    return _whole_pixels(size_for_arcmin_mm(angle, farthest) / pitch)


def _whole_pixels(exact: float) -> int:
    """Round up, but not for the sake of binary rounding."""
    return max(1, math.ceil(exact * (1.0 - 1e-12)))


def text_arcmin(height_px: int, pitch_mm: float, distance_m: float) -> float:
    """Angle that a line of text fills.

    Parameters
    ----------
    height_px : int
        Height of its capitals, 1 to 1e6, [px].
    pitch_mm : float
        1e-6 to 1e3, [mm].
    distance_m : float
        From the eye, 0.001 to 1e5, [m].

    Returns
    -------
    float
        Angle, [arcmin].

    Raises
    ------
    ValueError
        A figure out of its range.

    Examples
    --------
    >>> round(text_arcmin(28, 500 / 192, 24.0), 1)
    10.4
    """
    height = whole("height_px", height_px, "px", low=1, high=10**6)
    return arcmin(height * finite("pitch_mm", pitch_mm, "mm", low=1e-6, high=1e3), distance_m)


def element_height_share(
    farthest_m: float,
    image_height_mm: float,
    acuity_factor: float = BASIC_DECISION_ACUITY_FACTOR,
) -> float:
    """Least height of an element for basic decision making, as a share of the image height.

    Parameters
    ----------
    farthest_m : float
        Farthest viewer, 0.001 to 1e5, [m].
    image_height_mm : float
        1e-6 to 1e9, [mm].
    acuity_factor : float
        1 to 10,000; 200 for basic decision making.

    Returns
    -------
    float
        Share of the image height; above 1 the image is too small for any element.

    Raises
    ------
    ValueError
        A figure out of its range.

    Notes
    -----
    %EH = farthest viewer / (image height · 200), which is about 17.2 arcmin.

    References
    ----------
    .. [1] ANSI/AVIXA V202.01:2016, Display Image Size for 2D Content in Audiovisual Systems.

    Examples
    --------
    >>> round(element_height_share(10.5, 1500.0), 6)
    0.035
    """
    factor = finite("acuity_factor", acuity_factor, "", low=1.0, high=10_000.0)
    height = _size_m("image_height_mm", image_height_mm)
    return _distance_m(farthest_m, "farthest_m") / height / factor


def element_height_px(
    farthest_m: float, pitch_mm: float, acuity_factor: float = BASIC_DECISION_ACUITY_FACTOR
) -> int:
    """Least height of an element for basic decision making, in pixels of the wall.

    Parameters
    ----------
    farthest_m : float
        Farthest viewer, 0.001 to 1e5, [m].
    pitch_mm : float
        1e-6 to 1e9, [mm].
    acuity_factor : float
        1 to 10,000; 200 for basic decision making.

    Returns
    -------
    int
        Height, rounded up to whole pixels, [px].

    Raises
    ------
    ValueError
        A figure out of its range.

    Examples
    --------
    >>> element_height_px(24.0, 500 / 192)
    47
    """
    return _whole_pixels(element_height_share(farthest_m, pitch_mm, acuity_factor))


def seat(width_mm: float, pitch_mm: float, aside_m: float, away_m: float) -> Seat:
    """Work out how a flat wall looks from a seat anywhere in front of it.

    Parameters
    ----------
    width_mm : float
        Of the wall, 1e-6 to 1e9, [mm].
    pitch_mm : float
        1e-6 to the width, [mm].
    aside_m : float
        Sideways from the wall's centre line, −1e5 to 1e5, either side, [m].
    away_m : float
        From the wall's plane, 0.001 to 1e5, [m].

    Returns
    -------
    Seat
        Distance, angles, and pixel size at the nearest point and the far edge.

    Raises
    ------
    ValueError
        A figure out of its range.

    Notes
    -----
    In the horizontal plane through the eye. A pixel at distance d seen at an angle θ from its
    normal fills 3437.75 · pitch · cos θ / d across; its height is not foreshortened.

    Examples
    --------
    >>> place = seat(7000.0, 2.5, 0.0, 3.5)
    >>> round(place.horizontal_deg, 6), place.off_axis_deg
    (90.0, 0.0)
    """
    half = _size_m("width_mm", width_mm) / 2.0
    pitch = finite("pitch_mm", pitch_mm, "mm", low=1e-6, high=half * 2000.0) / 1000.0
    aside = abs(finite("aside_m", aside_m, "m", low=-_FARTHEST_M, high=_FARTHEST_M))
    away = _distance_m(away_m, "away_m")
    beside = max(0.0, aside - half)
    spread = math.atan2(aside + half, away) - math.atan2(aside - half, away)
    return Seat(
        math.hypot(beside, away) * 1000.0,
        math.degrees(math.atan2(aside, away)),
        math.degrees(spread),
        _pixel_arcmin(pitch, beside, away),
        _pixel_arcmin(pitch, aside + half, away),
    )


def _pixel_arcmin(pitch_m: float, aside_m: float, away_m: float) -> float:
    return ARCMIN_PER_RADIAN * pitch_m * away_m / (aside_m**2 + away_m**2)

"""What can be seen and read from a seat: pixel size in the eye, text height, viewing angle."""

import math
from dataclasses import dataclass
from typing import Annotated

from commission_tui.engineering.numeric.bounds import Range, checked, computed

ARCMIN_PER_RADIAN = 60.0 * 180.0 / math.pi
"""3437.75, minutes of arc in one radian."""

ACUITY_ARCMIN = 1.0
"""Smallest detail for decimal acuity 1.0 (20/20), ISO 8596 (from memory)."""

TEXT_MINIMUM_ARCMIN = 16.0
"""Least height of a capital letter, ISO 9241-303:2011 and NUREG-0700 rev. 2, 1.3.1-4."""

BASIC_DECISION_ACUITY_FACTOR = 200.0
"""Of ANSI/AVIXA V202.01 (DISCAS), basic decision making."""

EyeDistanceM = Annotated[float, Range("m", least=1e-3, most=1e5), "From the eye"]
FarthestM = Annotated[float, Range("m", least=1e-3, most=1e5), "Farthest viewer"]
PitchMm = Annotated[float, Range("mm", least=1e-6, most=1e9)]
AcuityFactor = Annotated[float, Range(least=1, most=10_000), "200 for basic decision making"]


@dataclass(frozen=True, slots=True)
class Seat:
    """How a wall looks from one seat."""

    distance_mm: float
    """To the nearest point of the wall's horizontal middle line, [mm]."""
    off_axis_deg: float
    """Angle between the line to the wall's centre and its normal, [degree]."""
    horizontal_deg: float
    """Angle that the width fills, [degree]."""
    nearest_arcmin: float
    farthest_arcmin: float
    """Width of a pixel in the eye at the nearest point and at the far edge, foreshortening
    included, [arcmin]."""


@checked
def arcmin(
    size_mm: Annotated[float, Range("mm", least=1e-6, most=1e9)], distance_m: EyeDistanceM
) -> Annotated[float, Range("arcmin")]:
    """Angle that an object fills, seen square on.

    Notes
    -----
    Exact, 2·atan(size / (2·distance)); for small objects 3437.75 · size / distance.

    Examples
    --------
    >>> round(arcmin(2.6042, 8.9527), 3)
    1.0
    """
    half = size_mm / 1000.0 / 2.0 / distance_m
    return 2.0 * math.atan(half) * ARCMIN_PER_RADIAN


@checked
def size_for_arcmin_mm(
    angle_arcmin: Annotated[float, Range("arcmin", above=0, below=10_800), "Below 180 degrees"],
    distance_m: EyeDistanceM,
) -> Annotated[float, Range("mm")]:
    """Size of an object that fills an angle, seen square on.

    Examples
    --------
    >>> round(size_for_arcmin_mm(16.0, 24.0), 1)
    111.7
    """
    size = 2.0 * distance_m * math.tan(angle_arcmin / 2.0 / ARCMIN_PER_RADIAN) * 1000.0
    return Range("mm", above=0).figure("size", computed("size", size, "mm"))


@checked
def pixel_visibility_distance_m(
    pitch_mm: PitchMm,
    acuity_arcmin: Annotated[
        float, Range("arcmin", least=0.1, most=60), "Smallest detail seen"
    ] = ACUITY_ARCMIN,
) -> Annotated[float, Range("m")]:
    """Distance beyond which the eye no longer parts one pixel from the next.

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
    return pitch_mm / 1000.0 / 2.0 / math.tan(acuity_arcmin / 2.0 / ARCMIN_PER_RADIAN)


@checked
def text_height_px(
    pitch_mm: PitchMm,
    farthest_m: FarthestM,
    minimum_arcmin: Annotated[
        float, Range("arcmin", least=1, most=600), "Height wanted in the eye"
    ] = TEXT_MINIMUM_ARCMIN,
) -> Annotated[int, Range("px"), "Rounded up to whole pixels"]:
    """Least height of a capital letter that the farthest seat can read.

    References
    ----------
    .. [1] ISO 9241-303:2011, character height at least 16 arcmin, 20 to 22 preferred.

    Examples
    --------
    >>> text_height_px(500 / 192, 24.0)
    43
    """
    return _whole_pixels(size_for_arcmin_mm(minimum_arcmin, farthest_m) / pitch_mm)


def _whole_pixels(exact: float) -> int:
    """Round up, but not for the sake of binary rounding."""
    return max(1, math.ceil(exact * (1.0 - 1e-12)))


@checked
def text_arcmin(
    height_px: Annotated[int, Range("px", least=1, most=10**6), "Height of its capitals"],
    pitch_mm: Annotated[float, Range("mm", least=1e-6, most=1e3)],
    distance_m: EyeDistanceM,
) -> Annotated[float, Range("arcmin")]:
    """Angle that a line of text fills.

    Examples
    --------
    >>> round(text_arcmin(28, 500 / 192, 24.0), 1)
    10.4
    """
    return arcmin(height_px * pitch_mm, distance_m)


@checked
def element_height_share(
    farthest_m: FarthestM,
    image_height_mm: Annotated[float, Range("mm", least=1e-6, most=1e9)],
    acuity_factor: AcuityFactor = BASIC_DECISION_ACUITY_FACTOR,
) -> Annotated[float, "Share of the image height; above 1 the image is too small for any element"]:
    """Least height of an element for basic decision making, as a share of the image height.

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
    return farthest_m / (image_height_mm / 1000.0) / acuity_factor


@checked
def element_height_px(
    farthest_m: FarthestM,
    pitch_mm: PitchMm,
    acuity_factor: AcuityFactor = BASIC_DECISION_ACUITY_FACTOR,
) -> Annotated[int, Range("px"), "Rounded up to whole pixels"]:
    """Least height of an element for basic decision making, in pixels of the wall.

    Examples
    --------
    >>> element_height_px(24.0, 500 / 192)
    47
    """
    return _whole_pixels(element_height_share(farthest_m, pitch_mm, acuity_factor))


@checked
def seat(
    width_mm: Annotated[float, Range("mm", least=1e-6, most=1e9), "Of the wall"],
    pitch_mm: Annotated[float, Range("mm", least=1e-6), "At most the width"],
    aside_m: Annotated[
        float, Range("m", least=-1e5, most=1e5), "From the centre line, either side"
    ],
    away_m: Annotated[float, Range("m", least=1e-3, most=1e5), "From the wall's plane"],
) -> Seat:
    """Work out how a flat wall looks from a seat anywhere in front of it.

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
    half = width_mm / 1000.0 / 2.0
    pitch = Range("mm", least=1e-6, most=width_mm).figure("pitch_mm", pitch_mm) / 1000.0
    aside = abs(aside_m)
    beside = max(0.0, aside - half)
    spread = math.atan2(aside + half, away_m) - math.atan2(aside - half, away_m)
    return Seat(
        math.hypot(beside, away_m) * 1000.0,
        math.degrees(math.atan2(aside, away_m)),
        math.degrees(spread),
        _pixel_arcmin(pitch, beside, away_m),
        _pixel_arcmin(pitch, aside + half, away_m),
    )


def _pixel_arcmin(pitch_m: float, aside_m: float, away_m: float) -> float:
    return ARCMIN_PER_RADIAN * pitch_m * away_m / (aside_m**2 + away_m**2)

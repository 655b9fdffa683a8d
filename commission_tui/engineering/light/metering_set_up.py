"""Whether a luminance meter is set up so that its reading means something: spot and timing."""

import math
from typing import Annotated

from commission_tui.engineering.numeric.bounds import Range, checked, computed

FEWEST_PIXELS_IN_SPOT = 500
"""Pixels that a measured spot should hold: SID ICDM, Information Display Measurements Standard
(from memory)."""

MeterDistanceM = Annotated[float, Range("m", above=0, most=1e5), "From the front of the meter on"]
FieldDeg = Annotated[float, Range("deg", least=1e-6, below=90), "Full angle of its measuring field"]
PitchAlongMm = Annotated[float, Range("mm", above=0), "Pixel pitch that way"]
IntegrationMs = Annotated[float, Range("ms", above=0), "Of one reading"]
FrameRateHz = Annotated[float, Range("Hz", above=0), "Of the wall"]


@checked
def spot_diameter_mm(
    distance_m: MeterDistanceM, field_deg: FieldDeg
) -> Annotated[float, Range("mm")]:
    """Return how wide the spot is that a meter sees on the wall, square on.

    Notes
    -----
    2·D·tan(field / 2), by geometry.

    Examples
    --------
    >>> round(spot_diameter_mm(3.0, 1.0), 1)
    52.4
    """
    return computed("spot", 2000.0 * distance_m * _half_width(field_deg), "mm")


def _half_width(field_deg: float) -> float:
    return math.tan(math.radians(field_deg) / 2.0)


@checked
def pixels_in_spot(
    distance_m: MeterDistanceM,
    field_deg: FieldDeg,
    pitch_across_mm: PitchAlongMm,
    pitch_down_mm: PitchAlongMm,
) -> Annotated[float, Range("px"), "Area of the spot over the area of a pixel"]:
    """Return how many pixels of the wall a meter's spot holds.

    Notes
    -----
    π·d² / 4 / (pitch across · pitch down).

    References
    ----------
    .. [1] Geometry; at least 500 pixels: SID ICDM, Information Display Measurements Standard (from
       memory).

    Examples
    --------
    >>> round(pixels_in_spot(4.0, 1.0, 500 / 192, 500 / 192))
    564
    """
    spot = spot_diameter_mm(distance_m, field_deg)
    pixels = math.pi / 4.0 * (spot / pitch_across_mm) * (spot / pitch_down_mm)
    return computed("pixels in the spot", pixels, "px")


@checked
def least_distance_m(
    field_deg: FieldDeg,
    pitch_across_mm: PitchAlongMm,
    pitch_down_mm: PitchAlongMm,
    pixels: Annotated[float, Range("px", above=0), "Wanted in the spot"] = FEWEST_PIXELS_IN_SPOT,
) -> Annotated[float, Range("m")]:
    """Return the nearest place for a meter at which its spot holds enough pixels.

    Notes
    -----
    `pixels_in_spot` solved for the distance.

    Examples
    --------
    >>> round(least_distance_m(1.0, 500 / 192, 500 / 192), 2)
    3.76
    """
    spot = math.sqrt(4.0 / math.pi * pixels) * math.sqrt(pitch_across_mm) * math.sqrt(pitch_down_mm)
    return computed("distance", spot / (2000.0 * _half_width(field_deg)), "m")


@checked
def frames_integrated(
    integration_ms: IntegrationMs, frame_rate_hz: FrameRateHz
) -> Annotated[float, Range("frame")]:
    """Return how many frames of the wall a meter adds up in one reading.

    Examples
    --------
    >>> frames_integrated(100.0, 60.0)
    6.0
    """
    return computed("frames", integration_ms * frame_rate_hz / 1000.0, "")


@checked
def off_whole_frames(
    integration_ms: IntegrationMs, frame_rate_hz: FrameRateHz
) -> Annotated[float, Range("frame"), "To the nearest whole number that is not 0"]:
    """Return how much of a frame a meter catches too much or too little of.

    Notes
    -----
    A part of a frame is lit or dark as the phase falls: over N frames a reading then wanders by up
    to this part over N. Whole periods in the measuring time: common practice, no published source.

    Examples
    --------
    >>> off_whole_frames(100.0, 50.0)
    0.0
    """
    frames = frames_integrated(integration_ms, frame_rate_hz)
    return abs(frames - max(round(frames), 1))

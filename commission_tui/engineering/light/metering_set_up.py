"""Whether a luminance meter is set up so that its reading means something: spot and timing."""

from __future__ import annotations

import math

from commission_tui.engineering.numeric.bounds import computed, finite, positive

__all__ = [
    "FEWEST_PIXELS_IN_SPOT",
    "frames_integrated",
    "least_distance_m",
    "off_whole_frames",
    "pixels_in_spot",
    "spot_diameter_mm",
]

FEWEST_PIXELS_IN_SPOT = 500
"""Pixels that a measured spot should hold: SID ICDM, Information Display Measurements Standard
(from memory)."""

_FARTHEST_M = 1e5
_NARROWEST_DEG, _WIDEST_DEG = 1e-6, 90.0


def spot_diameter_mm(distance_m: float, field_deg: float) -> float:
    """Return how wide the spot is that a meter sees on the wall, square on.

    Parameters
    ----------
    distance_m : float
        From the front of the meter to the wall, above 0, at most 1e5, [m].
    field_deg : float
        Full angle of its measuring field, 1e-6 to below 90, [deg].

    Returns
    -------
    float
        [mm].

    Raises
    ------
    ValueError
        A parameter outside its range.

    Notes
    -----
    2·D·tan(field / 2).

    References
    ----------
    .. [1] Geometry.

    Examples
    --------
    >>> round(spot_diameter_mm(3.0, 1.0), 1)
    52.4
    """
    distance = finite("distance_m", distance_m, "m", low=0.0, high=_FARTHEST_M, low_open=True)
    return computed("spot", 2000.0 * distance * _half_width(field_deg), "mm")


def _half_width(field_deg: float) -> float:
    angle = finite(
        "field_deg", field_deg, "deg", low=_NARROWEST_DEG, high=_WIDEST_DEG, high_open=True
    )
    return math.tan(math.radians(angle) / 2.0)


def pixels_in_spot(
    distance_m: float, field_deg: float, pitch_across_mm: float, pitch_down_mm: float
) -> float:
    """Return how many pixels of the wall a meter's spot holds.

    Parameters
    ----------
    distance_m, field_deg : float
        As for `spot_diameter_mm`.
    pitch_across_mm, pitch_down_mm : float
        Pixel pitch in both directions, above 0, [mm].

    Returns
    -------
    float
        Area of the spot over the area of a pixel, [px].

    Raises
    ------
    ValueError
        A parameter outside its range.

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
    across = positive("pitch_across_mm", pitch_across_mm, "mm")
    down = positive("pitch_down_mm", pitch_down_mm, "mm")
    return computed("pixels in the spot", math.pi / 4.0 * (spot / across) * (spot / down), "px")


def least_distance_m(
    field_deg: float,
    pitch_across_mm: float,
    pitch_down_mm: float,
    pixels: float = FEWEST_PIXELS_IN_SPOT,
) -> float:
    """Return the nearest place for a meter at which its spot holds enough pixels.

    Parameters
    ----------
    field_deg, pitch_across_mm, pitch_down_mm : float
        As for `pixels_in_spot`.
    pixels : float
        Wanted in the spot, above 0, [px].

    Returns
    -------
    float
        [m].

    Raises
    ------
    ValueError
        A parameter outside its range.

    Notes
    -----
    `pixels_in_spot` solved for the distance.

    Examples
    --------
    >>> round(least_distance_m(1.0, 500 / 192, 500 / 192), 2)
    3.76
    """
    half = _half_width(field_deg)
    across = positive("pitch_across_mm", pitch_across_mm, "mm")
    down = positive("pitch_down_mm", pitch_down_mm, "mm")
    wanted = positive("pixels", pixels, "px")
    spot = math.sqrt(4.0 / math.pi * wanted) * math.sqrt(across) * math.sqrt(down)
    return computed("distance", spot / (2000.0 * half), "m")


def frames_integrated(integration_ms: float, frame_rate_hz: float) -> float:
    """Return how many frames of the wall a meter adds up in one reading.

    Parameters
    ----------
    integration_ms : float
        Above 0, [ms].
    frame_rate_hz : float
        Of the wall, above 0, [Hz].

    Returns
    -------
    float
        [frame].

    Raises
    ------
    ValueError
        A parameter outside its range.

    Examples
    --------
    >>> frames_integrated(100.0, 60.0)
    6.0
    """
    time = positive("integration_ms", integration_ms, "ms")
    rate = positive("frame_rate_hz", frame_rate_hz, "Hz")
    return computed("frames", time * rate / 1000.0, "")


def off_whole_frames(integration_ms: float, frame_rate_hz: float) -> float:
    """Return how much of a frame a meter catches too much or too little of.

    Parameters
    ----------
    integration_ms, frame_rate_hz : float
        As for `frames_integrated`.

    Returns
    -------
    float
        From the number of frames to the nearest whole number that is not 0, [frame].

    Raises
    ------
    ValueError
        A parameter outside its range.

    Notes
    -----
    A part of a frame is lit or dark as the phase falls: over N frames a reading then wanders by up
    to this part over N.

    References
    ----------
    .. [1] Whole periods in the measuring time: common practice, no published source.

    Examples
    --------
    >>> off_whole_frames(100.0, 50.0)
    0.0
    """
    frames = frames_integrated(integration_ms, frame_rate_hz)
    return abs(frames - max(round(frames), 1))

"""Cameras in front of a wall: bands from the shutter, and moiré from the two grids."""

from __future__ import annotations

import math
from dataclasses import dataclass

from commission_tui.engineering.numeric.bounds import computed, finite, positive, whole
from commission_tui.engineering.viewing._moire import (
    Moire,
    MoireZone,
    beat_period_photosites,
    farthest_clean_distance_m,
    moire,
    photosite_um,
    photosites_per_pixel,
    shortest_clean_focal_length_mm,
)

__all__ = [
    "CleanShutter",
    "Moire",
    "MoireZone",
    "RollingBands",
    "band_contrast",
    "beat_period_photosites",
    "clean_shutters",
    "farthest_clean_distance_m",
    "moire",
    "photosite_um",
    "photosites_per_pixel",
    "refreshes_per_exposure",
    "rolling_shutter_bands",
    "shortest_clean_focal_length_mm",
]

_WHOLE = 1e-9
_MOST_REFRESHES = 1e9


@dataclass(frozen=True, slots=True)
class CleanShutter:
    """An exposure time of a whole number of refreshes.

    Attributes
    ----------
    shutter_s : float
        [s].
    refreshes : int
        [1].
    """

    shutter_s: float
    refreshes: int


@dataclass(frozen=True, slots=True)
class RollingBands:
    """Bands that a sensor read row by row makes of a refreshing wall.

    Attributes
    ----------
    bands_in_picture : float
        Across the whole height, [1].
    band_height_rows : float
        From one band to the next, [row].
    drift_rows_per_frame : float
        Positive in the direction of readout, 0 for standing bands, [row].
    contrast : float
        As `band_contrast`, [1].
    """

    bands_in_picture: float
    band_height_rows: float
    drift_rows_per_frame: float
    contrast: float


def refreshes_per_exposure(shutter_s: float, refresh_hz: float) -> float:
    """Return how many times the wall refreshes while the shutter is open.

    Parameters
    ----------
    shutter_s : float
        Exposure time, above 0, [s].
    refresh_hz : float
        Refresh rate of the wall at the grey in question, above 0, [Hz]. Low greys refresh less
        often than the data sheet says: frame rate times the sub-periods in which they are lit.

    Returns
    -------
    float
        At most 10⁹, [1].

    Raises
    ------
    ValueError
        A parameter outside its range.

    References
    ----------
    .. [1] The definition: N = t·f.

    Examples
    --------
    >>> round(refreshes_per_exposure(1 / 50, 3840.0), 1)
    76.8
    """
    refreshes = positive("shutter_s", shutter_s, "s") * positive("refresh_hz", refresh_hz, "Hz")
    return finite(
        "refreshes per exposure", refreshes, "", low=0.0, high=_MOST_REFRESHES, low_open=True
    )


def _beyond_whole(number: float) -> float:
    """Return the fraction of a number, 0 where it is whole but for rounding."""
    nearest = round(number)
    whole_number = nearest > 0 and abs(number - nearest) <= _WHOLE * nearest
    return 0.0 if whole_number else number - math.floor(number)


def band_contrast(shutter_s: float, refresh_hz: float, lit_fraction: float | None = None) -> float:
    """Return the contrast of bands across a picture of the wall.

    Parameters
    ----------
    shutter_s, refresh_hz : float
        As in `refreshes_per_exposure`.
    lit_fraction : float, optional
        Share of each refresh in which the light is on, above 0 and at most 1, [1]. Left out, the
        light is a short pulse, which is the worst case.

    Returns
    -------
    float
        Brightest less darkest row over the mean, [1]. 0 with a whole number of refreshes.

    Raises
    ------
    ValueError
        A parameter outside its range.

    Notes
    -----
    Short pulses: 1/N unless N is whole. Pulses that last a share d of the period, with r the
    fraction of N: min(r, 1 - r, d, 1 - d) / (N·d). Assumes one pulse a refresh; light scrambled
    over the refresh bands less.

    References
    ----------
    .. [1] Counting pulses in a window; 1/N as a rule: common practice, no published source.

    Examples
    --------
    >>> round(100 * band_contrast(1 / 50, 3840.0), 1)
    1.3
    >>> band_contrast(1 / 60, 3840.0)
    0.0
    """
    refreshes = refreshes_per_exposure(shutter_s, refresh_hz)
    part = _beyond_whole(refreshes)
    if part == 0.0:
        return 0.0
    if lit_fraction is None:
        return computed("band contrast", 1.0 / refreshes, "")
    lit = finite("lit_fraction", lit_fraction, "", low=0.0, high=1.0, low_open=True)
    swing = min(part, 1.0 - part, lit, 1.0 - lit) / lit
    return computed("band contrast", swing / refreshes, "")


def clean_shutters(refresh_hz: float, wanted_s: float, count: int = 3) -> tuple[CleanShutter, ...]:
    """Return exposure times near a wanted one that make no bands.

    Parameters
    ----------
    refresh_hz : float
        Refresh rate at the lowest grey that matters, above 0, [Hz].
    wanted_s : float
        Wanted exposure time, above 0, [s].
    count : int
        How many, 1 to 100, [1].

    Returns
    -------
    tuple of CleanShutter
        Nearest in stops first; at equal distance the shorter first.

    Raises
    ------
    ValueError
        A parameter outside its range.

    References
    ----------
    .. [1] Whole multiples of the refresh period: `band_contrast` is 0 for each.

    Examples
    --------
    >>> [shutter.refreshes for shutter in clean_shutters(480.0, 1 / 250)]
    [2, 3, 1]
    """
    wanted = refreshes_per_exposure(wanted_s, refresh_hz)
    many = whole("count", count, "", low=1, high=100)
    first = max(round(wanted) - many, 1)
    candidates = sorted(
        range(first, first + 3 * many), key=lambda number: abs(math.log(number / wanted))
    )
    return tuple(
        CleanShutter(computed("shutter_s", number / refresh_hz, "s"), number)
        for number in candidates[:many]
    )


def rolling_shutter_bands(
    refresh_hz: float, shutter_s: float, readout_s: float, rows: int, frame_hz: float
) -> RollingBands:
    """Return how many bands a row-by-row readout shows, how high they are and how they drift.

    Parameters
    ----------
    refresh_hz, shutter_s : float
        As in `refreshes_per_exposure`.
    readout_s : float
        From the first row's readout to the last's, above 0, at most one frame, [s].
    rows : int
        Of the picture, 2 or more, [1].
    frame_hz : float
        Of the camera, above 0, [Hz].

    Returns
    -------
    RollingBands
        Number, height, drift and contrast.

    Raises
    ------
    ValueError
        A parameter outside its range.

    Notes
    -----
    Each row starts readout/rows later than the one before, so the bands stand
    rows / (f·readout) apart. From frame to frame the phase moves on by the fraction of f over the
    frame rate, and the bands move against it; a drift of half a band or more looks like its
    reverse. Locked wall and camera give standing bands.

    References
    ----------
    .. [1] Sampling of a periodic light by rows: geometry, no published source.
    """
    refresh = positive("refresh_hz", refresh_hz, "Hz")
    frame = positive("frame_hz", frame_hz, "Hz")
    count = whole("rows", rows, "", low=2)
    readout = finite("readout_s", readout_s, "s", low=0.0, high=1.0 / frame, low_open=True)
    bands = computed("bands", refreshes_per_exposure(readout, refresh), "")
    height = computed("band height", count / bands, "row")
    per_frame = refreshes_per_exposure(1.0 / frame, refresh)
    step = _beyond_whole(per_frame)
    step -= round(step)
    return RollingBands(
        bands_in_picture=bands,
        band_height_rows=height,
        drift_rows_per_frame=computed("drift", -step * height, "row") + 0.0,
        contrast=band_contrast(shutter_s, refresh),
    )

"""Cameras in front of a wall: bands and flicker from the shutter, beats, and moiré from two grids."""

from __future__ import annotations

import math
from dataclasses import dataclass

from commission_tui.engineering.numeric.bounds import computed, finite, positive, whole
from commission_tui.engineering.viewing._moire import (
    RESOLVED_PHOTOSITES,
    Moire,
    MoireZone,
    Sensor,
    beat_period_photosites,
    farthest_clean_distance_m,
    moire,
    photosite_um,
    photosites_per_pixel,
    photosites_wanted,
    shortest_clean_focal_length_mm,
)
from commission_tui.engineering.viewing._shutters import BEAT_HZ, frame_beat_hz, parse_shutter_s

__all__ = [
    "BEAT_HZ",
    "RESOLVED_PHOTOSITES",
    "USUAL_LINES",
    "USUAL_READOUT_S",
    "CleanShutter",
    "Moire",
    "MoireZone",
    "RollingBands",
    "Sensor",
    "band_contrast",
    "beat_period_photosites",
    "clean_shutters",
    "farthest_clean_distance_m",
    "flicker_contrast",
    "frame_beat_hz",
    "moire",
    "parse_shutter_s",
    "photosite_um",
    "photosites_per_pixel",
    "photosites_wanted",
    "refreshes_per_exposure",
    "rolling_shutter_bands",
    "shortest_clean_focal_length_mm",
]

USUAL_READOUT_S = 0.01
"""From the first line to the last of a rolling shutter; sensors lie between 5 and 20 ms: common
practice, no published source."""
USUAL_LINES = 1080

_ROUNDING = 1e-9
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
    """Return how far a number is from the nearest whole one."""
    return abs(number - round(number))


def band_contrast(
    shutter_s: float,
    refresh_hz: float,
    lit_fraction: float | None = None,
    *,
    readout_s: float = USUAL_READOUT_S,
    lines: int = USUAL_LINES,
) -> float:
    """Return the contrast of the bands that a rolling shutter shows across a picture of the wall.

    Parameters
    ----------
    shutter_s, refresh_hz : float
        As in `refreshes_per_exposure`.
    lit_fraction : float, optional
        Share of each refresh in which the light is on, above 0 and at most 1, [1]. Left out, the
        light is a short pulse, which is the worst case.
    readout_s : float
        From the readout of the first line to that of the last, above 0, [s]. By default 10 ms.
    lines : int
        Of the picture, 2 or more, [1].

    Returns
    -------
    float
        Brightest less darkest line over the mean, [1]. It falls steadily to 0 as the exposure
        nears a whole number of refreshes.

    Raises
    ------
    ValueError
        A parameter outside its range.

    Notes
    -----
    Of short pulses, rows catch floor(N) or ceil(N): a difference of 1/N. Of pulses that last a
    share d of the period, with r the distance of N from the nearest whole number:
    min(r, d, 1 - d) / (N·d). No pulse is taken as shorter than the time from one line's readout to
    the next, d = f·readout/lines: a band thinner than a line spreads over the line, so that a
    shutter a hair off a whole number of refreshes shows nothing, and there is no edge. Assumes one
    pulse a refresh; light scrambled over the refresh bands less.

    References
    ----------
    .. [1] Counting pulses in a window; the readout of 10 ms and 1080 lines: common practice, no
       published source.

    Examples
    --------
    >>> round(100 * band_contrast(1 / 50, 3840.0), 1)
    1.3
    >>> [f"{band_contrast(shutter, 480.0):.4f}" for shutter in (1 / 60, 0.016667, 0.0165)]
    ['0.0000', '0.0045', '0.1263']
    """
    refreshes = refreshes_per_exposure(shutter_s, refresh_hz)
    part = _beyond_whole(refreshes)
    if lit_fraction is None:
        between = finite("readout_s", readout_s, "s", low=0.0, low_open=True) * refresh_hz
        thin = part * whole("lines", lines, "", low=2) / positive("bands", between, "")
        return computed("band contrast", min(1.0, thin) / refreshes, "")
    lit = finite("lit_fraction", lit_fraction, "", low=0.0, high=1.0, low_open=True)
    swing = min(part, lit, 1.0 - lit) / lit
    return computed("band contrast", swing / refreshes, "")


def flicker_contrast(shutter_s: float, refresh_hz: float, frame_hz: float) -> float:
    """Return how much frames differ that a global shutter takes of a wall it is not locked to.

    Parameters
    ----------
    shutter_s, refresh_hz : float
        As in `refreshes_per_exposure`.
    frame_hz : float
        Of the camera, above 0, [Hz].

    Returns
    -------
    float
        Brightest less darkest frame over the mean, [1]. It falls steadily to 0 as the exposure
        nears a whole number of refreshes.

    Raises
    ------
    ValueError
        A parameter outside its range.

    Notes
    -----
    All rows are open together: no bands, but a frame catches floor(N) or ceil(N) pulses. With r
    the distance of N from the nearest whole number, r·frame_hz frames a second are of the rarer
    kind; fewer than one a second count in proportion.

    References
    ----------
    .. [1] Counting pulses in a window; one frame a second: common practice, no published source.

    Examples
    --------
    >>> round(flicker_contrast(1 / 100, 480.0, 50.0), 3), flicker_contrast(1 / 60, 480.0, 50.0)
    (0.208, 0.0)
    """
    refreshes = refreshes_per_exposure(shutter_s, refresh_hz)
    odd = _beyond_whole(refreshes) * positive("frame_hz", frame_hz, "Hz")
    return computed("flicker", min(1.0, odd) / refreshes, "")


def clean_shutters(
    refresh_hz: float, wanted_s: float, count: int = 3, longest_s: float | None = None
) -> tuple[CleanShutter, ...]:
    """Return exposure times near a wanted one that make no bands.

    Parameters
    ----------
    refresh_hz : float
        Refresh rate at the lowest grey that matters, above 0, [Hz].
    wanted_s : float
        Wanted exposure time, above 0, [s].
    count : int
        How many, 1 to 100, [1].
    longest_s : float, optional
        The camera's frame, which no shutter can outlast, above 0, [s].

    Returns
    -------
    tuple of CleanShutter
        Nearest in stops first; at equal distance the shorter first. Fewer than `count`, or none,
        where the frame holds no more.

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
    most = math.inf
    if longest_s is not None:
        fit = refreshes_per_exposure(positive("longest_s", longest_s, "s"), refresh_hz)
        most = math.floor(fit * (1.0 + _ROUNDING))
        wanted = min(wanted, fit)
    first = max(round(wanted) - many, 1)
    candidates = sorted(
        (number for number in range(first, first + 3 * many) if number <= most),
        key=lambda number: abs(math.log(number / wanted)),
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
    step = per_frame - round(per_frame)
    step = 0.0 if abs(step) <= _ROUNDING * per_frame else step
    return RollingBands(
        bands_in_picture=bands,
        band_height_rows=height,
        drift_rows_per_frame=computed("drift", -step * height, "row") + 0.0,
        contrast=band_contrast(shutter_s, refresh, readout_s=readout, lines=count),
    )

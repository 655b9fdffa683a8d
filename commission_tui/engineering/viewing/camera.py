"""Cameras in front of a wall: bands and flicker from the shutter, beats, and moiré from two grids."""

import math
import re
from dataclasses import dataclass
from typing import Annotated

from commission_tui.engineering.numeric.bounds import Range, RefusedError, checked, computed
from commission_tui.engineering.numeric.quantity_text import parse_quantity

_ANGLE = re.compile(r"(?P<angle>[0-9.,]+) ?(?:°|deg|degrees?)", re.IGNORECASE)
_FULL_TURN_DEG = 360.0

BEAT_HZ = 0.1
"""Most beats a second that pass: a frame is missed or doubled every ten seconds; common practice, no
published source, [Hz]."""


@checked
def parse_shutter_s(
    text: Annotated[str, "A fraction or number of seconds, a time with its unit, or an angle"],
    frame_hz: Annotated[float | None, Range("Hz", above=0), "Of the camera, for an angle"] = None,
) -> Annotated[float, Range("s"), "Exposure time, above 0"]:
    """Read a shutter as a camera shows it: ``1/50``, ``180°``, ``20 ms``, ``0.02``.

    Raises
    ------
    ValueError
        No shutter, 0 or less, an angle above 360°, or an angle without a frame rate.

    Notes
    -----
    t = angle / 360° / frame rate. The definition of the shutter angle: the open part of one turn a
    frame.

    Examples
    --------
    >>> parse_shutter_s("1/50"), parse_shutter_s("180°", 25.0), parse_shutter_s("20 ms")
    (0.02, 0.02, 0.02)
    """
    angle = _ANGLE.fullmatch(text.strip())
    if angle is None:
        return Range("s", above=0).figure("shutter", parse_quantity(text, "s"))
    degrees = parse_quantity(angle["angle"], "deg")
    Range("°", above=0, most=_FULL_TURN_DEG).figure("shutter", degrees)
    if frame_hz is None:
        raise RefusedError(
            f"{text.strip()!r} is an angle, expected the camera's frame rate with it"
        )
    return degrees / _FULL_TURN_DEG / frame_hz


@checked
def frame_beat_hz(
    camera_hz: Annotated[float, Range("Hz", above=0)],
    wall_hz: Annotated[float, Range("Hz", above=0)],
) -> Annotated[float, Range("Hz"), "0 where one rate is a whole multiple of the other"]:
    """Return how often in a second a camera meets a frame of the wall at another moment.

    Notes
    -----
    The distance of the faster rate from the nearest whole multiple of the slower, at least once it.
    The beat of two periodic samplings: arithmetic.

    Examples
    --------
    >>> frame_beat_hz(50.0, 60.0), frame_beat_hz(25.0, 50.0), round(frame_beat_hz(59.94, 60.0), 2)
    (10.0, 0.0, 0.06)
    """
    slow, fast = sorted((camera_hz, wall_hz))
    times = round(computed("ratio of the rates", fast / slow, ""))
    return computed("beat", abs(fast - times * slow), "Hz")


USUAL_READOUT_S = 0.01
"""From the first line to the last of a rolling shutter; sensors lie between 5 and 20 ms: common
practice, no published source."""
USUAL_LINES = 1080

_ROUNDING = 1e-9


@dataclass(frozen=True, slots=True)
class CleanShutter:
    """An exposure time of a whole number of refreshes."""

    shutter_s: float
    refreshes: int


@dataclass(frozen=True, slots=True)
class RollingBands:
    """Bands that a sensor read row by row makes of a refreshing wall."""

    bands_in_picture: float
    """Across the whole height, [1]."""
    band_height_rows: float
    """From one band to the next, [row]."""
    drift_rows_per_frame: float
    """Positive in the direction of readout, 0 for standing bands, [row]."""
    contrast: float
    """As `band_contrast`, [1]."""


ShutterS = Annotated[float, Range("s", above=0), "Exposure time"]
RefreshHz = Annotated[
    float, Range("Hz", above=0), "At the grey in question: low greys refresh less often than stated"
]
FrameHz = Annotated[float, Range("Hz", above=0), "Of the camera"]


@checked
def refreshes_per_exposure(
    shutter_s: ShutterS, refresh_hz: RefreshHz
) -> Annotated[float, "At most 10⁹"]:
    """Return how many times the wall refreshes while the shutter is open.

    Notes
    -----
    Low greys refresh less often than the data sheet says: frame rate times the sub-periods in which
    they are lit. The definition: N = t·f.

    Examples
    --------
    >>> round(refreshes_per_exposure(1 / 50, 3840.0), 1)
    76.8
    """
    return Range(above=0, most=1e9).figure("refreshes per exposure", shutter_s * refresh_hz)


def _beyond_whole(number: float) -> float:
    """Return how far a number is from the nearest whole one."""
    return abs(number - round(number))


@checked
def band_contrast(
    shutter_s: ShutterS,
    refresh_hz: RefreshHz,
    lit_fraction: Annotated[
        float | None,
        Range(above=0, most=1),
        "Lit share of a refresh; left out, a short pulse, the worst",
    ] = None,
    *,
    readout_s: Annotated[
        float, Range("s", above=0), "From the first line's readout to the last's; usually 10 ms"
    ] = USUAL_READOUT_S,
    lines: Annotated[int, Range(least=2), "Of the picture"] = USUAL_LINES,
) -> float:
    """Return the contrast of the bands that a rolling shutter shows across a picture of the wall.

    Notes
    -----
    Brightest less darkest line over the mean; it falls steadily to 0 as the exposure nears a whole
    number of refreshes. Of short pulses, rows catch floor(N) or ceil(N): a difference of 1/N. Of
    pulses that last a share d of the period, with r the distance of N from the nearest whole
    number: min(r, d, 1 - d) / (N·d). No pulse is taken as shorter than the time from one line's
    readout to the next, d = f·readout/lines: a band thinner than a line spreads over the line, so
    that a shutter a hair off a whole number of refreshes shows nothing, and there is no edge.
    Assumes one pulse a refresh; light scrambled over the refresh bands less. Counting pulses in a
    window; the readout of 10 ms and 1080 lines: common practice, no published source.

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
        thin = part * lines / Range(above=0).figure("bands", readout_s * refresh_hz)
        return computed("band contrast", min(1.0, thin) / refreshes, "")
    swing = min(part, lit_fraction, 1.0 - lit_fraction) / lit_fraction
    return computed("band contrast", swing / refreshes, "")


@checked
def flicker_contrast(shutter_s: ShutterS, refresh_hz: RefreshHz, frame_hz: FrameHz) -> float:
    """Return how much frames differ that a global shutter takes of a wall it is not locked to.

    Notes
    -----
    Brightest less darkest frame over the mean; it falls steadily to 0 as the exposure nears a whole
    number of refreshes. All rows are open together: no bands, but a frame catches floor(N) or
    ceil(N) pulses. With r the distance of N from the nearest whole number, r·frame_hz frames a
    second are of the rarer kind; fewer than one a second count in proportion. Counting pulses in a
    window; one frame a second: common practice, no published source.

    Examples
    --------
    >>> round(flicker_contrast(1 / 100, 480.0, 50.0), 3), flicker_contrast(1 / 60, 480.0, 50.0)
    (0.208, 0.0)
    """
    refreshes = refreshes_per_exposure(shutter_s, refresh_hz)
    odd = _beyond_whole(refreshes) * frame_hz
    return computed("flicker", min(1.0, odd) / refreshes, "")


@checked
def clean_shutters(
    refresh_hz: Annotated[float, Range("Hz", above=0), "At the lowest grey that matters"],
    wanted_s: Annotated[float, Range("s", above=0), "Wanted exposure time"],
    count: Annotated[int, Range(least=1, most=100), "How many"] = 3,
    longest_s: Annotated[
        float | None, Range("s", above=0), "The camera's frame, which none can outlast"
    ] = None,
) -> tuple[CleanShutter, ...]:
    """Return exposure times near a wanted one that make no bands.

    Whole multiples of the refresh period: `band_contrast` is 0 for each.

    Returns
    -------
    tuple of CleanShutter
        Nearest in stops first; at equal distance the shorter first. Fewer than `count`, or none,
        where the frame holds no more.

    Examples
    --------
    >>> [shutter.refreshes for shutter in clean_shutters(480.0, 1 / 250)]
    [2, 3, 1]
    """
    wanted = refreshes_per_exposure(wanted_s, refresh_hz)
    most = math.inf
    if longest_s is not None:
        fit = refreshes_per_exposure(longest_s, refresh_hz)
        most = math.floor(fit * (1.0 + _ROUNDING))
        wanted = min(wanted, fit)
    first = max(round(wanted) - count, 1)
    candidates = sorted(
        (number for number in range(first, first + 3 * count) if number <= most),
        key=lambda number: abs(math.log(number / wanted)),
    )
    return tuple(
        CleanShutter(computed("shutter_s", number / refresh_hz, "s"), number)
        for number in candidates[:count]
    )


@checked
def rolling_shutter_bands(
    refresh_hz: RefreshHz,
    shutter_s: ShutterS,
    readout_s: Annotated[
        float, Range("s", above=0), "From the first row's readout to the last's, at most one frame"
    ],
    rows: Annotated[int, Range(least=2), "Of the picture"],
    frame_hz: FrameHz,
) -> RollingBands:
    """Return how many bands a row-by-row readout shows, how high they are and how they drift.

    Notes
    -----
    Each row starts readout/rows later than the one before, so the bands stand rows / (f·readout)
    apart. From frame to frame the phase moves on by the fraction of f over the frame rate, and the
    bands move against it; a drift of half a band or more looks like its reverse. Locked wall and
    camera give standing bands. Sampling of a periodic light by rows: geometry, no published source.
    """
    readout = Range("s", above=0, most=1.0 / frame_hz).figure("readout_s", readout_s)
    bands = computed("bands", refreshes_per_exposure(readout, refresh_hz), "")
    height = computed("band height", rows / bands, "row")
    per_frame = refreshes_per_exposure(1.0 / frame_hz, refresh_hz)
    step = per_frame - round(per_frame)
    step = 0.0 if abs(step) <= _ROUNDING * per_frame else step
    return RollingBands(
        bands_in_picture=bands,
        band_height_rows=height,
        drift_rows_per_frame=computed("drift", -step * height, "row") + 0.0,
        contrast=band_contrast(shutter_s, refresh_hz, readout_s=readout, lines=rows),
    )

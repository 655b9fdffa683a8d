"""Shutters as a camera shows them, and a camera's frame rate beside the wall's."""

import re
from typing import Annotated

from commission_tui.engineering.numeric.bounds import Range, checked, computed, finite, positive
from commission_tui.engineering.numeric.units import parse_quantity

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
        return positive("shutter", parse_quantity(text, "s"), "s")
    degrees = parse_quantity(angle["angle"], "deg")
    finite("shutter", degrees, "°", low=0.0, high=_FULL_TURN_DEG, low_open=True)
    if frame_hz is None:
        raise ValueError(f"{text.strip()!r} is an angle, expected the camera's frame rate with it")
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

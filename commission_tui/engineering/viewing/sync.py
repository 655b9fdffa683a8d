"""Sound against picture: travel of sound, offset at a seat, verdict and the delay to set.

One sign everywhere: **positive means that sound comes early**, before its picture, negative that it
comes late, as in Recommendation ITU-R BT.1359-1.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Annotated

from commission_tui.engineering.numeric.bounds import Range, checked, computed

_ZERO_CELSIUS_K = 273.15
_SPEED_AT_ZERO_M_S = 331.3


AirTemperatureC = Annotated[float, Range("°C", least=-50, most=60)]


@checked
def sound_speed_m_s(temperature_c: AirTemperatureC) -> Annotated[float, Range("m/s")]:
    """Return the speed of sound in air.

    Notes
    -----
    331.3·√(1 + t/273.15) for dry air as an ideal gas. Moist air is up to 0.6 % faster.

    References
    ----------
    .. [1] Ideal-gas relation as in handbooks of acoustics; 331.3 m/s at 0 °C (from memory).

    Examples
    --------
    >>> round(sound_speed_m_s(20.0), 2)
    343.21
    """
    return _SPEED_AT_ZERO_M_S * math.sqrt(1.0 + temperature_c / _ZERO_CELSIUS_K)


@checked
def sound_travel_ms(
    distance_m: Annotated[float, Range("m", least=0)], temperature_c: AirTemperatureC = 20.0
) -> Annotated[float, Range("ms")]:
    """Return how long sound travels.

    The definition: distance over `sound_speed_m_s`.

    Examples
    --------
    >>> round(sound_travel_ms(12.0), 1)
    35.0
    """
    return computed("travel", distance_m / sound_speed_m_s(temperature_c) * 1000.0, "ms")


@checked
def echo_ms(
    distance_m: Annotated[float, Range("m", least=0)], temperature_c: AirTemperatureC = 20.0
) -> Annotated[float, Range("ms"), "After the sound itself"]:
    """Return when the echo of a flat wall comes back to whoever made the sound.

    The definition: twice the distance over the speed of sound.

    Examples
    --------
    >>> round(echo_ms(10.0), 1)
    58.3
    """
    return computed("echo", 2.0 * sound_travel_ms(distance_m, temperature_c), "ms")


@checked
def frames_to_ms(
    frames: Annotated[float, Range("frame", least=0)],
    frame_hz: Annotated[float, Range("Hz", above=0), "59.94 Hz is 60000/1001"],
) -> Annotated[float, Range("ms")]:
    """Return the duration of a number of frames.

    The definition: frames / rate.

    Examples
    --------
    >>> frames_to_ms(3, 50.0)
    60.0
    """
    return computed("duration", frames * 1000.0 / frame_hz, "ms")


@checked
def ms_to_frames(
    duration_ms: Annotated[float, Range("ms", least=0)],
    frame_hz: Annotated[float, Range("Hz", above=0)],
) -> Annotated[float, Range("frame")]:
    """Return a duration in frames, not rounded.

    `frames_to_ms` the other way round.

    Examples
    --------
    >>> round(ms_to_frames(85.0, 60.0), 1)
    5.1
    """
    return computed("frames", duration_ms / 1000.0 * frame_hz, "frame")


BT1359_DETECTABLE_MS = (-125.0, 45.0)
"""Latest and earliest sound that viewers do not notice, ITU-R BT.1359-1 considering g, [ms]."""
BT1359_ACCEPTABLE_MS = (-185.0, 90.0)
"""Latest and earliest sound that viewers accept, ITU-R BT.1359-1 considering g, [ms]."""
R37_MS = (-60.0, 40.0)
"""Latest and earliest sound at the end of a production chain, EBU R37-2007 (figures from memory,
and from one public secondary page), [ms]."""


class SyncVerdict(StrEnum):
    """What viewers make of an offset, by ITU-R BT.1359-1."""

    UNNOTICED = "not noticed"
    NOTICED = "noticed"
    UNACCEPTABLE = "not acceptable"


@dataclass(frozen=True, slots=True)
class Lipsync:
    """An offset held against both documents."""

    offset_ms: float
    """Positive when sound is early, [ms]."""
    verdict: SyncVerdict
    """By ITU-R BT.1359-1."""
    within_r37: bool
    """Whether it also keeps to the tighter EBU R37."""


@dataclass(frozen=True, slots=True)
class Delay:
    """What to add to bring sound and picture together."""

    sound_ms: float
    picture_ms: float
    """One of them is 0, [ms]."""


@dataclass(frozen=True, slots=True)
class DelayWindow:
    """Delays of the sound that keep every seat within limits."""

    least_ms: float
    most_ms: float
    """Both 0 or more, [ms]."""


@checked
def sound_offset_ms(
    audio_chain_ms: Annotated[
        float, Range("ms", least=0), "From the microphone to the loudspeaker"
    ],
    distance_m: Annotated[
        float, Range("m", least=0), "From the loudspeaker that the seat hears first"
    ],
    video_ms: Annotated[float, Range("ms", least=0), "From the camera to the wall"],
    temperature_c: AirTemperatureC = 20.0,
) -> Annotated[float, Range("ms"), "**Positive when sound is early**, negative when it is late"]:
    """Return how early the sound of an event reaches a seat, against its picture on the wall.

    Notes
    -----
    video - (audio chain + travel of sound); the light's travel is left out.

    References
    ----------
    .. [1] ITU-R BT.1359-1 (1998), considering g: "a positive value indicates that sound is
       advanced with respect to vision".

    Examples
    --------
    >>> [round(sound_offset_ms(5.0, distance, 85.0)) for distance in (4.0, 12.0, 30.0)]
    [68, 45, -7]
    """
    sound_ms = audio_chain_ms + sound_travel_ms(distance_m, temperature_c)
    return computed("offset", video_ms - sound_ms, "ms")


OffsetMs = Annotated[float, Range("ms"), "Positive when sound is early"]


@checked
def lipsync(offset_ms: OffsetMs) -> Lipsync:
    """Hold an offset against ITU-R BT.1359-1 and EBU R37.

    Notes
    -----
    The first document gives thresholds found with viewers of television: -125 to +45 ms is not
    noticed, -185 to +90 ms is accepted. The second asks for -60 to +40 ms. A limit
    itself is within it.

    References
    ----------
    .. [1] ITU-R BT.1359-1 (1998), considering g.
    .. [2] EBU R37-2007 (figures from memory and one public secondary page).

    Examples
    --------
    >>> lipsync(68.0).verdict.value
    'noticed'
    """
    if _within(offset_ms, BT1359_DETECTABLE_MS):
        verdict = SyncVerdict.UNNOTICED
    elif _within(offset_ms, BT1359_ACCEPTABLE_MS):
        verdict = SyncVerdict.NOTICED
    else:
        verdict = SyncVerdict.UNACCEPTABLE
    return Lipsync(offset_ms, verdict, _within(offset_ms, R37_MS))


def _within(offset: float, limits: tuple[float, float]) -> bool:
    return limits[0] <= offset <= limits[1]


@checked
def delay_to_set(
    offset_ms: OffsetMs,
    frame_hz: Annotated[
        float | None, Range("Hz", above=0), "Where picture can only be delayed by whole frames"
    ] = None,
) -> Delay:
    """Return the delay that brings sound and picture together at one seat.

    Notes
    -----
    Of the sound when it is early, of the picture when sound is late. Whole frames are rounded down,
    so that sound stays late rather than becoming early. Cut the picture's latency before delaying
    sound: delayed amplification echoes the voice on the stage. Common practice, no published
    source.

    Examples
    --------
    >>> delay_to_set(-70.0, 50.0)
    Delay(sound_ms=0.0, picture_ms=60.0)
    """
    if offset_ms >= 0.0:
        return Delay(offset_ms, 0.0)
    picture = -offset_ms
    if frame_hz is not None:
        whole_frames = math.floor(ms_to_frames(picture, frame_hz) + 1e-9)
        picture = frames_to_ms(whole_frames, frame_hz)
    return Delay(0.0, picture)


@checked
def delay_window_ms(
    offsets_ms: Annotated[
        Sequence[float], Range("ms"), "At each seat, positive when sound is early"
    ],
    limits_ms: Annotated[
        tuple[float, float], "Latest and earliest, the first below the second, [ms]"
    ] = BT1359_DETECTABLE_MS,
) -> Annotated[DelayWindow | None, "None when seats are too far apart, or all too late"]:
    """Return the delays of the sound that keep all seats within limits, or None if none does.

    Raises
    ------
    ValueError
        Limits in the wrong order.

    Notes
    -----
    A delay d turns an offset o into o - d. All seats fit for d from max(o) - earliest to min(o) -
    latest. Arithmetic on the limits of `lipsync`.

    Examples
    --------
    >>> delay_window_ms([68.0, 45.0, -7.0])
    DelayWindow(least_ms=23.0, most_ms=118.0)
    """
    latest = Range("ms").figure("limits_ms[0]", limits_ms[0])
    earliest = Range("ms", above=latest).figure("limits_ms[1]", limits_ms[1])
    least = max(max(offsets_ms) - earliest, 0.0)
    most = min(offsets_ms) - latest
    if most < least:
        return None
    return DelayWindow(computed("delay", least, "ms"), computed("delay", most, "ms"))

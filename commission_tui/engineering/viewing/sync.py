"""Sound against picture: travel of sound, offset at a seat, verdict and the delay to set.

One sign everywhere: **positive means that sound comes early**, before its picture, negative that it
comes late, as in Recommendation ITU-R BT.1359-1.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from commission_tui.engineering.numeric.bounds import (
    computed,
    finite,
    finite_values,
    non_negative,
    positive,
)
from commission_tui.engineering.viewing._travel_times import (
    echo_ms,
    frames_to_ms,
    ms_to_frames,
    sound_speed_m_s,
    sound_travel_ms,
)

__all__ = [
    "BT1359_ACCEPTABLE_MS",
    "BT1359_DETECTABLE_MS",
    "R37_MS",
    "Delay",
    "DelayWindow",
    "Lipsync",
    "SyncVerdict",
    "delay_to_set",
    "delay_window_ms",
    "echo_ms",
    "frames_to_ms",
    "lipsync",
    "ms_to_frames",
    "sound_offset_ms",
    "sound_speed_m_s",
    "sound_travel_ms",
]

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
    """An offset held against both documents.

    Attributes
    ----------
    offset_ms : float
        Positive when sound is early, [ms].
    verdict : SyncVerdict
        By ITU-R BT.1359-1.
    within_r37 : bool
        Whether it also keeps to the tighter EBU R37.
    """

    offset_ms: float
    verdict: SyncVerdict
    within_r37: bool


@dataclass(frozen=True, slots=True)
class Delay:
    """What to add to bring sound and picture together.

    Attributes
    ----------
    sound_ms, picture_ms : float
        One of them is 0, [ms].
    """

    sound_ms: float
    picture_ms: float


@dataclass(frozen=True, slots=True)
class DelayWindow:
    """Delays of the sound that keep every seat within limits.

    Attributes
    ----------
    least_ms, most_ms : float
        Both 0 or more, [ms].
    """

    least_ms: float
    most_ms: float


def sound_offset_ms(
    audio_chain_ms: float, distance_m: float, video_ms: float, temperature_c: float = 20.0
) -> float:
    """Return how early the sound of an event reaches a seat, against its picture on the wall.

    Parameters
    ----------
    audio_chain_ms : float
        From the microphone to the loudspeaker, 0 or more, [ms].
    distance_m : float
        From the loudspeaker that the seat hears first, 0 or more, [m].
    video_ms : float
        From the camera to the wall, 0 or more, [ms].
    temperature_c : float
        -50 to 60, [°C].

    Returns
    -------
    float
        **Positive when sound is early**, negative when it is late, [ms].

    Raises
    ------
    ValueError
        A parameter outside its range.

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
    chain = non_negative("audio_chain_ms", audio_chain_ms, "ms")
    video = non_negative("video_ms", video_ms, "ms")
    return computed("offset", video - chain - sound_travel_ms(distance_m, temperature_c), "ms")


def lipsync(offset_ms: float) -> Lipsync:
    """Hold an offset against ITU-R BT.1359-1 and EBU R37.

    Parameters
    ----------
    offset_ms : float
        Positive when sound is early, [ms].

    Returns
    -------
    Lipsync
        The verdict of each; a limit itself is within it.

    Raises
    ------
    ValueError
        A non-finite offset.

    Notes
    -----
    The first document gives thresholds found with viewers of television: -125 to +45 ms is not
    noticed, -185 to +90 ms is accepted. The second asks for -60 to +40 ms.

    References
    ----------
    .. [1] ITU-R BT.1359-1 (1998), considering g.
    .. [2] EBU R37-2007 (figures from memory and one public secondary page).

    Examples
    --------
    >>> lipsync(68.0).verdict.value
    'noticed'
    """
    offset = finite("offset_ms", offset_ms, "ms")
    if _within(offset, BT1359_DETECTABLE_MS):
        verdict = SyncVerdict.UNNOTICED
    elif _within(offset, BT1359_ACCEPTABLE_MS):
        verdict = SyncVerdict.NOTICED
    else:
        verdict = SyncVerdict.UNACCEPTABLE
    return Lipsync(offset, verdict, _within(offset, R37_MS))


def _within(offset: float, limits: tuple[float, float]) -> bool:
    return limits[0] <= offset <= limits[1]


def delay_to_set(offset_ms: float, frame_hz: float | None = None) -> Delay:
    """Return the delay that brings sound and picture together at one seat.

    Parameters
    ----------
    offset_ms : float
        Positive when sound is early, [ms].
    frame_hz : float, optional
        Where picture can only be delayed by whole frames, their rate, above 0, [Hz].

    Returns
    -------
    Delay
        Of the sound when it is early, of the picture when sound is late.

    Raises
    ------
    ValueError
        A non-finite offset or a frame rate that is not above 0.

    Notes
    -----
    Whole frames are rounded down, so that sound stays late rather than becoming early. Cut the
    picture's latency before delaying sound: delayed amplification echoes the voice on the stage.

    References
    ----------
    .. [1] Common practice, no published source.

    Examples
    --------
    >>> delay_to_set(-70.0, 50.0)
    Delay(sound_ms=0.0, picture_ms=60.0)
    """
    offset = finite("offset_ms", offset_ms, "ms")
    if offset >= 0.0:
        if frame_hz is not None:
            positive("frame_hz", frame_hz, "Hz")
        return Delay(offset, 0.0)
    picture = -offset
    if frame_hz is not None:
        whole_frames = math.floor(ms_to_frames(picture, frame_hz) + 1e-9)
        picture = frames_to_ms(whole_frames, frame_hz)
    return Delay(0.0, picture)


def delay_window_ms(
    offsets_ms: Sequence[float], limits_ms: tuple[float, float] = BT1359_DETECTABLE_MS
) -> DelayWindow | None:
    """Return the delays of the sound that keep all seats within limits, or None if none does.

    Parameters
    ----------
    offsets_ms : sequence of float
        At each seat, positive when sound is early, at least one, [ms].
    limits_ms : tuple of float
        Latest and earliest, the first below the second, [ms].

    Returns
    -------
    DelayWindow or None
        One delay for the whole room; None when seats are too far apart, or all too late.

    Raises
    ------
    ValueError
        No offset, a non-finite one, or limits in the wrong order.

    Notes
    -----
    A delay d turns an offset o into o - d. All seats fit for d from max(o) - earliest to
    min(o) - latest.

    References
    ----------
    .. [1] Arithmetic on the limits of `lipsync`.

    Examples
    --------
    >>> delay_window_ms([68.0, 45.0, -7.0])
    DelayWindow(least_ms=23.0, most_ms=118.0)
    """
    offsets = finite_values("offsets_ms", offsets_ms, "ms")
    latest = finite("limits_ms[0]", limits_ms[0], "ms")
    earliest = finite("limits_ms[1]", limits_ms[1], "ms", low=latest, low_open=True)
    least = max(max(offsets) - earliest, 0.0)
    most = min(offsets) - latest
    if most < least:
        return None
    return DelayWindow(computed("delay", least, "ms"), computed("delay", most, "ms"))

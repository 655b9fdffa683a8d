"""How long sound travels and frames last."""

from __future__ import annotations

import math

from commission_tui.engineering.numeric.bounds import computed, finite, non_negative, positive

_ZERO_CELSIUS_K = 273.15
_SPEED_AT_ZERO_M_S = 331.3


def sound_speed_m_s(temperature_c: float) -> float:
    """Return the speed of sound in air.

    Parameters
    ----------
    temperature_c : float
        -50 to 60, [°C].

    Returns
    -------
    float
        [m/s].

    Raises
    ------
    ValueError
        A temperature outside that range.

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
    celsius = finite("temperature_c", temperature_c, "°C", low=-50.0, high=60.0)
    return _SPEED_AT_ZERO_M_S * math.sqrt(1.0 + celsius / _ZERO_CELSIUS_K)


def sound_travel_ms(distance_m: float, temperature_c: float = 20.0) -> float:
    """Return how long sound travels.

    Parameters
    ----------
    distance_m : float
        0 or more, [m].
    temperature_c : float
        -50 to 60, [°C].

    Returns
    -------
    float
        [ms].

    Raises
    ------
    ValueError
        A parameter outside its range.

    References
    ----------
    .. [1] The definition: distance over `sound_speed_m_s`.

    Examples
    --------
    >>> round(sound_travel_ms(12.0), 1)
    35.0
    """
    distance = non_negative("distance_m", distance_m, "m")
    return computed("travel", distance / sound_speed_m_s(temperature_c) * 1000.0, "ms")


def echo_ms(distance_m: float, temperature_c: float = 20.0) -> float:
    """Return when the echo of a flat wall comes back to whoever made the sound.

    Parameters
    ----------
    distance_m, temperature_c : float
        As in `sound_travel_ms`.

    Returns
    -------
    float
        After the sound itself, [ms].

    Raises
    ------
    ValueError
        A parameter outside its range.

    References
    ----------
    .. [1] The definition: twice the distance over the speed of sound.

    Examples
    --------
    >>> round(echo_ms(10.0), 1)
    58.3
    """
    return computed("echo", 2.0 * sound_travel_ms(distance_m, temperature_c), "ms")


def frames_to_ms(frames: float, frame_hz: float) -> float:
    """Return the duration of a number of frames.

    Parameters
    ----------
    frames : float
        0 or more, [frame].
    frame_hz : float
        Above 0; 59.94 Hz is 60000/1001, [Hz].

    Returns
    -------
    float
        [ms].

    Raises
    ------
    ValueError
        A parameter outside its range.

    References
    ----------
    .. [1] The definition: frames / rate.

    Examples
    --------
    >>> frames_to_ms(3, 50.0)
    60.0
    """
    count = non_negative("frames", frames, "frame")
    return computed("duration", count * 1000.0 / positive("frame_hz", frame_hz, "Hz"), "ms")


def ms_to_frames(duration_ms: float, frame_hz: float) -> float:
    """Return a duration in frames, not rounded.

    Parameters
    ----------
    duration_ms : float
        0 or more, [ms].
    frame_hz : float
        Above 0, [Hz].

    Returns
    -------
    float
        [frame].

    Raises
    ------
    ValueError
        A parameter outside its range.

    References
    ----------
    .. [1] `frames_to_ms` the other way round.

    Examples
    --------
    >>> round(ms_to_frames(85.0, 60.0), 1)
    5.1
    """
    duration = non_negative("duration_ms", duration_ms, "ms")
    return computed("frames", duration / 1000.0 * positive("frame_hz", frame_hz, "Hz"), "frame")

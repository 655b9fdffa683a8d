"""How long sound travels and frames last."""

import math
from typing import Annotated

from commission_tui.engineering.numeric.bounds import Range, checked, computed

_ZERO_CELSIUS_K = 273.15
_SPEED_AT_ZERO_M_S = 331.3


TemperatureC = Annotated[float, Range("°C", least=-50, most=60)]


@checked
def sound_speed_m_s(temperature_c: TemperatureC) -> Annotated[float, Range("m/s")]:
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
    distance_m: Annotated[float, Range("m", least=0)], temperature_c: TemperatureC = 20.0
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
    distance_m: Annotated[float, Range("m", least=0)], temperature_c: TemperatureC = 20.0
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

"""How bright, how even and how contrasty a wall is, and what setting gives a wanted luminance."""

from __future__ import annotations

import math
from collections.abc import Sequence

from commission_tui.engineering.light._monotone_curve import MonotoneCurve
from commission_tui.engineering.light._uniformity import (
    UNIFORMITY_DEFINITIONS,
    Cell,
    Evening,
    NeighbourStep,
    Outlier,
    evening_gains,
    luminance_values,
    neighbour_steps,
    outliers,
    uniformity,
    uniformity_min_max,
)
from commission_tui.engineering.numeric.bounds import (
    computed,
    finite,
    finite_values,
    non_negative,
    positive,
)

__all__ = [
    "UNIFORMITY_DEFINITIONS",
    "Cell",
    "Evening",
    "NeighbourStep",
    "Outlier",
    "ambient_contrast",
    "evening_gains",
    "illuminance_limit_lx",
    "neighbour_steps",
    "outliers",
    "reflected_luminance_cd_m2",
    "seam_contrast",
    "setting_for_luminance",
    "uniformity",
    "uniformity_min_max",
]

_LEAST_STEP_PERCENT = 1e-3
_LEAST_RISE = 1e-9
"""Of the highest luminance; below it two readings count as equal."""


def reflected_luminance_cd_m2(illuminance_lx: float, reflectance: float) -> float:
    """Return the luminance that light falling on a matt surface adds to it.

    Parameters
    ----------
    illuminance_lx : float
        On the surface, 0 or more, [lx].
    reflectance : float
        Diffuse, 0 to 1, [1].

    Returns
    -------
    float
        [cd/m²].

    Raises
    ------
    ValueError
        A parameter outside its range.

    Notes
    -----
    L = ρE/π for a perfectly diffusing (Lambertian) surface. A glossy face mirrors lamps besides.

    References
    ----------
    .. [1] CIE S 017:2020, International Lighting Vocabulary, Lambertian surface (the definition).

    Examples
    --------
    >>> round(reflected_luminance_cd_m2(1000.0, 0.36), 1)
    114.6
    """
    illuminance = non_negative("illuminance_lx", illuminance_lx, "lx")
    return finite("reflectance", reflectance, "", low=0.0, high=1.0) * illuminance / math.pi


def ambient_contrast(
    white_cd_m2: float, black_cd_m2: float, illuminance_lx: float, reflectance: float
) -> float:
    """Return the contrast that remains when light falls on the wall.

    Parameters
    ----------
    white_cd_m2, black_cd_m2 : float
        Luminances of the wall alone in a dark room, white not below black, [cd/m²].
    illuminance_lx : float
        On the face of the wall, 0 or more, [lx].
    reflectance : float
        Diffuse reflectance of the face, 0 to 1, [1].

    Returns
    -------
    float
        1 or more, [1].

    Raises
    ------
    ValueError
        A parameter outside its range, or no light at all in the black.

    Notes
    -----
    (Lw + ρE/π) / (Lb + ρE/π).

    References
    ----------
    .. [1] SID ICDM, Information Display Measurements Standard, ambient contrast (from memory).

    Examples
    --------
    >>> round(ambient_contrast(600.0, 0.0, 300.0, 0.06))
    106
    """
    white, black = _white_and_black(white_cd_m2, black_cd_m2)
    reflected = reflected_luminance_cd_m2(illuminance_lx, reflectance)
    if black + reflected == 0.0:
        raise ValueError("black_cd_m2 and reflected light are both 0 cd/m², expected one > 0 cd/m²")
    return computed("contrast", (white + reflected) / (black + reflected), "")


def _white_and_black(white_cd_m2: float, black_cd_m2: float) -> tuple[float, float]:
    black = non_negative("black_cd_m2", black_cd_m2, "cd/m²")
    return finite("white_cd_m2", white_cd_m2, "cd/m²", low=black), black


def illuminance_limit_lx(
    white_cd_m2: float, black_cd_m2: float, contrast: float, reflectance: float
) -> float:
    """Return the most light that may fall on the wall for a wanted contrast.

    Parameters
    ----------
    white_cd_m2, black_cd_m2 : float
        Luminances of the wall alone in a dark room, white not below black, [cd/m²].
    contrast : float
        Wanted, above 1, [1].
    reflectance : float
        Diffuse reflectance of the face, above 0 and at most 1, [1].

    Returns
    -------
    float
        [lx].

    Raises
    ------
    ValueError
        A parameter outside its range, or a contrast that the wall does not reach in the dark.

    Notes
    -----
    `ambient_contrast` solved for the illuminance: E = π·(Lw - C·Lb) / (ρ·(C - 1)).

    References
    ----------
    .. [1] Algebra on `ambient_contrast`.

    Examples
    --------
    >>> round(illuminance_limit_lx(200.0, 0.05, 80.0, 0.06))
    130
    """
    white, black = _white_and_black(white_cd_m2, black_cd_m2)
    wanted = finite("contrast", contrast, "", low=1.0, low_open=True)
    share = finite("reflectance", reflectance, "", low=0.0, high=1.0, low_open=True)
    if white < wanted * black:
        raise ValueError(
            f"contrast is {wanted:g}, expected <= {white / black:g}, the contrast in the dark"
        )
    limit = math.pi * (white - wanted * black) / (wanted - 1.0) / share
    return computed("illuminance_lx", limit, "lx")


def setting_for_luminance(
    settings_percent: Sequence[float], luminances_cd_m2: Sequence[float], wanted_cd_m2: float
) -> float:
    """Return the brightness setting that gives a wanted luminance, from a measured curve.

    Parameters
    ----------
    settings_percent : sequence of float
        Settings measured, at least two, all different, 0 to 100, any order, [%].
    luminances_cd_m2 : sequence of float
        Luminance at each, rising with the setting, 0 or more, [cd/m²].
    wanted_cd_m2 : float
        Within the luminances measured, [cd/m²].

    Returns
    -------
    float
        [%].

    Raises
    ------
    ValueError
        Unequal lengths, fewer than two, a repeated setting, a luminance that does not rise, or one
        wanted outside the curve: no setting is guessed beyond what was measured.

    Notes
    -----
    A monotone piecewise cubic through the readings, solved for the setting. It follows a
    proportional control and one that bends, and never overshoots.

    References
    ----------
    .. [1] Fritsch, F. N. and Butland, J. (1984), A method for constructing local monotone piecewise
       cubic interpolants, SIAM J. Sci. Stat. Comput. 5(2), 300-304.

    Examples
    --------
    >>> round(setting_for_luminance([25.0, 50.0, 75.0, 100.0], [150.0, 300.0, 450.0, 600.0], 284.0))
    47
    """
    settings = finite_values("settings_percent", settings_percent, "%", min_size=2)
    luminances = luminance_values("luminances_cd_m2", luminances_cd_m2, min_size=2)
    if len(settings) != len(luminances):
        raise ValueError(
            f"luminances_cd_m2 has {len(luminances)} value(s), expected {len(settings)}, "
            "one for each setting"
        )
    for index, setting in enumerate(settings):
        finite(f"settings_percent[{index}]", setting, "%", low=0.0, high=100.0)
    order = sorted(range(len(settings)), key=settings.__getitem__)
    xs, ys = [settings[i] for i in order], [luminances[i] for i in order]
    _refuse_flat(xs, ys)
    low, high = ys[0], ys[-1]
    wanted = finite("wanted_cd_m2", wanted_cd_m2, "cd/m²", low=low, high=high)
    return MonotoneCurve.through(xs, [y / high for y in ys]).solve(wanted / high)


def _refuse_flat(settings: Sequence[float], luminances: Sequence[float]) -> None:
    least_rise = _LEAST_RISE * max(luminances)
    for index in range(1, len(settings)):
        lower, upper = settings[index - 1], settings[index]
        if upper - lower < _LEAST_STEP_PERCENT:
            raise ValueError(f"settings_percent has {upper:g} % twice, expected each once")
        if luminances[index] - luminances[index - 1] <= least_rise:
            raise ValueError(
                f"luminances_cd_m2 at {upper:g} % is {luminances[index]:g} cd/m², expected "
                f"> {luminances[index - 1]:g} cd/m² as at {lower:g} %"
            )


def seam_contrast(gap_mm: float, pitch_mm: float) -> float:
    """Return how far the line along a seam differs from its surroundings.

    Parameters
    ----------
    gap_mm : float
        Extra distance between the pixels on both sides of the seam; below 0 where they sit too
        close, above minus one pitch, [mm].
    pitch_mm : float
        Pixel pitch, above 0, [mm].

    Returns
    -------
    float
        Light missing from one pitch's width, positive for a dark line, negative for a bright one,
        [1].

    Raises
    ------
    ValueError
        A parameter outside its range.

    Notes
    -----
    gap / pitch: a strip as wide as the gap gives no light.

    References
    ----------
    .. [1] Common practice, no published source.

    Examples
    --------
    >>> round(100 * seam_contrast(0.15, 2.604), 1)
    5.8
    """
    pitch = positive("pitch_mm", pitch_mm, "mm")
    gap = finite("gap_mm", gap_mm, "mm", low=-pitch, low_open=True)
    return computed("seam contrast", gap / pitch, "")

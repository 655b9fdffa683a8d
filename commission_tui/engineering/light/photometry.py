"""How bright, how even and how contrasty a wall is, and what setting gives a wanted luminance."""

import math
from bisect import bisect_left
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Annotated, Self

from commission_tui.engineering.numeric.bounds import (
    Range,
    RefusedError,
    checked,
    computed,
    one_for_each,
)

_HALVINGS = 60


@dataclass(frozen=True, slots=True)
class MonotoneCurve:
    """Piecewise cubic with the slopes of Fritsch and Butland (1984)."""

    xs: tuple[float, ...]
    ys: tuple[float, ...]
    """The readings, both strictly rising."""
    slopes: tuple[float, ...]
    """The curve's slope at each."""

    @classmethod
    def through(cls, xs: Sequence[float], ys: Sequence[float]) -> Self:
        """Draw the curve through two or more readings, both strictly rising."""
        widths = [right - left for left, right in pairwise(xs)]
        secants = [(b - a) / width for (a, b), width in zip(pairwise(ys), widths, strict=True)]
        slopes = (
            _end_slope(widths[:2], secants[:2]),
            *_inner_slopes(widths, secants),
            _end_slope(widths[::-1][:2], secants[::-1][:2]),
        )
        return cls(tuple(xs), tuple(ys), slopes)

    def at(self, x: float) -> float:
        """Return the curve's height at `x`, within the readings."""
        piece = min(max(bisect_left(self.xs, x), 1), len(self.xs) - 1)
        left, right = self.xs[piece - 1], self.xs[piece]
        width = right - left
        t = (x - left) / width
        start, end = self.ys[piece - 1], self.ys[piece]
        leave, arrive = self.slopes[piece - 1] * width, self.slopes[piece] * width
        blend = t * t * (3.0 - 2.0 * t)
        bend = t * (1.0 - t) * (leave * (1.0 - t) - arrive * t)
        return start + (end - start) * blend + bend

    def solve(self, y: float) -> float:
        """Return the one `x` at which the curve is `y` high, `y` within the readings."""
        if y in self.ys:
            return self.xs[self.ys.index(y)]
        piece = bisect_left(self.ys, y)
        low, high = self.xs[piece - 1], self.xs[piece]
        for _ in range(_HALVINGS):
            middle = (low + high) / 2.0
            low, high = (middle, high) if self.at(middle) < y else (low, middle)
        return low


def _inner_slopes(widths: Sequence[float], secants: Sequence[float]) -> Iterator[float]:
    """Yield the weighted harmonic mean of the secants on both sides of each inner reading."""
    for (left, right), (before, after) in zip(pairwise(widths), pairwise(secants), strict=True):
        left_weight, right_weight = 2.0 * right + left, right + 2.0 * left
        yield (left_weight + right_weight) / (left_weight / before + right_weight / after)


def _end_slope(widths: Sequence[float], secants: Sequence[float]) -> float:
    """Return a three-point slope at an end, not below 0."""
    if len(secants) == 1:
        return secants[0]
    near, far = widths
    slope = ((2.0 * near + far) * secants[0] - near * secants[1]) / (near + far)
    return max(slope, 0.0)


_LEAST_STEP_PERCENT = 1e-3
_LEAST_RISE = 1e-9
"""Of the highest luminance; below it two readings count as equal."""


@checked
def reflected_luminance_cd_m2(
    illuminance_lx: Annotated[float, Range("lx", least=0), "On the surface"],
    reflectance: Annotated[float, Range(least=0, most=1), "Diffuse"],
) -> Annotated[float, Range("cd/m²")]:
    """Return the luminance that light falling on a matt surface adds to it.

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
    return reflectance * illuminance_lx / math.pi


WhiteCdM2 = Annotated[float, Range("cd/m²"), "Of the wall in a dark room, not below black"]
BlackCdM2 = Annotated[float, Range("cd/m²", least=0), "Of the wall in a dark room"]


@checked
def ambient_contrast(
    white_cd_m2: WhiteCdM2,
    black_cd_m2: BlackCdM2,
    illuminance_lx: Annotated[float, Range("lx", least=0), "On the face of the wall"],
    reflectance: Annotated[float, Range(least=0, most=1), "Diffuse reflectance of the face"],
) -> Annotated[float, "1 or more"]:
    """Return the contrast that remains when light falls on the wall.

    Raises
    ------
    ValueError
        No light at all in the black.

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
    white = Range("cd/m²", least=black_cd_m2).figure("white_cd_m2", white_cd_m2)
    reflected = reflected_luminance_cd_m2(illuminance_lx, reflectance)
    if black_cd_m2 + reflected == 0.0:
        raise RefusedError(
            "black_cd_m2 and reflected light are both 0 cd/m², expected one > 0 cd/m²"
        )
    return computed("contrast", (white + reflected) / (black_cd_m2 + reflected), "")


@checked
def illuminance_limit_lx(
    white_cd_m2: WhiteCdM2,
    black_cd_m2: BlackCdM2,
    contrast: Annotated[float, Range(above=1), "Wanted"],
    reflectance: Annotated[float, Range(above=0, most=1), "Diffuse reflectance of the face"],
) -> Annotated[float, Range("lx")]:
    """Return the most light that may fall on the wall for a wanted contrast.

    Raises
    ------
    ValueError
        A contrast that the wall does not reach in the dark.

    Notes
    -----
    `ambient_contrast` solved for the illuminance: E = π·(Lw - C·Lb) / (ρ·(C - 1)).

    Examples
    --------
    >>> round(illuminance_limit_lx(200.0, 0.05, 80.0, 0.06))
    130
    """
    white = Range("cd/m²", least=black_cd_m2).figure("white_cd_m2", white_cd_m2)
    if white < contrast * black_cd_m2:
        dark = white / black_cd_m2
        raise RefusedError(
            f"contrast is {contrast:g}, expected <= {dark:g}, the contrast in the dark"
        )
    limit = math.pi * (white - contrast * black_cd_m2) / (contrast - 1.0) / reflectance
    return computed("illuminance_lx", limit, "lx")


@checked
def setting_for_luminance(
    settings_percent: Annotated[
        Sequence[float],
        Range("%", least=0, most=100, fewest=2),
        "Two or more, each once, any order",
    ],
    luminances_cd_m2: Annotated[
        Sequence[float], Range("cd/m²", least=0, fewest=2), "At each, rising with the setting"
    ],
    wanted_cd_m2: Annotated[float, Range("cd/m²"), "Within the luminances measured"],
) -> Annotated[float, Range("%")]:
    """Return the brightness setting that gives a wanted luminance, from a measured curve.

    Raises
    ------
    ValueError
        Unequal lengths, a repeated setting, a luminance that does not rise, or one wanted outside
        the curve: no setting is guessed beyond what was measured.

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
    one_for_each("luminances_cd_m2", luminances_cd_m2, settings_percent, "setting")
    points = sorted(zip(settings_percent, luminances_cd_m2, strict=True))
    xs, ys = [setting for setting, _ in points], [level for _, level in points]
    _refuse_flat(xs, ys)
    low, high = ys[0], ys[-1]
    wanted = Range("cd/m²", least=low, most=high).figure("wanted_cd_m2", wanted_cd_m2)
    return MonotoneCurve.through(xs, [y / high for y in ys]).solve(wanted / high)


def _refuse_flat(settings: Sequence[float], luminances: Sequence[float]) -> None:
    least_rise = _LEAST_RISE * max(luminances)
    for index in range(1, len(settings)):
        lower, upper = settings[index - 1], settings[index]
        if upper - lower < _LEAST_STEP_PERCENT:
            raise RefusedError(f"settings_percent has {upper:g} % twice, expected each once")
        if luminances[index] - luminances[index - 1] <= least_rise:
            raise RefusedError(
                f"luminances_cd_m2 at {upper:g} % is {luminances[index]:g} cd/m², expected "
                f"> {luminances[index - 1]:g} cd/m² as at {lower:g} %"
            )


@checked
def seam_contrast(
    gap_mm: Annotated[
        float, Range("mm"), "Beyond the pitch; below 0, above minus one pitch, where too close"
    ],
    pitch_mm: Annotated[float, Range("mm", above=0), "Pixel pitch"],
) -> Annotated[
    float, "Light missing from one pitch; above 0 for a dark line, below for a bright one"
]:
    """Return how far the line along a seam differs from its surroundings.

    Notes
    -----
    gap / pitch: a strip as wide as the gap gives no light. Common practice, no published source.

    Examples
    --------
    >>> round(100 * seam_contrast(0.15, 2.604), 1)
    5.8
    """
    gap = Range("mm", above=-pitch_mm).figure("gap_mm", gap_mm)
    return computed("seam contrast", gap / pitch_mm, "")

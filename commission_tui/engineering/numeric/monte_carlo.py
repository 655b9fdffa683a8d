"""Uncertainty of figures that are not straight: lengths near 0, and the ends of many readings."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import cache
from typing import TYPE_CHECKING, Annotated, Any

from commission_tui.engineering.numeric.bounds import Range, checked, computed
from commission_tui.engineering.numeric.error_parts import (
    Errors,
    Measured,
    Spread,
    propagate,
    shared_errors,
)
from commission_tui.engineering.numeric.repeatability import COVERAGE_PROBABILITY, coverage_factor

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Rows = NDArray[np.float64]
    """One row for each reading, one column for each trial."""

TRIALS = 4000
_SEED = 20080101
_DIRECTIONS = 64
_MOST_STEPS = 40
_CLOSE = 1e-15

Step = Callable[..., tuple[float, float]]


def length(step: Step, measured: Sequence[Measured]) -> Spread:
    """Return the uncertainty of the length of a step on a plane, such as a distance in u'v'.

    Parameters
    ----------
    step : callable
        Takes as many numbers as there are readings, and returns the step along both axes.
    measured : sequence of Measured
        The readings.

    Returns
    -------
    Spread
        Of the length, [unit of the step].

    Notes
    -----
    A length is never below 0: of two equal colours it reads what the errors alone make, which lies
    within the 95.45 % quantile of their length (a Rayleigh form, here of two unequal axes). That is
    the uncertainty of a length up to this quantile; at twice as long it is that along the step.
    A Monte Carlo of JCGM 101 gives the same at 0; a test holds the two together.

    References
    ----------
    .. [1] JCGM 101:2008, 9.4 (a length near 0 by Monte Carlo); JCGM 100:2008, 5.1.2.

    Examples
    --------
    >>> from commission_tui.engineering.numeric.error_parts import Errors
    >>> one = Errors(scatter=1.0)
    >>> round(length(lambda a, b: (a, b), [(0.0, one), (0.0, one)]).expanded, 2)
    2.49
    """
    step = cache(step)  # both directions are asked about the same readings
    across, up = step(*(value for value, _ in measured))
    size = math.hypot(across, up)
    east, north = (across / size, up / size) if size > 0.0 else (1.0, 0.0)

    def along(*values: float) -> float:
        a, b = step(*values)
        return a * east + b * north

    def aside(*values: float) -> float:
        a, b = step(*values)
        return b * east - a * north

    first, second = propagate(along, [measured]), propagate(aside, [measured])
    one, other = first.expanded, second.expanded
    largest = max(one, other)
    if largest == 0.0:
        return first
    near = largest / 2.0 * _length_factor(round(100.0 * min(one, other) / largest))
    share = min(max(size / near - 1.0, 0.0), 1.0)
    base = first if one > 0.0 else second
    return replace(base, raised=(near + (one - near) * share) / base.expanded)


@cache
def _length_factor(hundredths: int) -> float:
    """Return the quantile of a normal step's length, for the lesser axis over the larger one."""
    lesser = (hundredths / 100.0) ** 2
    turns = [math.pi * (index + 0.5) / (2 * _DIRECTIONS) for index in range(_DIRECTIONS)]
    widths = [2.0 * (math.cos(t) ** 2 + lesser * math.sin(t) ** 2) for t in turns]
    # Newton for the logarithm of what lies outside, which is nearly straight in the square.
    square = 4.0
    for _ in range(_MOST_STEPS):
        shares = [math.exp(-square / width) for width in widths]
        outside = math.fsum(shares)
        slope = math.fsum(share / width for share, width in zip(shares, widths, strict=True))
        step = math.log(outside / (_DIRECTIONS * (1.0 - COVERAGE_PROBABILITY))) * outside / slope
        square += step
        if abs(step) <= _CLOSE * square:
            break
    return max(math.sqrt(square), 2.0)


def of_trials(function: Callable[[Rows], Any], measured: Sequence[Measured]) -> float:
    """Return the expanded uncertainty of any function of readings, by trials.

    Parameters
    ----------
    function : callable
        Takes an array with one row for each reading and one column for each trial, and returns the
        figure of each trial. Sums, products, roots, least and greatest give the same bits everywhere.
    measured : sequence of Measured
        The readings.

    Returns
    -------
    float
        Half the width of the interval about the figure that holds 95.45 % of the trials.

    Notes
    -----
    Errors of a reading's own are drawn from a normal distribution (widened by Student's factor where
    its deviation comes from few readings), shared ones from a rectangular one. The seed is fixed and
    the generator is one whose stream is frozen, so the same readings give the same figure.

    References
    ----------
    .. [1] JCGM 101:2008 (GUM supplement 1), 6.4, 7.2 to 7.7. It asks for 10⁶ trials where time allows;
       4,000 place the quantile to about 1.5 % of itself.
    """
    import numpy as np  # here, not at the top: most starts do without arrays

    with np.errstate(all="ignore"):  # what leaves the range of numbers is refused at the end
        random = np.random.RandomState(_SEED)
        values = np.array([[float(value)] for value, _ in measured])
        start = float(function(values)[0])
        rows = np.repeat(values, TRIALS, axis=1)
        for index, (_, errors) in enumerate(measured):
            own = 0.0 if errors is None else _own(errors)
            if own > 0.0:
                rows[index] += own * random.standard_normal(TRIALS)
        for source in shared_errors(measured):
            shifts = np.array([[source.shift(*one)] for one in measured])
            rows += shifts * random.uniform(-1.0, 1.0, TRIALS)
        away = np.sort(np.abs(function(rows) - start))
    return computed("uncertainty", float(away[math.ceil(COVERAGE_PROBABILITY * TRIALS) - 1]), "")


def _own(errors: Errors) -> float:
    """Return the standard deviation to draw a reading's own error with."""
    factor = 2.0
    if math.isfinite(errors.freedom):
        factor = coverage_factor(max(1, math.floor(errors.freedom)))
    return math.hypot(errors.scatter * factor / 2.0, errors.fixed)


@cache
@checked
def expected_range(count: Annotated[int, Range(least=2), "Readings"]) -> float:
    """Return how far the ends of so many equal readings lie apart by their scatter alone.

    Notes
    -----
    Over the standard deviation of one reading, normal scatter. The mean of the range is the integral of 1 − Φⁿ − (1 − Φ)ⁿ.

    References
    ----------
    .. [1] Tippett, On the extreme individuals and the range of samples, Biometrika 17 (1925), 364;
       the factor d₂ of control charts, ISO 7870-2 (from memory).

    Examples
    --------
    >>> round(expected_range(9), 3)
    2.97
    """
    step = 0.02
    below = [0.5 * math.erfc(-index * step / math.sqrt(2.0)) for index in range(-400, 401)]
    return step * math.fsum(1.0 - p**count - (1.0 - p) ** count for p in below)

"""What readings may be off, part by part, and what that makes of a figure computed from them.

A reading has errors of its own (scatter, resolution) and one that it shares with every other reading
of the same meter (calibration). A ratio, a difference or a spread of readings by one meter does not
see the shared part; a mean does not lose it.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from commission_tui.engineering.numeric.bounds import RefusedError, computed
from commission_tui.engineering.numeric.repeatability import COVERAGE_PROBABILITY, coverage_factor

REPEATABILITY_SHARE = 0.2
"""Scatter of one reading (one standard deviation) as a share of the stated accuracy, where neither
the maker nor repeats say it (common practice, no published source)."""

DRIFT_SHARE = 0.3
"""How far a meter drifts from one visit to a later one, as a share of its accuracy: calibration is
due when it may have left its accuracy, and visits lie within (common practice, no published source)."""

_ROOT_3 = math.sqrt(3.0)
_MOST_FREEDOM = 1e6
_MOST_RATIO = 1e3
_MOST_STEPS = 60
_CLOSE = 1e-15

Function = Callable[..., float]


@dataclass(frozen=True, slots=True)
class Errors:
    """What one reading may be off."""

    meter: str = ""
    """Whose calibration this is; readings with the same text share it."""
    gain: float = 0.0
    """Largest calibration error as a share of the reading, [1]."""
    offset: float = 0.0
    """Largest calibration error that every reading has alike, [unit of the reading]."""
    scatter: float = 0.0
    """Standard uncertainty that falls with the number of readings, [unit of the reading]."""
    freedom: float = math.inf
    """Degrees of freedom of `scatter`."""
    fixed: float = 0.0
    """The reading's own standard uncertainty that repeating leaves (resolution), [same unit]."""
    visit: int = 0
    """When it was read; between visits a meter drifts."""

    def expanded(self, value: float) -> float:
        """Return the expanded uncertainty of the reading itself (k = 2), [unit of the reading].

        Notes
        -----
        Assumption: ±a from a data sheet are limits outside which the error never lies, with no value
        between more likely than another (rectangular distribution), so 0.9545 a covers 95.45 %. Of
        ±(a % of the reading + b) the sum is that one limit.

        References
        ----------
        .. [1] JCGM 100:2008 (GUM), 4.3.7, F.2.3.3 and 6.3.

        Examples
        --------
        >>> round(Errors(gain=0.04).expanded(600.0), 2)
        22.91
        """
        half_width = self.gain * abs(value) + self.offset
        return covering(self.scatter, self.freedom, self.fixed, half_width)

    def settled(self, visit: int) -> Errors:
        """Return the errors of a reading that nobody can repeat any more, of another visit."""
        fixed = math.hypot(self.scatter, self.fixed)
        return replace(self, scatter=0.0, fixed=fixed, visit=visit)


Measured = tuple[float, Errors | None]
"""A value with its errors; None where it is exact: a figure from a sheet, a setting."""


@dataclass(frozen=True, slots=True)
class Spread:
    """Uncertainty of a computed figure, part by part."""

    scatter: float = 0.0
    """Standard uncertainty from the scatter of the readings, which more of them reduce."""
    freedom: float = math.inf
    """Its effective degrees of freedom."""
    fixed: float = 0.0
    """Standard uncertainty from their resolution and from all lesser calibration errors."""
    calibration: float = 0.0
    """Half-width of the largest calibration error, which no repeating reduces."""
    weights: tuple[float, ...] = ()
    """What the scatter of each reading adds, in the order given."""
    raised: float = 1.0
    """By how much the figure bends: the uncertainty over that of a straight function."""

    @property
    def expanded(self) -> float:
        """Expanded uncertainty: the truth lies within in 95.45 % of cases."""
        return self.expanded_after(0)

    def expanded_after(self, further: int, better: float = 1.0) -> float:
        """Return the expanded uncertainty after so many further readings of everything that scatters.

        Parameters
        ----------
        further : int
            Readings more at each place, 0 or more.
        better : float
            Accuracy of the meter over that of this one, [1].
        """
        scatter = self.scatter / math.sqrt(1.0 + further)
        return self.raised * covering(scatter, self.freedom, self.fixed, better * self.calibration)


def covering(scatter: float, freedom: float, fixed: float, half_width: float) -> float:
    """Return what covers 95.45 % of a normal error together with a rectangular one, [same unit].

    Parameters
    ----------
    scatter, fixed : float
        Standard uncertainties of the normal error, 0 or more, [same unit].
    freedom : float
        Degrees of freedom of `scatter`, 1 or more.
    half_width : float
        Of the rectangular error, 0 or more, [same unit].

    Notes
    -----
    A rectangular error alone is covered by 0.9545 of its half-width, not by 2/√3 of it, which would
    cover everything. The two together are a convolution whose integral is known.

    References
    ----------
    .. [1] JCGM 100:2008 (GUM), 4.3.7, G.1.3, G.4.1 equation (G.2b).
    .. [2] EA-4/02 M:2022, supplement 1, S9: k = 1.65 where a rectangular error rules (from memory).

    Examples
    --------
    >>> round(covering(0.0, math.inf, 0.0, 1.0), 4)
    0.9545
    >>> covering(3.0, math.inf, 4.0, 0.0)
    10.0
    """
    normal = math.hypot(scatter, fixed)
    factor = 2.0
    if scatter > 0.0 and math.isfinite(freedom):
        effective = freedom * (normal / scatter) ** 4
        factor = coverage_factor(max(1, math.floor(min(effective, _MOST_FREEDOM))))
    normal *= factor / 2.0
    if normal == 0.0 or half_width > _MOST_RATIO * normal:
        return COVERAGE_PROBABILITY * half_width
    # Of whole thousandths: readings of one meter have one ratio, and its factor is found once.
    return normal * _factor(round(1000.0 * (half_width / normal)))


@lru_cache(maxsize=4096)
def _factor(thousandths: int) -> float:
    """Return U over the standard deviation of the normal part."""
    half = thousandths / 1000.0
    if half == 0.0:
        return 2.0
    # Newton from below: the share bends down from 0 on, so that no step goes past the root.
    wide = 0.0
    for _ in range(_MOST_STEPS):
        (above, slope_above), (below, slope_below) = _integral(wide + half), _integral(wide - half)
        missing = COVERAGE_PROBABILITY + 1.0 - (above - below) / half
        step = missing * half / (slope_above - slope_below)
        wide += step
        if step <= _CLOSE * wide:
            break
    return wide


def _integral(z: float) -> tuple[float, float]:
    """Integral of the normal distribution function, and that function."""
    share = 0.5 * (1.0 + math.erf(z / math.sqrt(2.0)))
    return z * share + math.exp(-z * z / 2.0) / math.sqrt(2.0 * math.pi), share


@dataclass(frozen=True, slots=True)
class SharedError:
    """One error of a meter that several readings have: how far it shifts each."""

    meter: str
    gain: bool
    from_visit: int
    """Drift shifts what was read on this visit and later; calibration everything."""
    share: float = 1.0

    def shift(self, value: float, errors: Errors | None) -> float:
        if errors is None or errors.meter != self.meter or errors.visit < self.from_visit:
            return 0.0
        half_width = errors.gain * abs(value) if self.gain else errors.offset
        return self.share * math.copysign(half_width, value if self.gain else 1.0)


def shared_errors(measured: Sequence[Measured]) -> Iterator[SharedError]:
    """Yield every error that readings share, each once, in the order of the readings."""
    visits: dict[tuple[str, bool], set[int]] = {}
    for _, errors in measured:
        if errors is not None:
            for gain, size in ((True, errors.gain), (False, errors.offset)):
                if size > 0.0:
                    visits.setdefault((errors.meter, gain), set()).add(errors.visit)
    for (meter, gain), seen in visits.items():
        first, *later = sorted(seen)
        yield SharedError(meter, gain, first)
        for visit in later:
            yield SharedError(meter, gain, visit, DRIFT_SHARE)


def propagate(function: Function, groups: Sequence[Sequence[Measured]]) -> Spread:
    """Carry the errors of readings into the mean of a function over one or more groups of them.

    The function takes as many numbers as a group has readings; every part is in its unit. A plain
    function of readings is the mean over one group.

    Raises
    ------
    ValueError
        The function has no finite value there.

    Notes
    -----
    The function is evaluated one standard uncertainty to either side of each independent error and the
    root mean square of both changes is taken: right for a straight function, and no less than it
    should be at a kink such as that of |x| at 0, where a central difference says 0.

    References
    ----------
    .. [1] JCGM 100:2008 (GUM), 5.1.2 and note 2 of 5.1.3; 5.2 with F.1.2.3 for shared errors.
    .. [2] Kragten, Calculating standard deviations and confidence intervals with a universally
       applicable spreadsheet technique, Analyst 119 (1994), 2161 (from memory).

    Examples
    --------
    >>> meter = Errors("M", gain=0.02, scatter=1.0)
    >>> ratio = propagate(lambda low, high: low / high, [[(90.0, meter), (100.0, meter)]])
    >>> ratio.calibration < 1e-12, round(ratio.scatter, 4)
    (True, 0.0135)
    """
    count = len(groups)
    starts: list[float] = []
    weights: list[float] = []
    fixed: list[float] = []
    estimated = 0.0
    freedom = math.inf
    for group in groups:
        values = [value for value, _ in group]
        start = _evaluated(function, values)
        starts.append(start)
        for index, (_, errors) in enumerate(group):
            if errors is None:
                weights.append(0.0)
                continue
            own = math.hypot(errors.scatter, errors.fixed)
            slope = _slope(function, values, start, index, own) / count
            weights.append(slope * errors.scatter)
            fixed.append(slope * errors.fixed)
            if math.isfinite(errors.freedom):
                estimated += weights[-1] ** 2
                freedom = min(freedom, errors.freedom)
    scatter = math.hypot(*weights)
    half_widths = _calibrations(function, groups, starts)
    largest = max(half_widths, default=0.0)
    lesser = [half / _ROOT_3 for half in half_widths]
    if lesser:
        lesser.remove(largest / _ROOT_3)
    return Spread(
        computed("scatter", scatter, ""),
        # What is estimated comes from one set of repeats, not from one for each reading.
        freedom * (scatter * scatter / estimated) ** 2 if estimated > 0.0 else math.inf,
        computed("fixed part", math.hypot(*fixed, *lesser), ""),
        computed("calibration part", largest, ""),
        tuple(weights),
    )


def _slope(
    function: Function, values: Sequence[float], start: float, index: int, step: float
) -> float:
    """Change of the function for each unit of one reading, over its own uncertainty."""
    if step == 0.0:
        return 0.0
    before, at, after = values[:index], values[index], values[index + 1 :]
    sides = [_change(function, (*before, at + by, *after), start) for by in (step, -step)]
    return _root_mean_square(sides) / step


def _calibrations(
    function: Function, groups: Sequence[Sequence[Measured]], starts: Sequence[float]
) -> list[float]:
    """Half-width that each meter's calibration, and each drift of it, gives the mean.

    What divides out of a figure, the share or the fixed part, counts for nothing. What is left of both
    adds up: a sheet's ±(a % + b) is one limit, and nobody knows how its two parts lie to each other.
    """
    found: dict[tuple[str, int], float] = {}
    for source in shared_errors([one for group in groups for one in group]):
        sides = []
        shifted = [
            (group, start, shifts)
            for group, start in zip(groups, starts, strict=True)
            if any(shifts := [source.shift(*one) for one in group])
        ]
        for sign in (1.0 / _ROOT_3, -1.0 / _ROOT_3):
            changes = []
            for group, start, shifts in shifted:
                moved = [one[0] + sign * by for one, by in zip(group, shifts, strict=True)]
                changes.append(_change(function, moved, start))
            known = [change for change in changes if change is not None]
            sides.append(math.fsum(known) / len(groups) if len(known) == len(changes) else None)
        of_one = source.meter, source.from_visit
        found[of_one] = found.get(of_one, 0.0) + _ROOT_3 * _root_mean_square(sides)
    return [*found.values()]


def _change(function: Function, values: Sequence[float], start: float) -> float | None:
    """Change of the function from its start; None where it has no value there."""
    try:
        changed = function(*values) - start
    except (ValueError, ArithmeticError):
        return None
    return changed if math.isfinite(changed) else None


def _root_mean_square(sides: Sequence[float | None]) -> float:
    known = [side for side in sides if side is not None]
    if not known:
        raise RefusedError("the figure has no value within the uncertainty of its readings")
    return math.hypot(*known) / math.sqrt(len(known))


def _evaluated(function: Function, values: Sequence[float]) -> float:
    try:
        return computed("function value", function(*values), "")
    except ArithmeticError as error:
        raise RefusedError(f"function has no value at {list(values)}: {error}") from None

"""White point and grey scale."""

from __future__ import annotations

from collections.abc import Mapping
from statistics import fmean

from commission_tui.checks import judgement as j
from commission_tui.checks.error_budget import (
    budget_of,
    function_budget,
    function_mean_budget,
    mean_budget,
    without_shared_calibration,
)
from commission_tui.checks.methods.light.chromaticity_limits import xy_readings
from commission_tui.checks.model.types import Budget, CheckInput, Figure, Outcome, Reading, Verdict
from commission_tui.checks.registry import method
from commission_tui.engineering.colour import colorimetry
from commission_tui.engineering.light.grey_scale import (
    RangeSignature,
    fit_grey_scale,
    grey_step_errors,
    range_mismatch,
)
from commission_tui.figures import shown

_FITTED_FROM = 0.1
"""Signal from which steps are fitted and judged: below it the meter's dark offset rules."""
_FEWEST_STEPS = 3


@method(fields="x y", limits="x y")
def white_point(data: CheckInput) -> Outcome:
    """Judge the mean chromaticity and every point; tell the colour temperature beside it."""
    means = [_mean(data, axis) for axis in ("x", "y") if data.field(axis)]
    each = j.worst_first(
        figure
        for axis in ("x", "y")
        for figure in j.judged_places(data, f"{axis} at {{}}", axis, limit=axis, digits=4)
    )
    bad = j.bad_places(each)
    figures = list(means)
    if bad and all(figure.verdict is Verdict.PASS for figure in means):
        figures.append(each[0])
    step = (
        "Check the meter's matrix first, then the white of the processor and its correction data."
    )
    if len(means) == 1:
        return j.conclude(figures, where=bad, next_step=step)
    seen = _appearance(data, means[0].value, means[1].value)
    temperature = f"; colour temperature {shown(seen[1].value)} K" if len(seen) > 1 else ""
    reason = j.sentence_of(figures) + temperature
    return j.conclude([*figures, *seen], reason, where=bad, next_step=step)


def _mean(data: CheckInput, axis: str) -> Figure:
    values = data.numbers(axis).values()
    spread = mean_budget(data.field(axis).values())
    limit = data.limits[axis]
    return j.judged(f"mean {axis}", fmean(values), limit=limit, budget=spread, digits=4)


def _appearance(data: CheckInput, x: float, y: float) -> list[Figure]:
    """Distance from the target, and where a colour temperature means something, that as well."""
    targets = data.wall.file.targets
    target = colorimetry.xy_to_uv_prime(targets.white_x, targets.white_y)
    off = colorimetry.delta_uv_prime(colorimetry.xy_to_uv_prime(x, y), target)
    pairs = list(xy_readings(data).values())
    figures = [j.judged("distance from the target in u'v'", off, digits=2)]
    try:
        cct_k, duv = colorimetry.cct_duv_ohno(x, y)
    except ValueError:  # too far from the black body for a colour temperature
        return figures
    known = function_mean_budget(lambda *xy: colorimetry.cct_duv_ohno(*xy).cct_k, pairs)
    off_known = function_mean_budget(lambda *xy: colorimetry.cct_duv_ohno(*xy).duv, pairs)
    return [
        *figures,
        j.judged("colour temperature", cct_k, "K", budget=known),
        j.judged("distance from the black body, Duv", duv, budget=off_known, digits=2),
    ]


@method(fields="luminance_cd_m2", limits="exponent step_error_percent")
def grey_scale(data: CheckInput) -> Outcome:
    """Fit the exponent, and judge every step from 10 % against the fit."""
    levels = data.numbers("luminance_cd_m2")
    readings = data.field("luminance_cd_m2")
    black = levels.get("0 %", 0.0)
    steps = {p: level for p, level in levels.items() if signal(p) >= _FITTED_FROM}
    if len(steps) < _FEWEST_STEPS:
        return Outcome(Verdict.OPEN, f"too few steps yet, {_FEWEST_STEPS} from 10 % are needed")
    dark = [place for place, level in steps.items() if level <= black]
    if dark:
        reason = f"No brighter than black at {dark[-1]}"
        step = "Look at the pattern and at the level; read black and the named steps again."
        return j.conclude([], reason, where=dark[::-1], next_step=step, failed=True)
    names = list(steps)
    fit = fit_grey_scale([signal(p) for p in names], list(steps.values()), black)
    errors = j.worst_first(
        _step_error(data, names[index], residual)
        for index, residual in zip(fit.used, fit.residuals, strict=True)
    )
    budget = _exponent_budget(names, readings, readings.get("0 %"))
    limit = data.limits["exponent"]
    figures = [
        j.judged("exponent", fit.exponent, limit=limit, budget=budget),
        errors[0],
        j.judged("white of the fit", fit.white_cd_m2, "cd/m2"),
    ]
    if "0 %" in levels:
        figures.append(j.judged("black", black, "cd/m2", digits=2))
    figures += _from_the_agreed(data, steps, black)
    step = _advice(data, levels)
    return j.conclude(figures, where=j.bad_places(errors), next_step=step)


def _from_the_agreed(
    data: CheckInput, steps: Mapping[str, float], black_cd_m2: float
) -> list[Figure]:
    """Record the step that is farthest from the agreed exponent, between this wall's black and white."""
    white, exponent = steps.get("100 %"), data.wall.file.targets.grey_exponent
    if white is None or white <= black_cd_m2:
        return []
    places = list(steps)
    off = grey_step_errors(
        [signal(p) for p in places], list(steps.values()), white, black_cd_m2, exponent
    )
    known = [(error, place) for error, place in zip(off, places, strict=True) if error is not None]
    error, place = max(known, key=lambda item: abs(item[0]))
    name = f"step farthest from exponent {exponent:g}, black taken off ({place})"
    return [j.judged(name, 100 * error, "%")]


def signal(step: str) -> float:
    """Return the signal of a grey step, as a fraction of full signal."""
    return float(step.split()[0]) / 100


def _step_error(data: CheckInput, place: str, residual: float) -> Figure:
    reading = data.field("luminance_cd_m2")[place]
    # The fit has the same calibration error as the step, so only the reading's own is left.
    share = 100 * (1 + residual) / reading.number if reading.number else 0.0
    return j.judged(
        f"largest error of a step ({place})",
        100 * residual,
        "%",
        limit=data.limits["step_error_percent"],
        budget=budget_of(without_shared_calibration(reading), share),
        place=place,
    )


def _exponent_budget(
    names: list[str], readings: Mapping[str, Reading], black: Reading | None
) -> Budget | None:
    """Carry the readings' errors into the fit; a gain that they share divides out."""
    signals = [signal(place) for place in names]

    def exponent(*levels: float) -> float:
        *steps, dark = (max(level, 0.0) for level in levels)
        return fit_grey_scale(signals, steps, dark).exponent

    used = [*(readings[place] for place in names), black or Reading(0.0)]
    return function_budget(exponent, *used)


def _advice(data: CheckInput, levels: Mapping[str, float]) -> str:
    """Name a wrong signal range when white and black have its signature."""
    targets = data.wall.file.targets
    target = targets.luminance_cd_m2
    usual = "Look for a second curve in the source, then for the processor's; read the scale again."
    white, black = levels.get("100 %"), levels.get("0 %")
    if target is None or white is None or black is None or white <= black:
        return usual
    found = range_mismatch(white, black, target, targets.grey_exponent)
    if found.signature is RangeSignature.LIMITED_INTO_FULL:
        return f"A limited-range source into a full-range input: {found.reason}. Set both alike."
    return usual

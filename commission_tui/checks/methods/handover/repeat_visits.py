"""The same places read again: before the client, and on a later visit against the handover."""

from __future__ import annotations

import math
from collections.abc import Mapping
from statistics import fmean, median

from commission_tui.checks import judgement as j
from commission_tui.checks.error_budget import function_mean_budget
from commission_tui.checks.faults.severity import pixels_at_fault
from commission_tui.checks.methods.light.chromaticity_limits import (
    judged_step,
    pairs_of,
    xy_readings,
)
from commission_tui.checks.methods.light.patches import change_percent
from commission_tui.checks.model.types import CheckInput, Figure, Outcome, Reading, Verdict
from commission_tui.checks.registry import method
from commission_tui.engineering.light.ageing import Decay, fit_decay, hours_to_share, percent_lost
from commission_tui.engineering.light.uniformity import outliers
from commission_tui.engineering.numeric.repeatability import deviation_of_pairs
from commission_tui.engineering.quality.pixel_faults import ppm
from commission_tui.engineering.quality.spares import cover
from commission_tui.figures import shown
from commission_tui.text import counted, listed, lower_first, upper_first
from commission_tui.wall.model.location import Location

NO_RECORD = "none of these places has a reading of the handover to hold this against"
_FEWEST_VISITS = 2
"""Later visits before a life is told from a decay (common practice, no published source)."""
_LEFT_AT_END = 0.7
_AHEAD_H = 1000.0
_FIGURES_EACH = 5
_MISSING = "spares that nobody accounts for"
_FEWEST_APART = 3
_SEEN_APART = 0.02
"""From the middle before a cabinet is told apart: the step that the eye finds between neighbours
(common practice, no published source)."""


def _pairs(data: CheckInput, name: str) -> dict[str, tuple[Reading, Reading]]:
    """Return place to the reading now and that of the record, where both are."""
    then = data.baseline.get(name, {})
    return {
        place: (now, then[place])
        for place, now in data.field(name).items()
        if place in then and now.is_number and then[place].is_number
    }


def _changes(data: CheckInput, name: str, words: str, limit: str) -> list[Figure]:
    figures = []
    for place, (now, then) in _pairs(data, name).items():
        at = f"{words} at {place}"
        if then.number == 0:
            ok = now.number == 0
            figure = j.right_or_wrong(f"{at}, 0 before", now.number, ok=ok, place=place)
        else:
            figure = j.judged_from(
                f"{at} against the record",
                *(now, then),
                by=change_percent,
                unit="%",
                limit=data.limits[limit],
                digits=2,
                place=place,
            )
        figures.append(figure)
    return j.worst_first(figures)


def _colour_changes(data: CheckInput) -> list[Figure]:
    limit, before = data.limits.get("colour"), pairs_of(data.baseline)
    return j.worst_first(
        judged_step(
            f"colour at {place} against the record, u'v'",
            now,
            before[place],
            limit=limit,
            place=place,
        )
        for place, now in xy_readings(data).items()
        if limit is not None and place in before
    )


@method(fields="luminance_cd_m2 x? y?", limits="luminance_percent colour?")
def witness_repeat(data: CheckInput) -> Outcome:
    """Hold a few places read again before the client against what was recorded."""
    levels = _changes(data, "luminance_cd_m2", "luminance", "luminance_percent")
    colours = _colour_changes(data)
    if not levels and not colours:
        return Outcome(Verdict.OPEN, NO_RECORD)
    worst_first = j.worst_first([*levels, *colours])
    figures = [*levels[:_FIGURES_EACH], *colours[:_FIGURES_EACH]]
    figures.append(Figure("places read again", len(levels)))
    changes = [figure.value for figure in levels if figure.unit == "%"]
    if changes:
        scatter = deviation_of_pairs(changes)
        figures.append(j.judged("scatter of one reading, from the pairs", scatter, "%", digits=2))
    reason = upper_first(j.clauses_of([*levels[:1], *colours[:1]]))
    step = (
        "Read spot, distance, pattern and level of the record; set them as they were, read again."
    )
    where = j.bad_places(worst_first)
    return j.conclude(figures, reason, where=where, next_step=step)


@method(
    fields="luminance_cd_m2 x? y? earlier_hours? earlier_percent?", limits="left_percent colour?"
)
def light_left(data: CheckInput) -> Outcome:
    """Say what is left of the light since the handover, how fast it goes, and who stands apart."""
    pairs = {p: pair for p, pair in _pairs(data, "luminance_cd_m2").items() if pair[1].number > 0}
    if not pairs:
        return Outcome(Verdict.OPEN, NO_RECORD)
    shares = {place: now.number / then.number for place, (now, then) in pairs.items()}
    mean = fmean(shares.values())
    budget = function_mean_budget(lambda now, then: 100 * now / then, list(pairs.values()))
    least = min(shares, key=shares.__getitem__)
    name = f"light left, mean of {counted(len(shares), 'cabinet')}"
    figures = [
        j.judged(name, 100 * mean, "%", limit=data.limits["left_percent"], budget=budget),
        j.judged(f"least light left ({least})", 100 * shares[least], "%"),
    ]
    colours = _colour_changes(data)
    figures += colours[:1]
    decay, remark = _decay(data, mean, 0.0 if budget is None else budget.spread.expanded / 100)
    figures += decay
    apart = _apart(shares)
    if apart:
        remark += f"; apart from the others, so damage, an exchange or a setting: {listed(apart)}"
    return j.conclude(
        figures,
        j.sentence_of(figures) + remark,
        where=[*apart, *j.bad_places(colours), least],
        next_step="Compare method, level and settings with the handover before speaking of ageing.",
    )


def _apart(shares: Mapping[str, float]) -> list[str]:
    """Return the places that stand apart from the others, and by more than the meter's scatter."""
    if len(shares) < _FEWEST_APART:
        return []
    middle = median(shares.values())
    return [
        found.key
        for found in outliers(shares)
        if abs(shares[found.key] - middle) >= _SEEN_APART * middle
    ]


def _decay(data: CheckInput, share: float, spread: float) -> tuple[list[Figure], str]:
    """Return the decay through all visits; the life only where two or more of them tell it.

    `spread` is the expanded uncertainty of the share that is left now.
    """
    hours = data.numbers("earlier_hours")
    left = data.numbers("earlier_percent")
    earlier = [(left[v] / 100, hours[v]) for v in hours if v in left]

    def fitted(now: float) -> Decay | None:
        visits = [*earlier, *([(now, data.hours_run)] if data.hours_run else [])]
        visits = [(part, run) for part, run in visits if part > 0 and run > 0]
        return fit_decay(*zip(*visits, strict=True)) if visits else None

    decay = fitted(share)
    if decay is None:
        return [], "; no hours run noted, so no decay"
    if decay.rate_per_h <= 0:
        return [], "; no loss of light over these visits"
    ends = [end.rate_per_h for now in (share + spread, share - spread) if (end := fitted(now))]
    off = (max(ends) - min(ends)) / 2
    # The loss follows the rate by the slope of the exponential there.
    slope = 100 * _AHEAD_H * math.exp(-decay.rate_per_h * _AHEAD_H)
    lost = percent_lost(decay.rate_per_h, _AHEAD_H)
    known = off * slope if spread and off else None
    figures = [j.judged("decay in 1000 h", lost, "%", expanded=known, digits=2)]
    if decay.visits < _FEWEST_VISITS:
        return figures, "; one later visit, too few to tell a life from"
    life = hours_to_share(decay.rate_per_h, _LEFT_AT_END)
    if life > decay.reach_h:
        figures.append(j.judged("70 % of the light not before", decay.reach_h, "h"))
        return figures, f"; 70 % is left for more than {shown(decay.reach_h, 2)} h at this decay"
    spread_h = life * off / decay.rate_per_h if spread and off else None
    figures.append(j.judged("hours to 70 % of the light", life, "h", expanded=spread_h, digits=2))
    return figures, f"; 70 % is left after about {shown(life, 2)} h at this decay"


@method(limits="change_percent")
def as_handover(data: CheckInput) -> Outcome:
    """Hold every number against that of the handover at the same place."""
    worst_first = j.worst_first(
        figure
        for name in data.readings
        for figure in _changes(data, name, data.label(name), "change_percent")
    )
    if not worst_first:
        return Outcome(Verdict.OPEN, NO_RECORD)
    figures = [*worst_first[:8], Figure("compared with the handover", len(worst_first))]
    step = "Look for what was changed since the handover; have the named places looked at."
    return j.conclude(figures, where=j.bad_places(worst_first), next_step=step)


@method(fields="swept", limits="faults_ppm", reads_faults=True)
def pixels_again(data: CheckInput) -> Outcome:
    """Count the pixel faults against the term's allowance, and part the new from the known."""
    faults = pixels_at_fault(data.wall, data.faults)
    known = pixels_at_fault(data.wall, (fault for fault in data.faults if fault.visit == 0))
    new = [place for place in faults if place not in known]
    figures = [
        j.judged(
            "pixel faults per million",
            ppm(len(faults), data.wall.lit_pixels),
            "ppm",
            limit=data.limits["faults_ppm"],
        ),
        Figure("new since the handover", len(new)),
        Figure("known from the handover and still there", len(faults) - len(new)),
    ]
    unswept = j.answered_no(data, "swept")
    remark = (
        f"; new since the handover: {len(new)}, known and still there: {len(faults) - len(new)}"
    )
    reason = j.sentence_of(figures) + remark
    if unswept:
        reason = f"Not swept in {listed(unswept)}; {lower_first(reason)}"
    return j.conclude(
        figures,
        reason,
        where=[*unswept, *(str(Location(cell=cell, pixel=pixel)) for cell, pixel in new)],
        next_step="Change the modules of the new faults; ask for edges knocked and for damp.",
        failed=unswept,
    )


@method(fields="counted lit used failures_a_year years_left", limits="cover_percent")
def spares_again(data: CheckInput) -> Outcome:
    """Account for every spare of the handover, and say how well the rest covers the term."""
    figures: list[Figure] = []
    remark = ""
    then = data.baseline.get("counted", {}).get("wall")
    counted, used, lit = map(data.one, ("counted", "used", "lit"))
    if then is not None and counted is not None and used is not None:
        gone = then.number - used.number - counted.number
        figures.append(j.right_or_wrong(_MISSING, gone, ok=gone <= 0))
        if gone > 0:
            remark = f"not accounted for: {shown(gone)} of the handover's spares; "
    dead = 0.0 if counted is None or lit is None else counted.number - lit.number
    if dead > 0:
        figures.append(j.right_or_wrong("spares that do not light", dead, ok=False))
    yearly, years = data.one("failures_a_year"), data.one("years_left")
    if lit is not None and yearly is not None and years is not None:
        mean = yearly.number * years.number
        figures.append(Figure("failures expected in the term left", mean))
        stock = max(0, int(lit.number))
        chance = 100 * cover(stock, mean)
        spread = None
        if yearly.expanded is not None:
            off = yearly.expanded * years.number
            spread = 50 * (cover(stock, max(0.0, mean - off)) - cover(stock, mean + off))
        name, limit = "chance that the spares last", data.limits["cover_percent"]
        figures.append(j.judged(name, chance, "%", limit=limit, expanded=spread))
    step = "Find what is missing; order spares of the wall's batch while they are made."
    named = [figure for figure in figures if figure.name != _MISSING]
    reason = upper_first(remark + j.clauses_of(named if remark else figures))
    return j.conclude(figures, reason, next_step=step)

"""Contrast that the light in the room leaves: front light, daylight, and what each seat sees."""

from __future__ import annotations

from statistics import fmean

from commission_tui.checks.error_budget import function_budget
from commission_tui.checks.judgement import (
    Placed,
    against_limit,
    bad_places,
    clauses_of,
    conclude,
    judged,
    worst_first,
)
from commission_tui.checks.model.types import CheckInput, Figure, Limit, Outcome, Reading, Verdict
from commission_tui.checks.registry import method
from commission_tui.engineering.light.photometry import (
    ambient_contrast,
    illuminance_limit_lx,
    reflected_luminance_cd_m2,
)
from commission_tui.figures import shown
from commission_tui.text import upper_first

_RULE = "blinds down, by a written rule"
_CATEGORIES = (
    *((80.0, "full motion video"), (50.0, "analytical decisions")),
    *((15.0, "text and basic decisions"), (7.0, "passive viewing")),
)
"""Least contrast of each viewing category of ANSI/AVIXA V201.01 (15:1 and 50:1 looked up on the
association's pages; 7:1 and 80:1 from memory)."""


def _contrast(name: str, white: Reading, black: Reading, limit: Limit | None) -> Figure:
    value = _over_black(white.number, black.number)
    expanded = function_budget(_over_black, white, black)
    return judged(name, value, limit=limit, expanded=expanded, digits=2)


def _over_black(white_cd_m2: float, black_cd_m2: float) -> float:
    return ambient_contrast(white_cd_m2, black_cd_m2, 0.0, 0.0)


def _fit_for(contrast: float) -> str:
    fit = next((words for least, words in _CATEGORIES if contrast >= least), None)
    return f"enough for {fit}" if fit else "too little for any viewing category"


@method(
    "spill_contrast",
    fields=("spill_lx", "lit_black_cd_m2", "lit_white_cd_m2"),
    limits=("contrast",),
)
def spill_contrast(data: CheckInput) -> Outcome:
    """Judge the contrast that is left under this light, and say what the spill may be."""
    black, white = data.one("lit_black_cd_m2"), data.one("lit_white_cd_m2")
    spill = data.numbers("spill_lx")
    figures = _falling(spill)
    if black is None or white is None:
        return Outcome(Verdict.OPEN, "black and white under this light are needed", tuple(figures))
    contrast = _contrast("contrast left", white, black, data.limits["contrast"])
    share = _reflectance(black.number, spill)
    if share is not None:
        figures.append(judged("reflectance of the wall, its own black included", share, digits=2))
    bright = [max(spill, key=spill.__getitem__)] if spill else []
    step = _spill_advice(data, white.number - black.number, share)
    return conclude([contrast, *figures], where=bright, next_step=step)


def _falling(spill: dict[str, float]) -> list[Figure]:
    if not spill:
        return []
    return [
        judged("mean light on the wall", fmean(spill.values()), "lx"),
        judged("most light on the wall", max(spill.values()), "lx"),
    ]


def _reflectance(black_cd_m2: float, spill: dict[str, float]) -> float | None:
    """Return what the wall reflects of the most light on it; None where that has no meaning."""
    if not spill or max(spill.values()) <= 0:
        return None
    return black_cd_m2 / reflected_luminance_cd_m2(max(spill.values()), 1.0)


def _spill_advice(data: CheckInput, own_white: float, reflectance: float | None) -> str:
    usual = "Turn the front light off the wall: steeper, shuttered, or from the side."
    wanted = data.limits["contrast"].low
    if wanted is None or wanted <= 1 or reflectance is None or not 0 < reflectance <= 1:
        return usual
    most = illuminance_limit_lx(own_white, 0.0, wanted, reflectance)
    return f"{usual} For {shown(wanted, 2)}:1 at most {shown(most, 2)} lx may fall on it."


@method(
    "seat_contrast",
    fields=("white_cd_m2", "black_cd_m2"),
    limits=("contrast",),
    optional_fields=("full_white_cd_m2", "full_black_cd_m2"),
)
def seat_contrast(data: CheckInput) -> Outcome:
    """Judge the contrast of the checkerboard from every seat, in every light state."""
    whites, blacks = data.field("white_cd_m2"), data.field("black_cd_m2")
    limit = data.limits["contrast"]
    placed: list[Placed] = worst_first(
        (place, _contrast(f"contrast from {place}", whites[place], blacks[place], limit))
        for place in data.expected.get("white_cd_m2", ())
        if place in whites and place in blacks
    )
    if not placed:
        return Outcome(Verdict.OPEN, "white and black from one seat are needed")
    lowest = min((figure for _, figure in placed), key=lambda figure: figure.value)
    figures = [figure for _, figure in placed]
    reason = f"{upper_first(clauses_of([lowest]))}; {_fit_for(lowest.value)}"
    step = (
        "Lower the light that falls on the wall in the named state, before anybody raises the level; "
        "look for gloss and reflections from the named seat."
    )
    records = _on_off(data)
    return conclude([*figures, *records], reason, where=bad_places(placed), next_step=step)


def _on_off(data: CheckInput) -> list[Figure]:
    """Record the contrast of full white against full black, where it was measured."""
    whites, blacks = data.field("full_white_cd_m2"), data.field("full_black_cd_m2")
    return [
        _contrast(f"full white over full black from {place}", whites[place], blacks[place], None)
        for place in whites
        if place in blacks
    ]


@method(
    "daylight_contrast",
    fields=("daylight_lx", "white_cd_m2", "black_cd_m2", "blinds"),
    limits=("contrast",),
    optional_fields=("when", "sky"),
)
def daylight_contrast(data: CheckInput) -> Outcome:
    """Judge the contrast at the worst hour, unless a written rule keeps the daylight out."""
    white, black, rule = (data.one(n) for n in ("white_cd_m2", "black_cd_m2", "blinds"))
    daylight = data.numbers("daylight_lx")
    if white is None or black is None:
        return Outcome(Verdict.OPEN, "white and black under daylight are needed")
    ruled = rule is not None and rule.value == _RULE
    limit = None if ruled else data.limits["contrast"]
    contrast = _contrast("contrast in daylight", white, black, limit)
    share = _reflectance(black.number, daylight)
    figures = [contrast, *_falling(daylight)]
    judgement = f"{upper_first(against_limit(contrast))}, {_fit_for(contrast.value)}"
    reason = judgement + ("; blinds down by a written rule" if ruled else "")
    step = _most_light(data, white.number - black.number, share) or (
        "Shade the windows, agree a rule for the blinds, or agree in writing what the wall is for "
        "at that hour."
    )
    bright = [max(daylight, key=daylight.__getitem__)] if daylight else []
    return conclude(figures, reason, where=bright, next_step=step)


def _most_light(data: CheckInput, own_white: float, reflectance: float | None) -> str:
    wanted = data.limits["contrast"].low
    if wanted is None or wanted <= 1 or reflectance is None or not 0 < reflectance <= 1:
        return ""
    most = illuminance_limit_lx(own_white, 0.0, wanted, reflectance)
    return (
        f"For {shown(wanted, 2)}:1 at most {shown(most, 2)} lx of daylight may fall on the wall: "
        "shade the windows, or agree a rule for the blinds."
    )

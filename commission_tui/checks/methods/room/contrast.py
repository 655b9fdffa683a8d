"""What each seat sees: the contrast that front light and daylight leave, and what the farthest can read."""

from __future__ import annotations

from functools import partial
from statistics import fmean

from commission_tui.checks import judgement as j
from commission_tui.checks.error_budget import budget_of
from commission_tui.checks.model.types import CheckInput, Figure, Outcome, Reading, Verdict
from commission_tui.checks.registry import method
from commission_tui.engineering.light.photometry import (
    ambient_contrast,
    illuminance_limit_lx,
    reflected_luminance_cd_m2,
)
from commission_tui.engineering.structure.geometry import pitch_mm
from commission_tui.engineering.viewing.viewing import arcmin, element_height_px, text_height_px
from commission_tui.figures import shown

_RULE = "blinds down, by a written rule"
_CATEGORIES = (
    *((80.0, "full motion video"), (50.0, "analytical decisions")),
    *((15.0, "text and basic decisions"), (7.0, "passive viewing")),
)
"""Least contrast of each viewing category of ANSI/AVIXA V201.01 (15:1 and 50:1 looked up on the
association's pages; 7:1 and 80:1 from memory)."""


def _over_black(white_cd_m2: float, black_cd_m2: float) -> float:
    return ambient_contrast(white_cd_m2, black_cd_m2, 0.0, 0.0)


def _fit_for(contrast: float) -> str:
    fit = next((words for least, words in _CATEGORIES if contrast >= least), None)
    return f"enough for {fit}" if fit else "too little for any viewing category"


@method(fields="spill_lx lit_black_cd_m2 lit_white_cd_m2", limits="contrast")
def spill_contrast(data: CheckInput) -> Outcome:
    """Judge the contrast that is left under this light, and say what the spill may be."""
    black, white = data.one("lit_black_cd_m2"), data.one("lit_white_cd_m2")
    spill = data.numbers("spill_lx")
    figures = _falling(spill)
    if black is None or white is None:
        return Outcome(Verdict.OPEN, "black and white under this light are needed", tuple(figures))
    limit = data.limits["contrast"]
    contrast = j.judged_from("contrast left", white, black, by=_over_black, limit=limit, digits=2)
    share = _reflectance(black.number, spill)
    if share is not None:
        figures.append(j.judged("reflectance of the wall, its own black included", share, digits=2))
    step = "Turn the front light off the wall: steeper, shuttered, or from the side."
    if most := _most_light(data, white.number - black.number, share):
        step += f" {most} lx may fall on it."
    return j.conclude([contrast, *figures], where=_brightest(spill), next_step=step)


def _brightest(light: dict[str, float]) -> list[str]:
    return [max(light, key=light.__getitem__)] if light else []


def _falling(spill: dict[str, float]) -> list[Figure]:
    if not spill:
        return []
    return [
        j.judged("mean light on the wall", fmean(spill.values()), "lx"),
        j.judged("most light on the wall", max(spill.values()), "lx"),
    ]


def _reflectance(black_cd_m2: float, spill: dict[str, float]) -> float | None:
    """Return what the wall reflects of the most light on it; None where that has no meaning."""
    if not spill or max(spill.values()) <= 0:
        return None
    return black_cd_m2 / reflected_luminance_cd_m2(max(spill.values()), 1.0)


def _most_light(data: CheckInput, own_white: float, reflectance: float | None) -> str:
    """Say how much light may fall on the wall for the contrast that is wanted, or nothing."""
    wanted = data.limits["contrast"].low
    if wanted is None or wanted <= 1 or reflectance is None or not 0 < reflectance <= 1:
        return ""
    most = illuminance_limit_lx(own_white, 0.0, wanted, reflectance)
    return f"For {shown(wanted, 2)}:1 at most {shown(most, 2)}"


@method(fields="white_cd_m2 black_cd_m2 full_white_cd_m2? full_black_cd_m2?", limits="contrast")
def seat_contrast(data: CheckInput) -> Outcome:
    """Judge the contrast of the checkerboard from every seat, in every light state."""
    pair = partial(j.judged_places, data, by=_over_black, digits=2)
    figures = pair("contrast from {}", "white_cd_m2", "black_cd_m2", limit="contrast")
    if not figures:
        return Outcome(Verdict.OPEN, "white and black from one seat are needed")
    lowest = min(figures, key=lambda figure: figure.value)
    step = (
        "Lower the light that falls on the wall in the named state, before anybody raises the level; "
        "look for gloss and reflections from the named seat."
    )
    records = pair("full white over full black from {}", "full_white_cd_m2", "full_black_cd_m2")
    reason = j.phrased(j.clauses_of([lowest]), _fit_for(lowest.value))
    return j.conclude([*figures, *records], reason, next_step=step)


@method(fields="daylight_lx white_cd_m2 black_cd_m2 blinds when? sky?", limits="contrast")
def daylight_contrast(data: CheckInput) -> Outcome:
    """Judge the contrast at the worst hour, unless a written rule keeps the daylight out."""
    words = "white and black under daylight are needed"
    white, black = data.needed(words, "white_cd_m2", "black_cd_m2")
    daylight, ruled = data.numbers("daylight_lx"), data.says("blinds", _RULE)
    limit = None if ruled else data.limits["contrast"]
    contrast = j.judged_from(
        "contrast in daylight", white, black, by=_over_black, limit=limit, digits=2
    )
    share = _reflectance(black.number, daylight)
    fit = f"{j.against_limit(contrast)}, {_fit_for(contrast.value)}"
    most = _most_light(data, white.number - black.number, share)
    step = (
        f"{most} lx of daylight may fall on the wall: shade the windows, or agree a rule for the blinds."
        if most
        else "Shade the windows, agree a rule for the blinds, or agree in writing what the wall is for "
        "at that hour."
    )
    return j.conclude(
        [contrast, *_falling(daylight)],
        j.phrased(fit, "blinds down by a written rule" if ruled else ""),
        where=_brightest(daylight),
        next_step=step,
    )


@method(fields="smallest_read_px template_px reader_px?", limits="capital_arcmin")
def legibility(data: CheckInput) -> Outcome:
    """Hold the template's smallest capital against what was read and against the angle it fills."""
    read, used = _worst_read(data), data.one("template_px")
    farthest_m = data.wall.file.targets.farthest_m
    pitch = min(pitch_mm(c.height_mm, c.height_px) for c in data.wall.cabinets.values())
    figures: list[Figure] = []
    if read is not None and used is not None:
        ok = used.number >= read.number
        name = "smallest capital of the template"
        name += "" if ok else f" (read: {read.number:g} px)"
        figures.append(j.right_or_wrong(name, used.number, "px", ok=ok))
    if used is not None and farthest_m is not None:
        angle = arcmin(used.number * pitch, farthest_m)
        limit = data.limits["capital_arcmin"]
        name = f"capital of the template from {farthest_m:g} m"
        spread = None
        if used.number:
            spread = budget_of(used, angle / used.number)
        figures.append(j.judged(name, angle, "arcmin", limit=limit, budget=spread))
    if read is not None and farthest_m is not None:
        angle = arcmin(read.number * pitch, farthest_m)
        figures.append(j.judged("smallest capital that was read", angle, "arcmin"))
    if farthest_m is not None:
        height = element_height_px(farthest_m, pitch)
        figures.append(j.judged("height for basic decisions, DISCAS", height, "px"))
    return j.conclude(figures, next_step=_advice(data, pitch, farthest_m))


def _worst_read(data: CheckInput) -> Reading | None:
    """Return the largest of the smallest lines: what both read, or what one reader needed more."""
    both = data.one("smallest_read_px")
    found = [*data.field("reader_px").values(), *([] if both is None else [both])]
    return max(found, key=lambda reading: reading.number, default=None)


def _advice(data: CheckInput, pitch: float, farthest_m: float | None) -> str:
    least = data.limits["capital_arcmin"].low
    if farthest_m is None or least is None or not 1 <= least <= 600:
        return "Give the makers of the content the smallest height that was read."
    height = text_height_px(pitch, farthest_m, least)
    return f"Set the template's smallest capital to at least {height} px, and to what was read."

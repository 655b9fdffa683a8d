"""One patch beside another: at low grey, in a batch of modules, as a ghost, a module changed."""

from __future__ import annotations

from collections.abc import Iterable

from commission_tui.checks import judgement as j
from commission_tui.checks.judgement import judged_from, judged_places
from commission_tui.checks.methods.light.chromaticity_limits import judged_step, xy_readings
from commission_tui.checks.methods.plain_limits import with_answers
from commission_tui.checks.model.types import CheckInput, Figure, Outcome, Verdict
from commission_tui.checks.registry import method
from commission_tui.engineering.numeric.bounds import RefusedError

_ODD, _BESIDE = ", the odd one", ", beside it"


@method(
    fields="even? no_mosaic? odd_cabinet? modules_apart? photo? luminance_cd_m2? x? y?",
    limits="step_percent? colour?",
)
def patches_apart(data: CheckInput) -> Outcome:
    """Judge what stands out against what is beside it, at each level where both were read.

    Their places are ``5 % grey, the odd one`` and ``5 % grey, beside it``.
    """
    return with_answers(
        data,
        [*_levels(data), *_colours(data)],
        leave_out={"luminance_cd_m2", "x", "y"},
        next_step="Exchange or recalibrate what stands out, then look and read again at every level.",
    )


def _beside(places: Iterable[str]) -> list[tuple[str, str, str]]:
    """Return level, place of the odd one and place of what is beside it, where both are."""
    levels = (place.removesuffix(_ODD) for place in places if place.endswith(_ODD))
    found = ((level, level + _ODD, level + _BESIDE) for level in levels)
    return [(level, odd, beside) for level, odd, beside in found if beside in places]


def _levels(data: CheckInput) -> list[Figure]:
    readings, figures = data.field("luminance_cd_m2"), []
    for level, odd, beside in _beside(readings):
        if readings[beside].number <= 0:
            raise RefusedError(
                f"{beside} is {readings[beside].number:g} cd/m2, expected above 0 cd/m2"
            )
        figure = judged_from(
            f"step from what is beside it at {level}",
            *(readings[odd], readings[beside]),
            by=change_percent,
            unit="%",
            limit=data.limits.get("step_percent"),
            place=level,
        )
        figures.append(figure)
    return figures


def _colours(data: CheckInput) -> list[Figure]:
    colours, limit = xy_readings(data), data.limits.get("colour")
    return [
        judged_step(
            f"colour from what is beside it at {level}, u'v'",
            *(colours[odd], colours[beside]),
            limit=limit,
            place=level,
        )
        for level, odd, beside in _beside(colours)
    ]


@method(
    fields="none_seen odd_cabinet? ghost_cd_m2? ground_cd_m2? white_cd_m2?", limits="ghost_percent?"
)
def ghosting(data: CheckInput) -> Outcome:
    """Judge the light of a ghost over its ground as a share of the white that makes it."""
    for pattern, white in data.numbers("white_cd_m2").items():
        read = pattern in data.field("ghost_cd_m2") and pattern in data.field("ground_cd_m2")
        if read and white <= 0:
            raise RefusedError(f"the white of {pattern} is {white:g} cd/m2, expected above 0")
    placed = judged_places(
        data,
        "ghost over its ground, {}",
        *("ghost_cd_m2", "ground_cd_m2", "white_cd_m2"),
        by=lambda ghost, ground, white: 100 * (ghost - ground) / white,
        unit="% of the white",
        limit="ghost_percent",
        digits=2,
    )
    return with_answers(
        data,
        placed,
        leave_out={"ghost_cd_m2", "ground_cd_m2", "white_cd_m2"},
        next_step="Look for the setting that removes ghosts in the card's programme; look again.",
    )


def change_percent(now: float, then: float) -> float:
    """Return how much more one reading is than another, of that."""
    return 100 * (now / then - 1)


@method(
    fields="luminance_cd_m2 x y seam_grade unaided swap_min? who? where?",
    limits="luminance_percent colour seam_grade",
)
def module_swap(data: CheckInput) -> Outcome:
    """Judge what a changed module looks like, and that the client's person changed it alone."""
    levels, colours = data.field("luminance_cd_m2"), xy_readings(data)
    figures: list[Figure] = []
    if "before" in levels and levels["before"].number <= 0:
        return Outcome(
            Verdict.OPEN, "the old module's luminance must be above 0 to compare with it"
        )
    if {"before", "after"} <= levels.keys():
        name = "luminance of the new module against the old"
        pair, limit = (levels["after"], levels["before"]), data.limits["luminance_percent"]
        figures.append(
            j.judged_from(name, *pair, by=change_percent, unit="%", limit=limit, digits=2)
        )
    if {"before", "after"} <= colours.keys():
        name = "colour of the new module against the old, u'v'"
        limit = data.limits["colour"]
        figures.append(judged_step(name, colours["after"], colours["before"], limit=limit))
    name = "seams round the new module"
    figures += j.judged_at(data, name, "seam_grade", unit="grade", limit="seam_grade")
    helped = j.answered_no(data, "unaided")
    reason = j.phrased("Not done unaided" if helped else "", j.sentence_of(figures))
    step = "Load the correction of the new module, seat it again; let the person do it once more."
    return j.conclude(figures, reason, next_step=step, failed=helped)

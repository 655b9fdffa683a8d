"""A module changed: what the new one looks like beside the old."""

from __future__ import annotations

from commission_tui.checks import judgement as j
from commission_tui.checks.methods.light.chromaticity_limits import judged_step, xy_readings
from commission_tui.checks.model.types import CheckInput, Figure, Outcome, Verdict
from commission_tui.checks.registry import method


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

"""A module changed: what the new one looks like beside the old."""

from __future__ import annotations

from commission_tui.checks.error_budget import budget_of, function_budget, step_length_budget
from commission_tui.checks.judgement import answered_no, conclude, judged, sentence_of
from commission_tui.checks.methods.light.chromaticity_limits import uv_apart, uv_step, xy_readings
from commission_tui.checks.model.types import CheckInput, Figure, Outcome, Verdict
from commission_tui.checks.registry import method


def _change_percent(now: float, then: float) -> float:
    return 100 * (now / then - 1)


@method(
    "module_swap",
    fields=("luminance_cd_m2", "x", "y", "seam_grade", "unaided"),
    limits=("luminance_percent", "colour", "seam_grade"),
    optional_fields=("swap_min", "who", "where"),
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
        now, then = levels["after"], levels["before"]
        figures.append(
            judged(
                "luminance of the new module against the old",
                _change_percent(now.number, then.number),
                "%",
                limit=data.limits["luminance_percent"],
                expanded=function_budget(_change_percent, now, then),
                digits=2,
            )
        )
    if {"before", "after"} <= colours.keys():
        four = (*colours["after"], *colours["before"])
        figures.append(
            judged(
                "colour of the new module against the old, u'v'",
                uv_apart(*(reading.number for reading in four)),
                limit=data.limits["colour"],
                expanded=step_length_budget(uv_step, *four),
                digits=2,
            )
        )
    if grade := data.one("seam_grade"):
        limit = data.limits["seam_grade"]
        name = "seams round the new module"
        figures.append(judged(name, grade.number, "grade", limit=limit, expanded=budget_of(grade)))
    helped = bool(answered_no(data, "unaided"))
    reason = f"Not done unaided; {sentence_of(figures)}" if helped else sentence_of(figures)
    step = "Load the correction of the new module, seat it again; let the person do it once more."
    also = Verdict.FAIL if helped else None
    return conclude(figures, reason, next_step=step, also=also)

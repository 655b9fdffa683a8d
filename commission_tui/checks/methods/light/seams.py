"""Seams between cabinets: how they look from the seats, and how wide they gape."""

from __future__ import annotations

from collections import Counter

from commission_tui.checks import judgement as j
from commission_tui.checks.model.types import CheckInput, Figure, Outcome, Reading
from commission_tui.checks.places.places import seam_pitch_mm
from commission_tui.checks.registry import method
from commission_tui.engineering.light.photometry import seam_contrast
from commission_tui.text import listed


@method(fields="none_seen grade? line? gap_mm?", limits="grade gap_of_pitch_percent")
def seams(data: CheckInput) -> Outcome:
    """Weigh the look from the nearest seat with the graded seams and their gaps."""
    grades = j.judged_places(data, "grade of {}", "grade", limit="grade")
    gaps = gaps_of_pitch(data, "gap_of_pitch_percent")
    figures = [*grades[:1], *gaps[:1]]
    lines = Counter(str(r.value) for r in data.field("line").values())
    figures += [Figure(f"{it} seams", lines[it]) for it in ("dark", "bright") if lines[it]]
    step = (
        "Close the lock and clean the joint at the named seams first; correct edge pixels only "
        "when the mechanics are right."
    )
    unseen, remark = _look(data, j.bad_places(grades))
    reason = j.phrased(remark, j.clauses_of(figures)) if grades or gaps else remark
    where = j.bad_places([*grades, *gaps])
    return j.conclude(figures, reason, where=where, next_step=step, failed=not unseen)


def _look(data: CheckInput, seen: list[str]) -> tuple[bool, str]:
    """Compare the answer for the whole wall with the graded seams, which must not contradict it."""
    answer = data.one("none_seen")
    if answer is None:
        return True, ""
    if answer.value is True:
        if seen:
            return False, f"Said to be unseen from the nearest seat, yet graded: {listed(seen)}"
        return True, "No seam is seen from the nearest seat"
    if seen:
        return False, f"Seen from the nearest seat: {listed(seen)}"
    return False, "A seam is seen from the nearest seat, and none is graded so yet"


def gaps_of_pitch(data: CheckInput, limit: str) -> list[Figure]:
    """Judge each gap as a share of the pitch across its seam: the light that is missing there."""
    pitches = {seam: Reading(seam_pitch_mm(data.wall, seam)) for seam in data.field("gap_mm")}
    return j.judged_places(
        data,
        "gap against the pitch at {}",
        *("gap_mm", pitches),
        by=lambda gap, pitch: 100 * seam_contrast(gap, pitch),
        unit="%",
        limit=limit,
    )

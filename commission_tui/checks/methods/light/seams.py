"""Seams between cabinets: what is seen from the seats, and the gap behind it."""

from __future__ import annotations

from collections import Counter

from commission_tui.checks import judgement as j
from commission_tui.checks.error_budget import budget_of
from commission_tui.checks.model.types import CheckInput, Figure, Outcome
from commission_tui.checks.places.places import seam_pitch_mm
from commission_tui.checks.registry import method
from commission_tui.engineering.light.photometry import seam_contrast
from commission_tui.text import listed


@method(fields="none_seen grade? line? gap_mm?", limits="grade gap_of_pitch_percent")
def seams(data: CheckInput) -> Outcome:
    """Weigh the look from the nearest seat with the graded seams and their gaps."""
    grades = j.worst_first(
        j.judged(f"grade of {seam}", r.number, limit=data.limits["grade"], place=seam)
        for seam, r in data.field("grade").items()
    )
    gaps = j.worst_first(
        gap_of_pitch(data, at, "gap_of_pitch_percent") for at in data.field("gap_mm")
    )
    figures = [*grades[:1], *gaps[:1]]
    figures += _kinds(data)
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


def gap_of_pitch(data: CheckInput, seam: str, limit: str) -> Figure:
    """Judge a gap as a share of the pitch across its seam: the light that is missing there."""
    pitch = seam_pitch_mm(data.wall, seam)
    reading = data.field("gap_mm")[seam]
    return j.judged(
        f"gap against the pitch at {seam}",
        100 * seam_contrast(reading.number, pitch),
        "%",
        limit=data.limits[limit],
        expanded=budget_of(reading, 100 / pitch),
        place=seam,
    )


def _kinds(data: CheckInput) -> list[Figure]:
    count = Counter(str(r.value) for r in data.field("line").values())
    return [Figure(f"{kind} seams", count[kind]) for kind in ("dark", "bright") if count[kind]]

"""What holds the wall together: links of the load path, locks and the gaps between cabinets.

It compares numbers and approves nothing: the suspension is the competent person's, under local law.
"""

from __future__ import annotations

import math
from dataclasses import replace

from commission_tui.checks import judgement as j
from commission_tui.checks.error_budget import budget_of
from commission_tui.checks.methods.light.seams import gaps_of_pitch
from commission_tui.checks.methods.plain_limits import with_answers
from commission_tui.checks.model.types import CheckInput, Figure, Outcome, Verdict
from commission_tui.checks.registry import method
from commission_tui.engineering.numeric.bounds import RefusedError
from commission_tui.engineering.quality.samples import most_bad
from commission_tui.text import counted, listed
from commission_tui.wall.model.file_model import SuspensionPoint
from commission_tui.wall.model.location import Cell

_OUT_OF_REACH = "out of reach"
_STOP = (
    "Keep everybody out from under the wall and call the competent person; the named link is "
    "exchanged before anything is lifted again."
)


@method(
    fields="weakest_kn dynamic_factor unmarked weakest_link?", limits="of_weakest_percent unmarked"
)
def load_path(data: CheckInput) -> Outcome:
    """Hold the predicted load of each point, with its dynamic factor, against its weakest link."""
    words = "the dynamic factor of the calculation is not recorded yet"
    (factor,) = data.needed(words, "dynamic_factor")
    if factor.number < 1:
        raise RefusedError(f"the dynamic factor is {factor.number:g}, expected 1 or more")
    worst_first = j.worst_first(
        _link(data, point, point.predicted_kn * factor.number)
        for point in data.wall.file.suspension_points
        if point.predicted_kn is not None and data.one("weakest_kn", point.name)
    )
    if not worst_first:
        return Outcome(Verdict.OPEN, "no point has both a predicted load and a weakest link")
    unmarked = j.judged_at(data, "links without a mark", "unmarked", limit="unmarked")
    outcome = j.conclude(
        [*worst_first[:3], *unmarked], where=j.bad_places(worst_first), next_step=_STOP
    )
    # Repeating a figure is no answer where people stand below: the competent person decides.
    return replace(outcome, next_step=_STOP) if outcome.verdict is Verdict.MARGINAL else outcome


def _link(data: CheckInput, point: SuspensionPoint, load_kn: float) -> Figure:
    weakest = data.field("weakest_kn")[point.name]
    if weakest.number <= 0:
        raise RefusedError(f"the weakest link of {point.name} may carry {weakest.number:g} kN")
    share = 100 * load_kn / weakest.number
    return j.judged(
        f"predicted load against the weakest link at {point.name}",
        share,
        "%",
        limit=data.limits["of_weakest_percent"],
        budget=budget_of(weakest, share / weakest.number),
        place=point.name,
    )


@method(
    fields="torque_nm specified_nm marks_missing",
    limits="from_specified_percent sampled_percent marks_missing",
)
def lock_torque(data: CheckInput) -> Outcome:
    """Hold a sample of torques against the maker's value; one that fails asks for its whole row.

    A sample that is too small is not complete: it is open, and no failure of the locks.
    """
    words = "the maker's torque and a sample are needed"
    (specified,), torques = (
        data.needed(words, "specified_nm"),
        data.needed_field(words, "torque_nm"),
    )
    if specified.number <= 0:
        raise RefusedError(f"the maker's torque is {specified.number:g} N·m, expected more than 0")
    specified_nm = specified.number
    worst_first = j.judged_places(
        data,
        "torque from the maker's value at {}",
        "torque_nm",
        by=lambda nm: 100 * (nm - specified_nm) / specified_nm,
        unit="%",
        limit="from_specified_percent",
    )
    bad = j.bad_places(worst_first)
    figures = worst_first[:3]
    figures += j.judged_at(data, "torque marks missing", "marks_missing", limit="marks_missing")
    sampled = 100 * len(torques) / len(data.wall.cabinets)
    wanted = data.limits["sampled_percent"]
    failed = sum(figure.verdict is Verdict.FAIL for figure in worst_first)
    is_short = wanted.low is not None and sampled < wanted.low
    if wanted.low is not None and is_short and not failed:
        count = math.ceil(wanted.low * len(data.wall.cabinets) / 100)
        return Outcome(
            Verdict.OPEN,
            f"{len(torques)} of at least {counted(count, 'cabinet')} sampled; so far: {j.sentence_of(figures)}",
            tuple(figures),
            f"Sample at least {counted(count, 'cabinet')}; put back every torque mark that is missing.",
            j.worst_verdict(figure.verdict for figure in figures),
        )
    limit = None if is_short else wanted
    figures.append(j.judged("cabinets sampled", sampled, "%", limit=limit))
    lot = len(data.wall.cabinets)
    worse = most_bad(failed, len(torques), lot)
    figures.append(Figure("cabinets that may be out, with 95 % confidence", worse, digits=5))
    sample = (
        f"{failed} of {len(torques)} sampled are out, so at most {worse} of {lot} are, with 95 % "
        "confidence if the sample was drawn at random"
    )
    rows = sorted({Cell.parse(place).row for place in bad})
    named = listed([f"row {row}" for row in rows]) or "the named row"
    step = f"Torque every lock of {named}, mark it, and sample the rows beside it."
    return j.conclude(figures, f"{j.sentence_of(figures)}; {sample}", where=bad, next_step=step)


@method(fields="gap_mm", limits="of_pitch_percent")
def seam_gaps(data: CheckInput) -> Outcome:
    """Judge each gap as a share of the pitch: the light that is missing there; tell the sum."""
    data.needed_field("no gap is read yet", "gap_mm")
    worst_first = gaps_of_pitch(data, "of_pitch_percent")
    figures = worst_first[:10]
    figures += _accumulated(data, "right", data.wall.columns - 1, "width")
    figures += _accumulated(data, "bottom", data.wall.rows - 1, "height")
    step = "Open the lock at the named seams, clean the joint, close it and read again."
    return j.conclude(figures, where=j.bad_places(worst_first), next_step=step)


def _accumulated(data: CheckInput, edge: str, joints: int, what: str) -> list[Figure]:
    """Record what the mean gap adds to a side, to hold beside its measured size."""
    gaps = [r.number for seam, r in data.field("gap_mm").items() if seam.endswith(edge)]
    if not gaps or joints < 1:
        return []
    total = joints * math.fsum(gaps) / len(gaps)
    return [j.judged(f"what the gaps add to the {what}", total, "mm")]


@method(fields="height_mm reach", limits="out_of_reach_mm?")
def bottom_edge(data: CheckInput) -> Outcome:
    """Judge the height of an edge that is said to be out of reach; of one that is guarded record it."""
    words = "the height and what keeps people away are needed"
    height, reach = data.needed(words, "height_mm", "reach")
    limit = data.limits.get("out_of_reach_mm") if reach.value == _OUT_OF_REACH else None
    name = "floor to the lowest edge"
    return with_answers(
        data,
        [j.judged_from(name, height, unit="mm", limit=limit, digits=5, place="wall")],
        leave_out={"height_mm"},
        next_step="Guard the lowest row, or hang the wall higher, before people stand in front of it.",
    )

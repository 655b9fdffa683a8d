"""What holds the wall together: links of the load path, locks and the gaps between cabinets.

It compares numbers and approves nothing: the suspension is the competent person's, under local law.
"""

from __future__ import annotations

import math
from dataclasses import replace

from commission_tui.checks.error_budget import budget_of
from commission_tui.checks.judgement import (
    Placed,
    bad_places,
    conclude,
    judged,
    sentence_of,
    worst_first,
    worst_verdict,
)
from commission_tui.checks.methods.plain_limits import with_answers
from commission_tui.checks.model.types import CheckInput, Figure, Outcome, Reading, Verdict
from commission_tui.checks.registry import method
from commission_tui.engineering.light.photometry import seam_contrast
from commission_tui.engineering.quality.samples import most_bad
from commission_tui.engineering.structure.geometry import pitch_mm
from commission_tui.text import counted, listed
from commission_tui.wall.model.file_model import SuspensionPoint
from commission_tui.wall.model.location import Cell

_OUT_OF_REACH = "out of reach"
_STOP = (
    "Keep everybody out from under the wall and call the competent person; the named link is "
    "exchanged before anything is lifted again."
)


@method(
    "load_path",
    fields=("weakest_kn", "dynamic_factor", "unmarked"),
    limits=("of_weakest_percent", "unmarked"),
    optional_fields=("weakest_link",),
)
def load_path(data: CheckInput) -> Outcome:
    """Hold the predicted load of each point, with its dynamic factor, against its weakest link."""
    factor = data.one("dynamic_factor")
    if factor is None:
        return Outcome(Verdict.OPEN, "the dynamic factor of the calculation is not recorded yet")
    if factor.number < 1:
        raise ValueError(f"the dynamic factor is {factor.number:g}, expected 1 or more")
    points = {point.name: point for point in data.wall.file.suspension_points}
    read = [(points[name], reading) for name, reading in data.field("weakest_kn").items()]
    placed = [_link(data, p, r, factor.number) for p, r in read if p.predicted_kn is not None]
    if not placed:
        return Outcome(Verdict.OPEN, "no point has both a predicted load and a weakest link")
    order = worst_first(placed)
    figures = [figure for _, figure in order[:3]]
    unmarked = data.one("unmarked")
    if unmarked is not None:
        limit = data.limits["unmarked"]
        spread = budget_of(unmarked)
        figures.append(
            judged("links without a mark", unmarked.number, limit=limit, expanded=spread)
        )
    outcome = conclude(figures, where=bad_places(order), next_step=_STOP)
    # Repeating a figure is no answer where people stand below: the competent person decides.
    return replace(outcome, next_step=_STOP) if outcome.verdict is Verdict.MARGINAL else outcome


def _link(data: CheckInput, point: SuspensionPoint, weakest: Reading, factor: float) -> Placed:
    if weakest.number <= 0:
        raise ValueError(f"the weakest link of {point.name} may carry {weakest.number:g} kN")
    share = 100 * (point.predicted_kn or 0.0) * factor / weakest.number
    return point.name, judged(
        f"predicted load against the weakest link at {point.name}",
        share,
        "%",
        limit=data.limits["of_weakest_percent"],
        expanded=budget_of(weakest, share / weakest.number),
    )


@method(
    "lock_torque",
    fields=("torque_nm", "specified_nm", "marks_missing"),
    limits=("from_specified_percent", "sampled_percent", "marks_missing"),
)
def lock_torque(data: CheckInput) -> Outcome:
    """Hold a sample of torques against the maker's value; one that fails asks for its whole row."""
    specified, torques = data.one("specified_nm"), data.field("torque_nm")
    if specified is None or not torques:
        return Outcome(Verdict.OPEN, "the maker's torque and a sample are needed")
    if specified.number <= 0:
        raise ValueError(f"the maker's torque is {specified.number:g} N·m, expected more than 0")
    order = worst_first(_torque(data, at, r, specified.number) for at, r in torques.items())
    bad = bad_places(order)
    figures = [figure for _, figure in order[:3]]
    marks = data.one("marks_missing")
    if marks is not None:
        limit = data.limits["marks_missing"]
        figures.append(
            judged("torque marks missing", marks.number, limit=limit, expanded=budget_of(marks))
        )
    sampled = 100 * len(torques) / len(data.wall.cabinets)
    wanted = data.limits["sampled_percent"]
    if wanted.low is not None and sampled < wanted.low and not bad:
        count = math.ceil(wanted.low * len(data.wall.cabinets) / 100)
        return Outcome(
            Verdict.OPEN,
            f"{len(torques)} of at least {counted(count, 'cabinet')} sampled; so far: {sentence_of(figures)}",
            tuple(figures),
            f"Sample at least {counted(count, 'cabinet')}; put back every torque mark that is missing.",
            worst_verdict(figure.verdict for figure in figures),
        )
    figures.append(judged("cabinets sampled", sampled, "%", limit=wanted))
    failed = sum(figure.verdict is Verdict.FAIL for _, figure in order)
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
    return conclude(figures, f"{sentence_of(figures)}; {sample}", where=bad, next_step=step)


def _torque(data: CheckInput, place: str, reading: Reading, specified_nm: float) -> Placed:
    return place, judged(
        f"torque from the maker's value at {place}",
        100 * (reading.number - specified_nm) / specified_nm,
        "%",
        limit=data.limits["from_specified_percent"],
        expanded=budget_of(reading, 100 / specified_nm),
    )


@method("seam_gaps", fields=("gap_mm",), limits=("of_pitch_percent",))
def seam_gaps(data: CheckInput) -> Outcome:
    """Judge each gap as a share of the pitch: the light that is missing there; tell the sum."""
    readings = data.field("gap_mm")
    if not readings:
        return Outcome(Verdict.OPEN, "no gap is read yet")
    order = worst_first(_gap(data, seam, reading) for seam, reading in readings.items())
    figures = [figure for _, figure in order[:10]]
    figures += _accumulated(data, "right", data.wall.columns - 1, "width")
    figures += _accumulated(data, "bottom", data.wall.rows - 1, "height")
    step = "Open the lock at the named seams, clean the joint, close it and read again."
    return conclude(figures, where=bad_places(order), next_step=step)


def _gap(data: CheckInput, seam: str, reading: Reading) -> Placed:
    owner, _, edge = seam.partition(" ")
    cabinet = data.wall.cabinets[Cell.parse(owner)]
    across = (cabinet.width_mm, cabinet.width_px)
    pitch = pitch_mm(*(across if edge == "right" else (cabinet.height_mm, cabinet.height_px)))
    return seam, judged(
        f"gap against the pitch at {seam}",
        100 * seam_contrast(reading.number, pitch),
        "%",
        limit=data.limits["of_pitch_percent"],
        expanded=budget_of(reading, 100 / pitch),
    )


def _accumulated(data: CheckInput, edge: str, joints: int, what: str) -> list[Figure]:
    """Record what the mean gap adds to a side, to hold beside its measured size."""
    gaps = [r.number for seam, r in data.field("gap_mm").items() if seam.endswith(edge)]
    if not gaps or joints < 1:
        return []
    total = joints * math.fsum(gaps) / len(gaps)
    return [judged(f"what the gaps add to the {what}", total, "mm")]


@method(
    "bottom_edge",
    fields=("height_mm", "reach"),
    limits=(),
    optional_limits=("out_of_reach_mm",),
)
def bottom_edge(data: CheckInput) -> Outcome:
    """Judge the height of an edge that is said to be out of reach; of one that is guarded record it."""
    height, reach = data.one("height_mm"), data.one("reach")
    if height is None or reach is None:
        return Outcome(Verdict.OPEN, "the height and what keeps people away are needed")
    limit = data.limits.get("out_of_reach_mm") if reach.value == _OUT_OF_REACH else None
    figure = judged(
        "floor to the lowest edge",
        height.number,
        "mm",
        limit=limit,
        expanded=budget_of(height),
        digits=5,
    )
    return with_answers(
        data,
        [("wall", figure)],
        leave_out=frozenset({"height_mm"}),
        next_step="Guard the lowest row, or hang the wall higher, before people stand in front of it.",
    )

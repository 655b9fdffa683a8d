"""Load cells against what each point may carry and what was predicted.

It compares numbers and approves nothing: the suspension is the competent person's, under local law.
"""

from __future__ import annotations

import math
from dataclasses import replace

from commission_tui.checks import judgement as j
from commission_tui.checks.error_budget import budget_of
from commission_tui.checks.model.types import CheckInput, Figure, Outcome, Verdict
from commission_tui.checks.registry import method
from commission_tui.engineering.numeric.units import convert
from commission_tui.engineering.structure.suspension import compare_load_cells, rated_shares
from commission_tui.figures import shown
from commission_tui.wall.model.file_model import SuspensionPoint

_NO_APPROVAL = "a record, no approval"
_STOP = (
    "Keep everybody out from under the wall and call the competent person; touch nothing. "
    "Read every point again after the trim was changed."
)
_UNSURE = (
    "Ask the competent person before anything is changed; then read the named points again, "
    "with the wall at rest."
)


@method(fields="load_kn certificate?", limits="of_rated_percent from_predicted_percent")
def suspension_loads(data: CheckInput) -> Outcome:
    """Judge each load against its rating first, then against the engineer's prediction."""
    points = {point.name: point for point in data.wall.file.suspension_points}
    readings = data.needed_field("no load is read yet", "load_kn")
    slack = [name for name, reading in readings.items() if reading.number <= 0]
    read = [points[name] for name in readings]
    rated = j.worst_first(_of_rated(data, read))
    predicted, cause = _from_predicted(data, [p for p in read if p.predicted_kn])
    figures = [*rated[:1], *predicted[:1]]
    figures += _totals(data, complete=len(readings) == len(points))
    bad = [*slack, *j.bad_places([*rated, *predicted])]
    lead = bad[0] if bad else rated[0].place
    load = f"{lead} carries {shown(readings[lead].number)} kN"
    reason = j.phrased(load, j.clauses_of(figures), cause, _NO_APPROVAL)
    outcome = j.conclude(figures, reason, where=bad, next_step=_STOP, failed=slack)
    # Repeating a reading is not the technician's to decide where people stand below.
    return replace(outcome, next_step=_UNSURE) if outcome.verdict is Verdict.MARGINAL else outcome


def _of_rated(data: CheckInput, points: list[SuspensionPoint]) -> list[Figure]:
    """Judge each share at rest; what a moving wall adds is the competent person's to reckon."""
    loads = [max(0.0, data.field("load_kn")[point.name].number) for point in points]
    shares = rated_shares(loads, [point.rated_kn for point in points], dynamic_factor=1.0)
    return [
        _judged(data, point, "of_rated_percent", 100 * share.share, point.rated_kn)
        for point, share in zip(points, shares.points, strict=True)
    ]


def _from_predicted(data: CheckInput, points: list[SuspensionPoint]) -> tuple[list[Figure], str]:
    """Judge each difference, and tell an uneven trim from a weight that was not counted."""
    if not points:
        return [], ""
    limit = data.limits["from_predicted_percent"]
    tolerance = min(1.0, max(0.0, (limit.high or 0.0) / 100))
    found = compare_load_cells(
        [data.field("load_kn")[point.name].number for point in points],
        [point.predicted_kn or 0.0 for point in points],
        tolerance,
    )
    placed = [
        _judged(data, p, limit.name, 100 * cell.difference_share, p.predicted_kn or p.rated_kn)
        for p, cell in zip(points, found.points, strict=True)
        if cell.difference_share is not None
    ]
    cause = ""
    if found.total_beyond:
        cause = "the sums differ: a weight not counted, or a cell that reads wrong"
    elif found.beyond:
        cause = "the sums agree: uneven trim"
    return j.worst_first(placed), cause


_NAMES = {
    "of_rated_percent": "share of the rated load",
    "from_predicted_percent": "difference from the prediction",
}


def _judged(
    data: CheckInput, point: SuspensionPoint, limit: str, percent: float, of_kn: float
) -> Figure:
    reading = data.field("load_kn")[point.name]
    return j.judged(
        f"{_NAMES[limit]} at {point.name}",
        percent,
        "%",
        limit=data.limits[limit],
        budget=budget_of(reading, 100 / of_kn),
        place=point.name,
    )


def _totals(data: CheckInput, *, complete: bool) -> list[Figure]:
    """Return the sum of the cells beside the weight of the cabinets, once every cell is read."""
    if not complete:
        return []
    total = math.fsum(data.numbers("load_kn").values())
    return [
        j.judged("sum of the load cells", total, "kN"),
        j.judged("weight of the cabinets alone", convert(data.wall.weight_kg, "kgf", "kN"), "kN"),
    ]

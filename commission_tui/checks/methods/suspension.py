"""Load cells against what each point may carry and what was predicted.

It compares numbers and approves nothing: the suspension is the competent person's, under local law.
"""

from __future__ import annotations

import math
from dataclasses import replace

from commission_tui.checks.methods._judging import (
    Placed,
    bad_places,
    clauses,
    conclude,
    judged,
    ranked,
    shown,
)
from commission_tui.checks.registry import method
from commission_tui.checks.types import CheckInput, Figure, Outcome, Verdict
from commission_tui.engineering.units import convert
from commission_tui.wall.file_model import SuspensionPoint

_NO_APPROVAL = "a record, no approval"
_STOP = (
    "Keep everybody out from under the wall and call the competent person; touch nothing. "
    "Read every point again after the trim was changed."
)
_UNSURE = (
    "Ask the competent person before anything is changed; then read the named points again, "
    "with the wall at rest."
)


@method(
    "suspension_loads",
    fields=("load_kn",),
    limits=("of_rated_percent", "from_predicted_percent"),
    optional_fields=("certificate",),
)
def suspension_loads(data: CheckInput) -> Outcome:
    """Judge each load against its rating first, then against the engineer's prediction."""
    points = {point.name: point for point in data.wall.file.suspension_points}
    readings = data.field("load_kn")
    if not readings:
        return Outcome(Verdict.OPEN, "no load is read yet")
    slack = [name for name, reading in readings.items() if reading.number <= 0]
    rated = ranked(_of_rated(data, points[name]) for name in readings)
    predicted = ranked(
        _from_predicted(data, points[name]) for name in readings if points[name].predicted_kn
    )
    figures = [figure for _, figure in (*rated[:1], *predicted[:1])]
    figures += _totals(data, complete=len(readings) == len(points))
    bad = list(dict.fromkeys([*slack, *bad_places(rated), *bad_places(predicted)]))
    lead = bad[0] if bad else rated[0][0]
    load = shown(readings[lead].number)
    reason = f"{lead} carries {load} kN; {clauses(figures)}; {_NO_APPROVAL}"
    extra = Verdict.FAIL if slack else None
    outcome = conclude(figures, reason, where=bad, next_step=_STOP, also=extra)
    # Repeating a reading is not the technician's to decide where people stand below.
    return replace(outcome, next_step=_UNSURE) if outcome.verdict is Verdict.MARGINAL else outcome


def _of_rated(data: CheckInput, point: SuspensionPoint) -> Placed:
    return point.name, _percent(data, point, point.rated_kn, "rated")


def _from_predicted(data: CheckInput, point: SuspensionPoint) -> Placed:
    return point.name, _percent(data, point, point.predicted_kn or point.rated_kn, "predicted")


def _percent(data: CheckInput, point: SuspensionPoint, of_kn: float, what: str) -> Figure:
    reading = data.field("load_kn")[point.name]
    share = 100 * reading.number / of_kn
    is_rated = what == "rated"
    return judged(
        f"{'share of the rated load' if is_rated else 'difference from the prediction'} at {point.name}",
        share if is_rated else share - 100,
        "%",
        limit=data.limits["of_rated_percent" if is_rated else "from_predicted_percent"],
        expanded=None if reading.expanded is None else 100 * reading.expanded / of_kn,
    )


def _totals(data: CheckInput, *, complete: bool) -> list[Figure]:
    """Return the sum of the cells beside the weight of the cabinets, once every cell is read."""
    if not complete:
        return []
    total = math.fsum(data.numbers("load_kn").values())
    return [
        judged("sum of the load cells", total, "kN"),
        judged("weight of the cabinets alone", convert(data.wall.weight_kg, "kgf", "kN"), "kN"),
    ]

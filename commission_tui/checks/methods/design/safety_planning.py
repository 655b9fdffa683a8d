"""The design's circuits and its calculation of the suspension, on paper.

It computes to warn and approves nothing: that is the electrician's and the engineer's, under law.
"""

from __future__ import annotations

import math
from itertools import pairwise
from typing import TYPE_CHECKING

from commission_tui.checks import judgement as j
from commission_tui.checks.error_budget import budget_of
from commission_tui.checks.model.types import CheckInput, Figure, Outcome, Reading, Verdict
from commission_tui.checks.registry import method
from commission_tui.engineering.numeric.bounds import RefusedError
from commission_tui.engineering.numeric.units import convert
from commission_tui.engineering.power.phases import phase_imbalance
from commission_tui.engineering.structure.suspension import beam_reactions_kn
from commission_tui.figures import shown

if TYPE_CHECKING:
    from commission_tui.wall.review.design_review import CircuitLoad

_PHASES = 3
_ALIKE = 0.02
"""Loads within 2 % of each other look like the total shared out (common practice)."""
_MANY_POINTS = 3


@method(
    fields="cable_carries_a checked_by?",
    limits="of_breaker_percent breaker_of_cable_percent drop_percent imbalance_percent "
    "of_rated_residual_percent",
)
def power_schedule(data: CheckInput) -> Outcome:
    """Load every circuit with its cabinets' maximum, before a breaker has to."""
    # Here, not at the top: the review brings in arrays, which every start would pay for.
    from commission_tui.wall.review.design_review import review

    found = review(data.wall)
    if not found.circuits:
        return Outcome(Verdict.OPEN, "the wall file names no circuit yet")
    worst_first = j.worst_first(figure for one in found.circuits for figure in _shares(data, one))
    figures = j.worst_of_each_limit(worst_first)
    if len(found.phase_currents_a) == _PHASES:
        percent = 100 * phase_imbalance(list(found.phase_currents_a.values()))
        limit = data.limits["imbalance_percent"]
        figures.append(j.judged("imbalance of the phases by schedule", percent, "%", limit=limit))
    step = (
        "Have the electrician spread the cabinets over more circuits or change breaker and cable; "
        "re-issue the schedule. The local code decides."
    )
    return j.conclude(figures, where=j.bad_places(worst_first), next_step=step)


def _shares(data: CheckInput, circuit: CircuitLoad) -> list[Figure]:
    """Judge one circuit: breaker, cable, drop in the cable and standing leakage, where known."""
    name = circuit.name
    shares = [
        ("of_breaker_percent", "load of the breaker", circuit.current_a / circuit.breaker_a),
    ]
    if circuit.drop_v is not None:
        shares.append(("drop_percent", "drop in the cable", circuit.drop_v / circuit.voltage_v))
    if circuit.leakage_ma is not None and circuit.leakage_limit_ma:
        device_ma = next(
            c.circuit.residual_ma for c in data.wall.circuits if c.name == circuit.name
        )
        share = circuit.leakage_ma / (device_ma or math.inf)
        shares.append(("of_rated_residual_percent", "leakage of the residual device", share))
    placed: list[Figure] = [
        j.judged(f"{words} on {name}", 100 * share, "%", limit=data.limits[limit], place=name)
        for limit, words, share in shares
    ]
    cable = data.one("cable_carries_a", name)
    if cable is None:
        return placed
    if cable.number <= 0:
        raise RefusedError(f"the cable of {name} carries {cable.number:g} A, expected more")
    share = 100 * circuit.breaker_a / cable.number
    figure = j.judged(
        f"breaker against the cable's capacity on {name}",
        share,
        "%",
        limit=data.limits["breaker_of_cable_percent"],
        budget=budget_of(cable, share / cable.number),
        place=name,
    )
    return [*placed, figure]


@method(
    fields="signed mass_kg sharing reference? engineer? dynamic_factor?",
    limits="of_rated_percent predicted_from_mass_percent",
)
def structural_documents(data: CheckInput) -> Outcome:
    """Hold the calculation's figures against the wall file and each other; approve nothing."""
    (mass,) = data.needed("the mass of the calculation is not recorded yet", "mass_kg")
    cabinets_kg = data.wall.weight_kg
    figures = [
        j.right_or_wrong(
            "mass of the calculation", mass.number, "kg", ok=mass.number >= cabinets_kg, digits=5
        ),
        Figure("cabinets alone", cabinets_kg, "kg", digits=5),
    ]
    placed = _points(data)
    figures += placed[:1]
    figures += _sum_of_points(data, mass)
    figures += _as_a_beam(data)
    refused = j.refusals(data, {"signed": "the calculation is not signed by a competent engineer"})
    sharing, good = data.one("sharing"), data.good.get("sharing")
    if sharing and good and sharing.value not in good:
        refused.append(f"load is shared out {sharing.value}")
    doubts = [*refused]
    if mass.number < cabinets_kg:
        doubts.append(f"the calculation carries less than the cabinets' {shown(cabinets_kg, 4)} kg")
    loads = [load for _, load in _predicted(data)]
    if len(loads) >= _MANY_POINTS and max(loads) - min(loads) <= _ALIKE * max(loads):
        doubts.append(
            "all points get the same load: a stiff beam does not share so, ask the engineer"
        )
    return j.conclude(
        figures,
        j.phrased(*doubts, j.clauses_of(figures)),
        where=j.bad_places(placed),
        next_step="Ask the structural engineer; nothing is hung on the strength of this check.",
        failed=refused,
    )


def _points(data: CheckInput) -> list[Figure]:
    factor = data.one("dynamic_factor")
    times = 1.0 if factor is None else max(1.0, factor.number)
    return j.worst_first(
        j.judged(
            f"predicted load against the rating at {p.name}",
            100 * times * p.predicted_kn / p.rated_kn,
            "%",
            limit=data.limits["of_rated_percent"],
            place=p.name,
        )
        for p in data.wall.file.suspension_points
        if p.predicted_kn is not None
    )


def _predicted(data: CheckInput) -> list[tuple[float, float]]:
    """Return place and predicted load of each point; nothing unless every point has one."""
    points = data.wall.file.suspension_points
    pairs = [(p.x_mm, p.predicted_kn) for p in points if p.predicted_kn is not None]
    return sorted(pairs) if len(pairs) == len(points) else []


def _sum_of_points(data: CheckInput, mass: Reading) -> list[Figure]:
    points = _predicted(data)
    if not points or mass.number <= 0:
        return []
    total = math.fsum(load for _, load in points)
    weight = convert(mass.number, "kgf", "kN")
    share, limit = 100 * (total - weight) / weight, data.limits["predicted_from_mass_percent"]
    spread = budget_of(mass, 100 * total / weight / mass.number)
    name = "sum of the predicted loads against the stated mass"
    return [j.judged(name, share, "%", limit=limit, budget=spread)]


def _as_a_beam(data: CheckInput) -> list[Figure]:
    """Record the heaviest point of one stiff, level beam, as a check of sense only."""
    points = _predicted(data)
    if len(points) < _MANY_POINTS:
        return []
    left = data.wall.left_mm
    ends = (points[0][0] - left, left + data.wall.width_mm - points[-1][0])
    spans = [(b - a) / 1000 for (a, _), (b, _) in pairwise(points)]
    total = math.fsum(load for _, load in points)
    if min(ends) < 0 or total <= 0:
        return []
    length_m = data.wall.width_mm / 1000
    found = beam_reactions_kn(spans, total / length_m, (ends[0] / 1000, ends[1] / 1000))
    return [
        Figure("heaviest point of one stiff level beam", max(found.reactions_kn), "kN"),
        Figure("heaviest point predicted", max(load for _, load in points), "kN"),
    ]

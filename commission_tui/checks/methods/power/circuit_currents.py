"""Measured currents against what the circuits may and should carry.

It computes to warn: the judgement of an installation is the electrician's and the local code's.
"""

from __future__ import annotations

import math
from functools import partial
from typing import TYPE_CHECKING, Any

from commission_tui.checks import judgement as j
from commission_tui.checks.error_budget import monte_carlo_budget
from commission_tui.checks.methods.plain_limits import with_answers
from commission_tui.checks.model.types import CheckInput, Figure, Outcome, Reading, Verdict
from commission_tui.checks.registry import method
from commission_tui.engineering.numeric.bounds import RefusedError
from commission_tui.engineering.power.circuits import (
    continuous_limit_a,
    current_a,
    leakage_limit_ma,
)
from commission_tui.engineering.power.phases import (
    assign_phases,
    neutral_current_a,
    phase_imbalance,
)
from commission_tui.figures import shown
from commission_tui.text import listed
from commission_tui.wall.model.wall_model import ResolvedCircuit

if TYPE_CHECKING:
    from commission_tui.engineering.numeric.monte_carlo import Rows

_PHASES = 3
_TRIP_TIMES = ("trip_ms", "five_ms")
_SELECTIVE = "selective"
_BARE = "leakage without a high-integrity protective conductor on {}"


@method(fields="current_a house_a?", limits="of_breaker_percent of_designed_percent")
def circuit_currents(data: CheckInput) -> Outcome:
    """Hold each current against its breaker and against the cabinets it should feed."""
    readings = data.needed_field("no current on white is read yet", "current_a")
    circuits = {c.name: c for c in data.wall.circuits if c.name in readings}
    breaker_a = {name: Reading(circuit.circuit.breaker_a) for name, circuit in circuits.items()}
    designed_a = {name: Reading(designed_current_a(data, c)) for name, c in circuits.items()}
    shares = partial(j.judged_places, data, by=_share, unit="%")
    name, limit = "share of the breaker on {}", "of_breaker_percent"
    of_breaker = shares(name, "current_a", breaker_a, limit=limit)
    name, limit = "share of the designed current on {}", "of_designed_percent"
    of_design = shares(name, "current_a", designed_a, limit=limit)
    top = max(readings, key=lambda name: readings[name].number)
    figures = [
        *(*of_breaker[:1], *of_design[:1]),
        Figure(f"highest current, {top}", readings[top].number, "A", readings[top].expanded),
        _continuous(data, circuits[top]),
        *_at_house_level(data),
    ]
    reason = f"Highest current {shown(readings[top].number)} A on {top}; {j.clauses_of(figures)}"
    if dimmer_draws_more := _dimmer_draws_more(data):
        named = listed(dimmer_draws_more, 3)
        reason = f"The house level draws more than full white on {named}: one was misread. {reason}"
        return j.conclude(
            figures,
            reason,
            where=dimmer_draws_more,
            next_step=f"Read both again on {named}.",
            failed=dimmer_draws_more,
        )
    step = (
        "Have the electrician compare the named circuits with the schedule and spread the cabinets "
        "or lower the level; the local code decides what a circuit may carry."
    )
    where = j.bad_places([*of_breaker, *of_design])
    return j.conclude(figures, reason, where=where, next_step=step)


def designed_current_a(data: CheckInput, circuit: ResolvedCircuit) -> float:
    """Return the current of a circuit's cabinets at their maximum, from the wall file."""
    kinds = [data.wall.cabinets[cell].kind for cell in circuit.cells]
    voltage_v = circuit.circuit.voltage_v
    return math.fsum(current_a(k.power_max_w, voltage_v, k.power_factor) for k in kinds)


def _share(amps: float, whole: float) -> float:
    return 100 * amps / whole


def _continuous(data: CheckInput, circuit: ResolvedCircuit) -> Figure:
    """Record what the breaker may carry for hours at the agreed share."""
    share = data.limits["of_breaker_percent"].high
    factor = 1.0 if share is None else min(1.0, max(share, 1.0) / 100)
    amps = continuous_limit_a(circuit.circuit.breaker_a, factor)
    return Figure(f"continuous limit of {circuit.name}", amps, "A")


def _at_house_level(data: CheckInput) -> list[Figure]:
    readings = data.field("house_a")
    if not readings:
        return []
    top = max(readings, key=lambda name: readings[name].number)
    name = f"highest current at house level, {top}"
    return [Figure(name, readings[top].number, "A", readings[top].expanded)]


def _dimmer_draws_more(data: CheckInput) -> list[str]:
    """Return the circuits whose readings contradict each other: full white is the most that a wall draws."""
    white = data.field("current_a")
    return [
        name
        for name, house in data.field("house_a").items()
        if name in white
        and house.number - (house.expanded or 0.0)
        > white[name].number + (white[name].expanded or 0.0)
    ]


@method(fields="phase_current_a", limits="imbalance_percent")
def phase_balance(data: CheckInput) -> Outcome:
    """Judge the largest deviation from the mean, and tell what the neutral carries."""
    phases = data.expected["phase_current_a"]
    if len(phases) < _PHASES:
        return Outcome(Verdict.NOT_APPLICABLE, f"this wall is fed from {' and '.join(phases)} only")
    readings = data.field("phase_current_a")
    if len(readings) < _PHASES:
        return Outcome(Verdict.OPEN, "all three phases are needed")
    amps = [readings[phase].number for phase in phases]
    figures = [
        j.judged(
            "imbalance of the phases",
            100 * phase_imbalance(amps),
            "%",
            limit=data.limits["imbalance_percent"],
            budget=monte_carlo_budget(
                _imbalance, _imbalances, *(readings[phase] for phase in phases)
            ),
        ),
        j.judged(
            "neutral, if the currents are in phase and without harmonics",
            neutral_current_a(amps),
            "A",
        ),
        j.judged("mean of the phases", math.fsum(amps) / _PHASES, "A"),
    ]
    mean = figures[-1].value
    in_order = sorted(phases, key=lambda phase: -abs(readings[phase].number - mean))
    step = "Have the electrician move whole circuits from the highest phase to the lowest."
    return j.conclude(figures, where=in_order[:1], next_step=f"{step} {_moves(data)}".strip())


def _moves(data: CheckInput) -> str:
    """Name the circuits to move, fewest first, and what is left of the imbalance then."""
    limit = data.limits["imbalance_percent"].high
    measured = data.beside.get("current_a", {})
    circuits = data.wall.circuits
    amps = [
        measured[c.name].number if c.name in measured else designed_current_a(data, c)
        for c in circuits
    ]
    if limit is None or limit < 0 or min(amps, default=-1.0) < 0 or not sum(amps) > 0:
        return ""
    present = [circuit.circuit.phase for circuit in circuits]
    found = assign_phases(amps, present=present, target=limit / 100)
    moves = [f"{circuits[i].name} from {present[i]} to {found.phases[i]}" for i in found.moved]
    if not moves:
        return ""
    by = "as measured" if measured else "by the wall file"
    return (
        f"With the circuits' currents {by}: {listed(moves)}; the imbalance is then "
        f"{shown(100 * found.imbalance, 2)} %."
    )


def _imbalance(*amps: float) -> float:
    return 100 * phase_imbalance([max(amp, 0.0) for amp in amps])


def _imbalances(amps: Rows) -> Any:
    """Return the imbalance of each trial: which phase is farthest from the mean is not certain."""
    mean = (amps[0] + amps[1] + amps[2]) / _PHASES
    found: Rows = 100 * abs(amps - mean).max(axis=0) / mean
    return found


@method(fields="leakage_ma high_integrity?", limits="of_rated_residual_percent high_integrity_ma?")
def earth_leakage(data: CheckInput) -> Outcome:
    """Hold the standing leakage of each protected circuit against its device."""
    rated = {c.name: c.circuit.residual_ma for c in data.wall.circuits}
    found = data.field("leakage_ma")
    for name, reading in found.items():
        if reading.number < 0:
            raise RefusedError(f"leakage of {name} is {reading.number:g} mA, expected 0 mA or more")
    devices = {name: Reading(amps) for name in found if (amps := rated[name]) is not None}
    words, limit = "share of the rated residual current on {}", "of_rated_residual_percent"
    how = partial(j.judged_places, data, by=_share, unit="%", limit=limit)
    placed = how(words, "leakage_ma", devices)
    if not placed:
        return Outcome(Verdict.OPEN, "no leakage is read yet")
    worst = placed[0].place
    bare = _single_conductors(data)
    figures = [placed[0], *_allowed(data, worst, rated[worst])]
    figures += [figure for figure in bare[:1] if figure.verdict is not Verdict.PASS]
    reason = f"Highest leakage {shown(found[worst].number)} mA on {worst}; {j.clauses_of(figures)}"
    step = (
        "Have the electrician put fewer supplies behind the device, or fit another device where "
        "the local code allows it."
    )
    return j.conclude(figures, reason, where=j.bad_places([*placed, *bare]), next_step=step)


def _single_conductors(data: CheckInput) -> list[Figure]:
    """Judge the leakage of circuits not said to have a protective conductor of high integrity."""
    limit = data.limits.get("high_integrity_ma")
    if limit is None or limit.high is None:
        return []
    sure = {name for name, r in data.field("high_integrity").items() if r.value is True}
    return j.judged_places(data, _BARE, "leakage_ma", but=sure, unit="mA", limit=limit)


def _allowed(data: CheckInput, circuit: str, device_ma: float | None) -> list[Figure]:
    share = data.limits["of_rated_residual_percent"].high
    if device_ma is None or share is None or not 0 < share <= 100:
        return []
    allowed = leakage_limit_ma(device_ma, share / 100)
    return [Figure(f"standing leakage allowed on {circuit}", allowed, "mA")]


@method(
    fields="trip_ms five_ms? kind? buttons_work?",
    limits="trip_ms selective_ms five_ms? selective_five_ms?",
)
def residual_device_times(data: CheckInput) -> Outcome:
    """Hold each trip time against the times of its kind of device, at one and at five times."""
    placed = []
    for name in _TRIP_TIMES:
        for place, reading in data.field(name).items():
            limit, words = name, j.placed_label(data, name, place)
            if data.says("kind", _SELECTIVE, place):
                limit, words = f"selective_{name.removeprefix('trip_')}", f"{words}, selective"
            bound = data.limits.get(limit)
            placed.append(j.judged_from(words, reading, unit="ms", limit=bound, place=place))
    return with_answers(
        data,
        placed,
        leave_out=_TRIP_TIMES,
        next_step="Have the electrician exchange the named devices and test the new ones three times.",
    )

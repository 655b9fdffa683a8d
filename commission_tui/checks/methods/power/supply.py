"""The supply as measured: bonds, voltages, neutral, cold start and warm terminals.

It computes to warn: the judgement of an installation is the electrician's and the local code's.
"""

from __future__ import annotations

import math
import operator
from dataclasses import replace
from functools import partial
from itertools import chain

from commission_tui.checks import judgement as j
from commission_tui.checks.error_budget import budget_of
from commission_tui.checks.methods.power.circuit_currents import designed_current_a
from commission_tui.checks.model.types import CheckInput, Figure, Limit, Outcome, Reading, Verdict
from commission_tui.checks.registry import method
from commission_tui.engineering.numeric.bounds import RefusedError
from commission_tui.engineering.power import conductors
from commission_tui.engineering.power.circuits import inrush_groups, instantaneous_trip_a
from commission_tui.engineering.power.phases import neutral_current_a, neutral_sizing_a
from commission_tui.figures import shown
from commission_tui.text import counted, listed
from commission_tui.wall.model.wall_model import ResolvedCircuit

_PHASES = ("L1", "L2", "L3")
_CURVES = frozenset("BCD")
_FREE_PERCENT, _BY_NEUTRAL_PERCENT = 15.0, 33.0
"""Third harmonic to which the line current counts as it is, and from which the neutral's counts."""
_ELECTRICIAN = "local code and the electrician decide"


@method(fields="bond_ohm lead_ohm truss_bonded? conductor_m? conductor_mm2?", limits="bond_ohm")
def earth_bond(data: CheckInput) -> Outcome:
    """Hold each bond, test lead taken off, against the limit and what its conductor itself has."""
    (lead,) = data.needed("the resistance of the test lead is not read yet", "lead_ohm")
    conductor = _conductor_ohm(data)
    limit = data.limits["bond_ohm"]
    if conductor and limit.high is not None:
        limit = replace(limit, high=limit.high + conductor)
    for place, reading in data.needed_field("no bond is read yet", "bond_ohm").items():
        if reading.number < lead.number:
            raise RefusedError(f"{place} reads less than the test lead alone ({lead.number:g} ohm)")
    how = partial(j.judged_places, data, by=operator.sub, unit="ohm", limit=limit)
    worst_first = how("bond at {}", "bond_ohm", lead)
    figures = worst_first[:3]
    if conductor:
        figures.append(j.judged("bonding conductor by its length", conductor, "ohm"))
    step = (
        "Have the electrician clean the painted joint, fit a bonding strap and test again before "
        "anything is powered."
    )
    unbonded = j.refusals(data, {"truss_bonded": "truss or base not bonded"})
    reason, where = j.phrased(*unbonded, j.clauses_of(figures)), j.bad_places(worst_first)
    return j.conclude(figures, reason, where=where, next_step=step, failed=unbonded)


def _conductor_ohm(data: CheckInput) -> float:
    length, area = data.one("conductor_m"), data.one("conductor_mm2")
    if length is None or area is None:
        return 0.0
    per_km = conductors.conductor_resistance_ohm_km(area_mm2=area.number, temperature_c=20.0)
    return per_km * length.number / 1000


@method(fields="idle_v white_v", limits="from_nominal_percent drop_percent")
def circuit_voltages(data: CheckInput) -> Outcome:
    """Hold each voltage against the nominal one, and what full white takes off it."""
    worst_first = j.worst_first(
        figure for one in data.wall.circuits for figure in _voltages(data, one)
    )
    if not worst_first:
        return Outcome(Verdict.OPEN, "no voltage is read yet")
    figures = j.worst_of_each_limit(worst_first) + _scheduled_drop(data, worst_first[0].place)
    step = (
        "Have the electrician read at the origin too: a low origin is the supply's, a large drop "
        "the cable's or a terminal's."
    )
    return j.conclude(figures, where=j.bad_places(worst_first), next_step=step)


def _voltages(data: CheckInput, circuit: ResolvedCircuit) -> list[Figure]:
    name, nominal = circuit.name, circuit.circuit.voltage_v

    def percent(volts: float, other: float = nominal) -> float:
        return 100 * (volts - other) / nominal

    how = partial(j.judged_at, data, at=name, by=percent, unit="%")
    off, drop = "from_nominal_percent", "drop_percent"
    return [
        *how(f"voltage idle from nominal on {name}", "idle_v", limit=off),
        *how(f"voltage on white from nominal on {name}", "white_v", limit=off),
        *how(f"drop from idle to white on {name}", "idle_v", "white_v", limit=drop),
    ]


def _scheduled_drop(data: CheckInput, name: str) -> list[Figure]:
    """Record what the schedule's cable would lose, where the wall file states it."""
    circuit = next(c for c in data.wall.circuits if c.name == name)
    cable = circuit.circuit
    if not cable.length_m or (cable.cable_mm2 is None and cable.cable_awg is None):
        return []
    volts = conductors.voltage_drop_v(
        designed_current_a(data, circuit),
        cable.length_m,
        area_mm2=cable.cable_mm2,
        awg=cable.cable_awg,
    )
    share = 100 * volts / cable.voltage_v
    return [Figure(f"drop by the schedule's cable on {name}", share, "%")]


@method(
    fields="neutral_a neutral_rated_a third_percent thdi_percent?",
    limits="of_rated_percent third_percent?",
)
def neutral_current(data: CheckInput) -> Outcome:
    """Hold the neutral against its conductor, as the third harmonic says that it is chosen."""
    words = "neutral, its conductor's rating and third harmonic are needed"
    neutral, rated, third = data.needed(words, "neutral_a", "neutral_rated_a", "third_percent")
    if rated.number <= 0:
        raise RefusedError(f"the neutral's rating is {rated.number:g} A, expected more than 0 A")
    rated_a, harmonic = rated.number, min(1.0, max(0.0, third.number / 100))
    phases = [*_schedule_amps(data).values()]
    scheduled_a = neutral_current_a(phases, harmonic, true_rms=True)
    figures = [
        *j.judged_at(
            data,
            "neutral current against its conductor's rating",
            "neutral_a",
            by=lambda amps: 100 * amps / rated_a,
            unit="%",
            limit="of_rated_percent",
        ),
        *_sized(data, neutral, rated_a, third),
        *j.judged_at(
            data,
            "third harmonic of the fundamental",
            "third_percent",
            unit="%",
            limit="third_percent",
        ),
        Figure("neutral that the schedule and this harmonic give", scheduled_a, "A"),
    ]
    step = (
        "Have the electrician choose the feeder by the named current and look for supplies without "
        f"power-factor correction; {_ELECTRICIAN}."
    )
    return j.conclude(figures, next_step=step)


def _sized(data: CheckInput, neutral: Reading, rated_a: float, third: Reading) -> list[Figure]:
    """Judge the current that the cable is chosen by once the third harmonic calls for care.

    Where the harmonic's uncertainty reaches into another row of the table, the severer row counts.
    """
    line = _highest_line(data)

    def sizing(share: float) -> float:
        share = min(1.0, max(0.0, share / 100))
        return neutral_sizing_a(max(0.0, line.number), max(0.0, neutral.number), share)

    reach = third.expanded or 0.0
    share = max((third.number + step for step in (0.0, -reach, reach)), key=sizing)
    if share <= _FREE_PERCENT:
        return []
    by = line if share <= _BY_NEUTRAL_PERCENT else neutral
    factor = sizing(share) / by.number if by.number > 0 else 1.0
    of = "line" if by is line else "neutral"
    return [
        j.judged(
            f"{of} current over the factor for this harmonic, of the conductor's rating",
            100 * sizing(share) / rated_a,
            "%",
            limit=data.limits["of_rated_percent"],
            budget=budget_of(by, 100 * factor / rated_a),
        )
    ]


def _highest_line(data: CheckInput) -> Reading:
    """Return the highest phase current: as read, else by the schedule."""
    if measured := data.beside.get("phase_current_a"):
        return max(measured.values(), key=lambda reading: reading.number)
    return Reading(max(_schedule_amps(data).values()), "A")


def _schedule_amps(data: CheckInput) -> dict[str, float]:
    amps = dict.fromkeys(_PHASES, 0.0)
    for circuit in data.wall.circuits:
        amps[circuit.circuit.phase] += designed_current_a(data, circuit)
    return amps


@method(fields="breakers_held sequence_delay_s curve opened?")
def cold_start(data: CheckInput) -> Outcome:
    """Require every breaker to hold at every start, and tell what the inrush asks for."""
    opened = j.answered_no(data, "breakers_held")
    tried = len(data.field("breakers_held"))
    figures = [j.count_right("starts with every breaker held", tried, opened, digits=3)]
    curve = data.one("curve")
    remark = ""
    if curve is not None:
        extra, remark = _inrush(data, str(curve.value))
        figures += extra
    delay = data.one("sequence_delay_s")
    if delay is not None:
        figures.append(j.judged("delay from group to group", delay.number, "s"))
    reason = (
        f"A breaker opened at {listed(opened)}"
        if opened
        else f"{tried} of {counted(tried, 'start')} held"
    )
    step = (
        f"Have the electrician set a sequence or fit another curve; {_ELECTRICIAN}. Then three more "
        "starts from cold."
    )
    return j.conclude(figures, f"{reason}{remark}", where=opened, next_step=step)


def _inrush(data: CheckInput, curve: str) -> tuple[list[Figure], str]:
    """Say in how many groups the heaviest circuit stays below its breaker's quick trip."""
    known = []
    for circuit in data.wall.circuits:
        peaks = [data.wall.cabinets[cell].kind.inrush_a for cell in circuit.cells]
        amps = [peak for peak in peaks if peak is not None]
        if amps and curve in _CURVES:
            known.append((math.fsum(amps), circuit, amps))
    if not known:
        return [], ""
    total, circuit, amps = max(known, key=lambda item: item[0] / item[1].circuit.breaker_a)
    trips_a, _ = instantaneous_trip_a(circuit.circuit.breaker_a, curve)
    figures = [
        Figure(f"inrush of {circuit.name}, all cabinets at once", total, "A"),
        Figure(f"lowest quick trip of {circuit.name}, curve {curve}", trips_a, "A"),
    ]
    if max(amps) > trips_a:
        return figures, f"; one cabinet's inrush alone may open {circuit.name}"
    groups = len(inrush_groups(amps, trips_a))
    figures.append(Figure(f"groups that keep {circuit.name} below it", groups))
    return figures, f"; {circuit.name} is safe from its quick trip in {groups} groups, peaks added"


@method(
    fields="hottest_c like_c load_percent",
    limits="above_like_k repair_now_k load_percent investigate_k?",
)
def thermal_image(data: CheckInput) -> Outcome:
    """Hold each circuit's hottest terminal against a like one, at the load of full white.

    A rise grows with the square of the current: what was read at a smaller load is brought to what
    the wall file's cabinets draw at most.
    """
    words = "temperatures and load are needed"
    (load,), hot = data.needed(words, "load_percent"), data.needed_field(words, "hottest_c")
    rises = (_rise(data, name, load.number) for name in hot if load.number > 0)
    worst_first = j.worst_first(chain.from_iterable(rises))
    if not worst_first:
        return Outcome(Verdict.OPEN, words)
    now = _above(worst_first, data.limits["repair_now_k"])
    bad = j.bad_places(worst_first)
    look = [
        name for name in _above(worst_first, data.limits.get("investigate_k")) if name not in bad
    ]
    figures = worst_first[:3]
    figures += j.judged_at(
        data, "load during the image", "load_percent", unit="%", limit="load_percent"
    )
    phrases = [
        f"more than {shown(data.limits[limit].high or 0.0)} K above a like terminal: {listed(names)}"
        for names, limit in ((now, "repair_now_k"), (look, "investigate_k"))
        if names
    ]
    outcome = j.conclude(
        figures,
        j.phrased(*phrases, j.clauses_of(figures)),
        where=[*bad, *look],
        next_step=_terminal_step(now),
        also=Verdict.MARGINAL if look else None,
    )
    only_look = outcome.verdict is Verdict.MARGINAL and not outcome.next_step
    return replace(outcome, next_step=_terminal_step([])) if only_look else outcome


def _above(worst_first: list[Figure], limit: Limit | None) -> list[str]:
    high = math.inf if limit is None or limit.high is None else limit.high
    return [figure.place for figure in worst_first if figure.value > high]


def _terminal_step(now: list[str]) -> str:
    if now:
        return (
            f"Switch {listed(now)} off now and have the electrician repair it before anything else."
        )
    return f"Have the electrician isolate, clean and re-torque the named terminals; {_ELECTRICIAN}."


def _rise(data: CheckInput, name: str, load: float) -> list[Figure]:
    """Judge one rise at the highest load that its circuit will carry."""
    circuit = next((one for one in data.wall.circuits if one.name == name), None)
    most = 0.0
    if circuit is not None:
        most = 100 * designed_current_a(data, circuit) / circuit.circuit.breaker_a
    times = max(1.0, most / load) ** 2
    return j.judged_at(
        data,
        f"hottest terminal above a like one on {name}, at full white",
        *("hottest_c", "like_c"),
        at=name,
        by=lambda warm, other: times * (warm - other),
        unit="K",
        limit="above_like_k",
    )

"""The supply as measured: bonds, voltages, neutral, cold start and warm terminals.

It computes to warn: the judgement of an installation is the electrician's and the local code's.
"""

from __future__ import annotations

import math
from dataclasses import replace

from commission_tui.checks.error_budget import as_read, carried
from commission_tui.checks.judgement import (
    Placed,
    bad_places,
    clauses,
    conclude,
    judged,
    noes,
    plain,
    ranked,
    sentence,
    worst_of_each,
)
from commission_tui.checks.methods.power.circuit_currents import designed_current_a
from commission_tui.checks.model.types import CheckInput, Figure, Limit, Outcome, Reading, Verdict
from commission_tui.checks.registry import method
from commission_tui.engineering.power.power import (
    conductor_resistance_ohm_km,
    inrush_groups,
    instantaneous_trip_a,
    neutral_current_a,
    voltage_drop_v,
)
from commission_tui.figures import shown
from commission_tui.text import counted, listed, upper_first
from commission_tui.wall.model.wall_model import ResolvedCircuit

_PHASES = ("L1", "L2", "L3")
_CURVES = frozenset("BCD")
_ELECTRICIAN = "local code and the electrician decide"


def _less(value: float, other: float = 0.0) -> float:
    return value - other


@method(
    "earth_bond",
    fields=("bond_ohm", "lead_ohm"),
    limits=("bond_ohm",),
    optional_fields=("truss_bonded", "conductor_m", "conductor_mm2"),
)
def earth_bond(data: CheckInput) -> Outcome:
    """Hold each bond, test lead taken off, against the limit and what its conductor itself has."""
    lead = data.one("lead_ohm")
    if lead is None:
        return Outcome(Verdict.OPEN, "the resistance of the test lead is not read yet")
    conductor = _conductor_ohm(data)
    limit = data.limits["bond_ohm"]
    if conductor and limit.high is not None:
        limit = replace(limit, high=limit.high + conductor)
    placed = []
    for place, reading in data.field("bond_ohm").items():
        own = reading.number - lead.number
        if own < 0:
            raise ValueError(f"{place} reads less than the test lead alone ({lead.number:g} ohm)")
        name = f"bond at {place}"
        spread = carried(_less, reading, lead)
        placed.append((place, judged(name, own, "ohm", limit=limit, expanded=spread)))
    if not placed:
        return Outcome(Verdict.OPEN, "no bond is read yet")
    order = ranked(placed)
    figures = [figure for _, figure in order[:3]]
    if conductor:
        figures.append(judged("bonding conductor by its length", conductor, "ohm"))
    step = (
        "Have the electrician clean the painted joint, fit a bonding strap and test again before "
        "anything is powered."
    )
    unbonded = noes(data, "truss_bonded")
    reason = f"Truss or base not bonded; {clauses(figures)}" if unbonded else sentence(figures)
    extra = Verdict.FAIL if unbonded else None
    return conclude(figures, reason, where=bad_places(order), next_step=step, also=extra)


def _conductor_ohm(data: CheckInput) -> float:
    length, area = data.one("conductor_m"), data.one("conductor_mm2")
    if length is None or area is None:
        return 0.0
    per_km = conductor_resistance_ohm_km(area_mm2=area.number, temperature_c=20.0)
    return per_km * length.number / 1000


@method(
    "circuit_voltages",
    fields=("idle_v", "white_v"),
    limits=("from_nominal_percent", "drop_percent"),
)
def circuit_voltages(data: CheckInput) -> Outcome:
    """Hold each voltage against the nominal one, and what full white takes off it."""
    placed: list[Placed] = []
    for circuit in data.wall.circuits:
        placed += _voltages(data, circuit)
    if not placed:
        return Outcome(Verdict.OPEN, "no voltage is read yet")
    order = ranked(placed)
    bad = list(dict.fromkeys(bad_places(order)))
    figures = worst_of_each([figure for _, figure in order])
    figures += _scheduled_drop(data, order[0][0])
    step = (
        "Have the electrician read at the origin too: a low origin is the supply's, a large drop "
        "the cable's or a terminal's."
    )
    return conclude(figures, where=bad, next_step=step)


def _voltages(data: CheckInput, circuit: ResolvedCircuit) -> list[Placed]:
    nominal = circuit.circuit.voltage_v
    idle, white = data.one("idle_v", circuit.name), data.one("white_v", circuit.name)
    found: list[Placed] = []
    for words, reading in (("idle", idle), ("on white", white)):
        if reading is not None:
            name = f"voltage {words} from nominal on {circuit.name}"
            off = 100 * (reading.number - nominal) / nominal
            found.append(_percent(data, circuit, name, off, "from_nominal_percent", reading))
    if idle is not None and white is not None:
        drop = 100 * (idle.number - white.number) / nominal
        name = f"drop from idle to white on {circuit.name}"
        found.append(_percent(data, circuit, name, drop, "drop_percent", idle, white))
    return found


def _percent(
    data: CheckInput,
    circuit: ResolvedCircuit,
    name: str,
    percent: float,
    limit: str,
    *readings: Reading,
) -> Placed:
    nominal = circuit.circuit.voltage_v
    spread = carried(lambda *volts: 100 * _less(*volts) / nominal, *readings)
    return circuit.name, judged(name, percent, "%", limit=data.limits[limit], expanded=spread)


def _scheduled_drop(data: CheckInput, name: str) -> list[Figure]:
    """Record what the schedule's cable would lose, where the wall file states it."""
    circuit = next(c for c in data.wall.circuits if c.name == name)
    cable = circuit.circuit
    if not cable.length_m or (cable.cable_mm2 is None and cable.cable_awg is None):
        return []
    volts = voltage_drop_v(
        designed_current_a(data, circuit),
        cable.length_m,
        area_mm2=cable.cable_mm2,
        awg=cable.cable_awg,
    )
    share = 100 * volts / cable.voltage_v
    return [Figure(f"drop by the schedule's cable on {name}", share, "%")]


@method(
    "neutral_current",
    fields=("neutral_a", "neutral_rated_a", "third_percent"),
    limits=("of_rated_percent", "third_percent"),
    optional_fields=("thdi_percent",),
)
def neutral_current(data: CheckInput) -> Outcome:
    """Hold the neutral against its conductor, and the third harmonic against what calls for care."""
    neutral, rated = data.one("neutral_a"), data.one("neutral_rated_a")
    third = data.one("third_percent")
    if neutral is None or rated is None or third is None:
        return Outcome(
            Verdict.OPEN, "neutral, its conductor's rating and third harmonic are needed"
        )
    if rated.number <= 0:
        raise ValueError(f"the neutral's rating is {rated.number:g} A, expected more than 0 A")
    share = 100 * neutral.number / rated.number
    figures = [
        judged(
            "neutral current against its conductor's rating",
            share,
            "%",
            limit=data.limits["of_rated_percent"],
            expanded=as_read(neutral, 100 / rated.number),
        ),
        judged(
            "third harmonic of the fundamental",
            third.number,
            "%",
            limit=data.limits["third_percent"],
            expanded=as_read(third),
        ),
        Figure("neutral that the schedule and this harmonic give", _neutral_a(data, third), "A"),
    ]
    step = (
        "Have the electrician size the neutral by its own current and look for supplies without "
        f"power-factor correction; {_ELECTRICIAN}."
    )
    return conclude(figures, next_step=step)


def _neutral_a(data: CheckInput, third: Reading) -> float:
    amps = dict.fromkeys(_PHASES, 0.0)
    for circuit in data.wall.circuits:
        amps[circuit.circuit.phase] += designed_current_a(data, circuit)
    share = min(1.0, max(0.0, third.number / 100))
    return neutral_current_a([amps[phase] for phase in _PHASES], share, true_rms=True)


@method(
    "cold_start",
    fields=("breakers_held", "sequence_delay_s", "curve"),
    optional_fields=("opened",),
)
def cold_start(data: CheckInput) -> Outcome:
    """Require every breaker to hold at every start, and tell what the inrush asks for."""
    opened = noes(data, "breakers_held")
    tried = len(data.field("breakers_held"))
    figures = [plain("starts with every breaker held", tried - len(opened), ok=not opened)]
    curve = data.one("curve")
    said = ""
    if curve is not None:
        extra, said = _inrush(data, str(curve.value))
        figures += extra
    delay = data.one("sequence_delay_s")
    if delay is not None:
        figures.append(judged("delay from group to group", delay.number, "s"))
    reason = (
        f"A breaker opened at {listed(opened)}"
        if opened
        else f"{tried} of {counted(tried, 'start')} held"
    )
    step = (
        f"Have the electrician set a sequence or fit another curve; {_ELECTRICIAN}. Then three more "
        "starts from cold."
    )
    return conclude(figures, f"{reason}{said}", where=opened, next_step=step)


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
    "thermal_image",
    fields=("hottest_c", "like_c", "load_percent"),
    limits=("above_like_k", "repair_now_k", "load_percent"),
)
def thermal_image(data: CheckInput) -> Outcome:
    """Hold each circuit's hottest terminal against a like one under like load."""
    placed: list[Placed] = []
    for name, hot in data.field("hottest_c").items():
        like = data.one("like_c", name)
        if like is not None:
            placed.append((name, _rise(data.limits["above_like_k"], name, hot, like)))
    load = data.one("load_percent")
    if not placed or load is None:
        return Outcome(Verdict.OPEN, "temperatures and load are needed")
    order = ranked(placed)
    urgent = data.limits["repair_now_k"].high
    now = [name for name, f in order if urgent is not None and f.value > urgent]
    figures = [figure for _, figure in order[:3]]
    figures.append(
        judged(
            "load during the image",
            load.number,
            "%",
            limit=data.limits["load_percent"],
            expanded=as_read(load),
        )
    )
    step = f"Have the electrician isolate, clean and re-torque the named terminals; {_ELECTRICIAN}."
    if now:
        step = (
            f"Switch {listed(now)} off now and have the electrician repair it before anything else."
        )
    reason = clauses(figures)
    if now:
        reason = f"{listed(now)} more than {shown(urgent or 0.0)} K above a like terminal; {reason}"
    return conclude(figures, upper_first(reason), where=bad_places(order), next_step=step)


def _rise(limit: Limit, name: str, hot: Reading, like: Reading) -> Figure:
    rise = hot.number - like.number
    words = f"hottest terminal above a like one on {name}"
    return judged(words, rise, "K", limit=limit, expanded=carried(_less, hot, like))

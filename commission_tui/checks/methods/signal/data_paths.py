"""Data on its way to the wall: loss of fibres, counted errors, addresses."""

from __future__ import annotations

import ipaddress
import operator
import re
from collections import Counter
from dataclasses import replace
from functools import partial

from commission_tui.checks import judgement as j
from commission_tui.checks.error_budget import expanded, function_budget
from commission_tui.checks.methods.plain_limits import within_stated
from commission_tui.checks.model.types import CheckInput, Figure, Outcome, Reading, Verdict
from commission_tui.checks.registry import method
from commission_tui.engineering.numeric.bounds import RefusedError
from commission_tui.engineering.numeric.error_parts import Errors
from commission_tui.engineering.signal.fibre import fibre_loss_db
from commission_tui.figures import exact
from commission_tui.text import counted, listed

_BEND = frozenset({"bend_radius_mm", "cable_diameter_mm"})

_SEPARATION, _CIRCUITS = "separation_mm", "power_circuits"
_FACTORS = (
    *((3, 0.2), (6, 0.4), (9, 0.6), (12, 0.8), (15, 1.0)),
    *((30, 2.0), (45, 3.0), (60, 4.0), (75, 5.0)),
)
_MOST_FACTOR = 6.0
"""Power cabling factor by the most single-phase circuits of up to 20 A: EN 50174-2:2009."""

_MINUTES = 60
_FIGURES_SHOWN = 12
_ADDRESS = re.compile(r"[0-9a-fA-F.:]{2,45}")
_LINK = ("fibre_m", "fibre_db_km", "mated_pairs", "splices", "optics_db")


@method(fields=f"loss_out_db loss_back_db {' '.join(_LINK)}", limits="margin_db optics_margin_db")
def fibre_loss(data: CheckInput) -> Outcome:
    """Hold the loss of each strand, both ways, against its parts and against what the optics bear."""
    given = {name: data.one(name) for name in _LINK}
    if missing := [name for name, reading in given.items() if reading is None]:
        words = listed([data.label(name) for name in missing], between="; ")
        return Outcome(Verdict.OPEN, f"needed first: {words}")
    number = {name: reading.number for name, reading in given.items() if reading is not None}
    budget = fibre_loss_db(
        number["fibre_m"] / 1000, number["fibre_db_km"], _whole(number["mated_pairs"]),
        _whole(number["splices"]),
    )  # fmt: skip
    bounds = (
        ("margin_db", "to the parts' loss", budget),
        ("optics_margin_db", "to the optics' budget", number["optics_db"]),
    )
    margins = partial(j.judged_places, data, unit="dB")
    worst_first = j.worst_first(
        figure
        for way in ("out", "back")
        for limit, to, db in bounds
        for figure in margins(
            f"margin {to} of {{}}, {way}",
            f"loss_{way}_db",
            by=partial(operator.sub, db),
            limit=limit,
        )
    )
    figures = worst_first[:_FIGURES_SHOWN]
    return j.conclude(
        [Figure("loss allowed by the parts", budget, "dB"), *figures],
        j.sentence_of(figures),
        where=j.bad_places(worst_first),
        next_step="Look at the end faces, clean both, measure the strand again in both ways.",
    )


def _whole(value: float) -> int:
    if value != round(value):
        raise RefusedError(
            f"pairs and splices are counted: found {value:g}, expected whole numbers"
        )
    return round(value)


@method(fields="errors watched_min", limits="errors_per_h watched_min")
def error_counters(data: CheckInput) -> Outcome:
    """Count errors over a time that is long enough to mean something."""
    (watched,) = data.needed("the time watched is needed first", "watched_min")
    if watched.number <= 0:
        return Outcome(Verdict.OPEN, "the time watched must be more than 0 minutes")
    long = j.judged_at(data, "time watched", "watched_min", unit="min", limit="watched_min")
    limit, minutes = data.limits["errors_per_h"], watched.number
    rates = j.worst_first(
        j.judged(f"errors an hour on {port}", count * _MINUTES / minutes, limit=limit, place=port)
        for port, count in data.numbers("errors").items()
    )
    step = "Open and reseat every jumper of the port, then count again for half an hour."
    if not j.bad_places(rates):
        step = "Clear the counters and watch for the whole time."
    figures = [*long, *rates[:_FIGURES_SHOWN]]
    return j.conclude(figures, where=j.bad_places(rates), next_step=step)


@method(fields="addresses apart_from_office guests_kept_out plan?")
def control_network(data: CheckInput) -> Outcome:
    """Find an address that is given twice, and require a network of the wall's own."""
    listing = data.one("addresses")
    found = _addresses(str(listing.value)) if listing is not None else []
    if listing is not None and not found:
        return Outcome(
            Verdict.OPEN,
            "no address can be read in the list",
            next_step="Write each device with its address, such as 10.20.0.11.",
        )
    twice = [address for address, count in Counter(found).items() if count > 1]
    figures = [
        Figure("addresses", len(found), digits=5),
        j.count_wrong("addresses given twice", twice),
    ]
    open_ways = j.refusals(
        data,
        {
            "apart_from_office": "wall data runs through office switches",
            "guests_kept_out": "the guest network reaches the wall",
        },
    )
    usual = f"{counted(len(found), 'address', 'addresses')}, each once, on a network of their own"
    return j.conclude(
        figures,
        j.phrased(f"given twice: {listed(twice)}" if twice else "", *open_ways) or usual,
        next_step="Give each device an address of its own on a network that only the wall uses.",
        failed=open_ways,
    )


def _addresses(text: str) -> list[str]:
    """Return every address of either version in a text, in one spelling."""
    found = []
    for word in _ADDRESS.findall(text):
        try:
            found.append(str(ipaddress.ip_address(word.rstrip(".:"))))
        except ValueError:
            continue
    return found


@method(limits="bend_of_diameter?", any_limits=True)
def data_routing(data: CheckInput) -> Outcome:
    """Judge as `as_stated` does, with the tightest bend as a multiple of the cable's diameter.

    The distance of data and power grows with the circuits that run beside; where nobody counted them,
    they are all of the wall's.
    """
    data = _for_circuits(data)
    bend, cable = data.one("bend_radius_mm"), data.one("cable_diameter_mm")
    if bend is None or cable is None:
        return within_stated(data)
    if cable.number <= 0:
        raise RefusedError(f"the cable's diameter is {cable.number:g} mm, expected above 0 mm")
    ratio = {"wall": _ratio(bend, cable)}
    readings = {n: at for n, at in data.readings.items() if n not in _BEND}
    labels = {**data.labels, "bend_of_diameter": "Tightest bend over the cable's diameter"}
    return within_stated(
        replace(data, readings={**readings, "bend_of_diameter": ratio}, labels=labels)
    )


def _ratio(bend: Reading, cable: Reading) -> Reading:
    """Return bend over diameter with the uncertainty that both leave it, as its own scatter."""
    spread = expanded(function_budget(operator.truediv, bend, cable))
    errors = Errors(scatter=spread / 2) if spread else None
    return Reading(bend.number / cable.number, errors=errors)


def _for_circuits(data: CheckInput) -> CheckInput:
    """Return the input with the least distance for the power circuits that run beside the data."""
    limit = data.limits.get(_SEPARATION)
    # Jobs begun earlier do not ask for the circuits; their limit holds for any number of them.
    if limit is None or limit.low is None or _CIRCUITS not in data.expected:
        return data
    counted_ones = data.one(_CIRCUITS)
    circuits = len(data.wall.circuits) if counted_ones is None else counted_ones.number
    factor = next((factor for most, factor in _FACTORS if circuits <= most), _MOST_FACTOR)
    scaled = replace(limit, low=float(exact(limit.low * factor)))
    readings = {name: at for name, at in data.readings.items() if name != _CIRCUITS}
    return replace(data, readings=readings, limits={**data.limits, _SEPARATION: scaled})

"""One check judged: the readings that are there, against the limits of this job."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from commission_tui.checks.definition import CheckDefinition
from commission_tui.checks.places import places
from commission_tui.checks.registry import methods
from commission_tui.checks.types import CheckInput, Outcome, Readings, SeenFault, Verdict
from commission_tui.wall.model import Wall


def expected_places(check: CheckDefinition, wall: Wall) -> dict[str, tuple[str, ...]]:
    """Return, per field, every place where it can be read."""
    return {item.name: places(item.per, wall) for item in check.fields}


def missing(
    check: CheckDefinition, wall: Wall, readings: Mapping[str, Readings]
) -> tuple[tuple[str, str], ...]:
    """Return what is still to be read: field and place, in the order in which one goes there."""
    found: list[tuple[str, str]] = []
    for item in check.fields:
        wanted = places(item.per, wall)
        there = readings.get(item.name, {})
        short = item.places_wanted(wanted) - len(there)
        if short > 0:
            found += [(item.name, place) for place in wanted if place not in there][
                : None if item.at_least is None else short
            ]
    return tuple(found)


def evaluate(
    check: CheckDefinition,
    wall: Wall,
    readings: Mapping[str, Readings],
    faults: tuple[SeenFault, ...] = (),
) -> Outcome:
    """Judge a check; while readings are missing the verdict is open, with what it is so far."""
    if not check.applies_to(wall):
        return Outcome(Verdict.NOT_APPLICABLE, f"this wall has no {check.applies}")
    there = {name: at for name, at in readings.items() if at}
    if not there:
        return Outcome(Verdict.OPEN, "nothing recorded yet")
    data = CheckInput(
        wall,
        there,
        {limit.name: limit.limit(wall) for limit in check.limits},
        expected_places(check, wall),
        faults,
    )
    outcome = methods()[check.method].function(data)
    to_do = missing(check, wall, there)
    if not to_do:
        return outcome
    total = sum(f.places_wanted(data.expected[f.name]) for f in check.fields)
    return replace(
        outcome,
        verdict=Verdict.OPEN,
        so_far=outcome.verdict if outcome.verdict is not Verdict.OPEN else None,
        reason=f"{total - len(to_do)} of {total} recorded; so far: {outcome.reason}",
    )

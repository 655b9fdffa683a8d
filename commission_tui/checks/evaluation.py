"""One check judged: the readings that are there, against the limits of this job.

A check is OPEN while nothing is recorded, while readings of a list are missing or in doubt by a later
change (`logbook/judging` hands over only those that are good), while it is not settled whether it
applies, while a method waits for another reading (`NotReadYetError`), and when a computation refuses
what was typed (`RefusedError`) or fails.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import date

from commission_tui.checks.methods import methods
from commission_tui.checks.model.definition import CheckDefinition
from commission_tui.checks.model.types import (
    CheckInput,
    Figure,
    Limit,
    NotReadYetError,
    Outcome,
    Readings,
    RecordFacts,
    SeenFault,
    Verdict,
)
from commission_tui.checks.places.applicability import features_to_settle, why_not_applicable
from commission_tui.checks.places.places import places
from commission_tui.checks.registry import Method, current_method_name
from commission_tui.engineering.numeric.bounds import RefusedError
from commission_tui.engineering.numeric.error_parts import REPEATABILITY_SHARE
from commission_tui.text import flat
from commission_tui.wall.model.wall_model import Wall

FAILED = "cannot be judged, by a mistake of this program"
"""Begins the reason of a check whose method failed, whatever was typed."""
_BEYOND = "the readings are too large or too small to compute with"


def expected_places(check: CheckDefinition, wall: Wall) -> dict[str, tuple[str, ...]]:
    """Return, per field, every place where it can be read."""
    return {item.name: places(item.where, wall) for item in check.fields}


def places_to_read(
    check: CheckDefinition,
    expected: Mapping[str, tuple[str, ...]],
    readings: Mapping[str, Readings],
) -> tuple[tuple[str, str], ...]:
    """Return what is still to be read: field and place, in the order in which one goes there."""
    found: list[tuple[str, str]] = []
    for item in check.fields:
        wanted = expected[item.name]
        there = readings.get(item.name, {})
        short = item.places_wanted(wanted) - sum(place in there for place in wanted)
        if short > 0:
            found += [(item.name, place) for place in wanted if place not in there][
                : None if item.at_least is None else short
            ]
    return tuple(found)


def default_limits(check: CheckDefinition, wall: Wall) -> dict[str, Limit]:
    """Return the limits as the wall file and the checklist have them, by name."""
    return {limit.name: limit.limit(wall) for limit in check.limits}


def evaluate(
    check: CheckDefinition,
    wall: Wall,
    readings: Mapping[str, Readings],
    faults: tuple[SeenFault, ...] = (),
    *,
    limits: Mapping[str, Limit] | None = None,
    baseline: Mapping[str, Readings] | None = None,
    beside: Mapping[str, Readings] | None = None,
    hours_run: float | None = None,
    on: date | None = None,
    record: Callable[[], RecordFacts] = RecordFacts,
) -> Outcome:
    """Judge a check; while readings are missing the verdict is open, with what it is so far.

    `limits` are those of the job, frozen or agreed anew; without them the checklist's and the wall
    file's count. `on` is the day of the visit, `record` tells what the record says of itself.
    """
    expected = expected_places(check, wall)
    why_not = why_not_applicable(check.applies, wall)
    if why_not or not any(expected.values()):
        reason = why_not or f"this wall has no {check.fields[0].per}"
        return Outcome(Verdict.NOT_APPLICABLE, reason)
    there = _usable(check, expected, readings)
    to_do = places_to_read(check, expected, there)
    if not there:
        features = ", ".join(features_to_settle(check.applies, wall))
        reason = f"not settled yet whether there is: {features}"
        return Outcome(Verdict.OPEN, reason if features else "nothing recorded yet", to_do=to_do)
    good = {item.name: item.good for item in check.fields if item.good}
    method = methods()[current_method_name(check.method)]
    outcome = _judge(
        method,
        CheckInput(
            wall,
            there,
            limits=default_limits(check, wall) if limits is None else limits,
            expected=expected,
            faults=faults if method.reads_faults else (),
            good=good,
            baseline=baseline or {},
            beside=beside or {},
            hours_run=hours_run,
            labels={item.name: item.label for item in check.fields},
            on=on,
            record=record,
        ),
    )
    outcome = _remarked(outcome, there)
    if not to_do:
        return outcome
    total = sum(f.places_wanted(expected[f.name]) for f in check.fields)
    return replace(
        outcome,
        verdict=Verdict.OPEN,
        so_far=outcome.verdict if outcome.verdict is not Verdict.OPEN else None,
        to_do=to_do,
        reason=f"{total - len(to_do)} of {total} recorded; so far: {outcome.reason}",
    )


def _usable(
    check: CheckDefinition,
    expected: Mapping[str, tuple[str, ...]],
    readings: Mapping[str, Readings],
) -> dict[str, Readings]:
    """Keep the readings that this check and this wall still ask for.

    A revision of the wall or of the checklist may have taken a place or changed a field's kind
    after a reading was logged.
    """
    kept: dict[str, Readings] = {}
    for item in check.fields:
        there = readings.get(item.name, {})
        at = {
            place: reading if reading.at else replace(reading, at=place)
            for place in expected[item.name]
            if (reading := there.get(place)) is not None and item.holds(reading.value)
        }
        if at:
            kept[item.name] = at
    return kept


def _remarked(outcome: Outcome, readings: Mapping[str, Readings]) -> Outcome:
    """Add what every result must say of the instruments that it was read with."""
    if not outcome.figures:
        return outcome
    remarks = dict.fromkeys(
        remark for at in readings.values() for reading in at.values() for remark in reading.remarks
    )
    judged = [figure for figure in outcome.figures if figure.limit is not None]
    if any(figure.not_known for figure in judged):
        remarks["the accuracy of the instrument is not known, so neither is the uncertainty"] = None
    if any(_rests_on_assumed_scatter(figure) for figure in judged):
        share = f"{100 * REPEATABILITY_SHARE:g} %"
        remarks[f"repeatability not stated: {share} of the accuracy is taken"] = None
    if not remarks:
        return outcome
    return replace(outcome, reason="; ".join([outcome.reason, *remarks]))


def _rests_on_assumed_scatter(figure: Figure) -> bool:
    """Whether the figure's uncertainty is mostly a scatter that nobody stated or measured."""
    if figure.budget is None or not any(r.assumed for r in figure.budget.readings):
        return False
    spread = figure.budget.spread
    return spread.scatter > math.hypot(spread.fixed, spread.calibration)


def _judge(method: Method, data: CheckInput) -> Outcome:
    """Let the method judge; where it cannot, the check is open and says whose fault that is."""
    try:
        return method.function(data)
    except NotReadYetError as error:
        return Outcome(Verdict.OPEN, str(error))
    except (RefusedError, ArithmeticError) as error:
        why = str(error) if isinstance(error, RefusedError) else _BEYOND
        return Outcome(
            Verdict.OPEN,
            f"cannot be judged: {why}",
            next_step="Look at the readings; correct what was typed wrong or read it again.",
        )
    except ValueError as error:
        return Outcome(
            Verdict.OPEN,
            f"{FAILED}: {flat(str(error))}",
            next_step="The readings are kept: judge them by hand, and report this line.",
        )

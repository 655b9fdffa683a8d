"""The plan for the remaining time: what brings acceptance nearest, minute for minute.

Each thing to do has its minutes and what it is worth: a check or fault that blocks acceptance is
worth far more than one that does not, and what can hurt someone comes before everything. Things that
want somebody or something that is not there are left out, and said so. The rest is taken by worth per
minute until the time is used, and then put in an order in which the room changes least.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass

from commission_tui.checks.checklists.checklist import mapping_check
from commission_tui.checks.faults.blocking import blocks_acceptance
from commission_tui.checks.model.definition import CheckDefinition
from commission_tui.checks.model.types import Outcome, Verdict
from commission_tui.errors import InputError
from commission_tui.logbook.judging import outcomes as judging
from commission_tui.logbook.state.state import Fault, State

_BLOCKS, _RECORDS = 10.0, 1.0
_SAFETY_FIRST = 1000.0
_LOOK_AGAIN_MINUTES, _MEND_MINUTES = 3.0, 15.0
_WORTH_DOING = frozenset({Verdict.OPEN, Verdict.MARGINAL, Verdict.FAIL})
_ROOM = ("house dark", "house quiet", "lift", "rear access")
"""Needs that change the room for everybody: what shares them is done together."""


@dataclass(frozen=True, slots=True)
class Task:
    """One thing to do."""

    title: str
    minutes: float
    blocks: bool
    why: str
    needs: tuple[str, ...] = ()
    check: str | None = None
    fault: int | None = None
    worth: float = 0.0
    stage: int = 0


@dataclass(frozen=True, slots=True)
class Plan:
    """What to do now, in order; what there is no time for; and what lacks somebody or something."""

    now: tuple[Task, ...]
    later: tuple[Task, ...]
    lacking: tuple[tuple[Task, tuple[str, ...]], ...]

    @property
    def minutes(self) -> float:
        return sum(task.minutes for task in self.now)


def tasks(state: State, outcomes: Mapping[str, Outcome]) -> tuple[Task, ...]:
    """Return everything that is still to do, checks before faults."""
    found = [
        _check_task(state, check, outcomes[check.id])
        for check in state.checklist
        if outcomes[check.id].verdict in _WORTH_DOING
    ]
    found += [_fault_task(fault) for fault in state.faults if fault.state in {"open", "mended"}]
    return tuple(found)


def plan(
    state: State,
    outcomes: Mapping[str, Outcome],
    minutes: float,
    there: Collection[str],
) -> Plan:
    """Choose and order what fits into the time, with what and whom there is.

    Parameters
    ----------
    minutes : float
        The remaining time, above 0.
    there : collection of str
        Needs of `checks.settings.Need` that can be met now.

    Raises
    ------
    InputError
        When the time is not above 0 and finite.
    """
    if not 0 < minutes < float("inf"):
        raise InputError(f"minutes: found {minutes:g}, expected a time above 0")
    possible, lacking = [], []
    for task in tasks(state, outcomes):
        missing = tuple(need for need in task.needs if need not in there)
        if missing:
            lacking.append((task, missing))
        else:
            possible.append(task)
    chosen = _chosen(possible, minutes)
    later = [task for task in possible if task not in chosen]
    return Plan(
        tuple(sorted(chosen, key=_in_the_room)),
        tuple(sorted(later, key=_by_worth)),
        tuple(sorted(lacking, key=lambda item: _by_worth(item[0]))),
    )


def _chosen(possible: list[Task], minutes: float) -> list[Task]:
    left = minutes
    chosen = []
    for task in sorted(possible, key=_by_worth):
        if task.minutes <= left:
            chosen.append(task)
            left -= task.minutes
    return chosen


def _by_worth(task: Task) -> tuple[float, int, str]:
    return -task.worth / task.minutes, task.stage, task.title


def _in_the_room(task: Task) -> tuple[bool, tuple[bool, ...], bool, int, str]:
    """Danger first; then what shares the state of the room together, what blocks before the rest."""
    return (
        task.worth < _SAFETY_FIRST,
        tuple(need in task.needs for need in _ROOM),
        not task.blocks,
        task.stage,
        task.title,
    )


def _check_task(state: State, check: CheckDefinition, outcome: Outcome) -> Task:
    order = state.checklist.stage_of(check.id)
    to_do = len(judging.to_do(state, check.id))
    total = max(1, len(judging.to_do_from_nothing(state, check.id)))
    share = min(1.0, to_do / total) if to_do else 1.0
    worth = _BLOCKS if check.blocks_acceptance else _RECORDS
    if order.hazard is not None and check.blocks_acceptance:
        worth = _SAFETY_FIRST
    elif "mapping" in check.rests_on and _mapping_is_wrong(state, check):
        worth = _RECORDS / 10  # would have to be done again
    return Task(
        check.title,
        max(1.0, check.minutes * share),
        check.blocks_acceptance,
        _why(outcome, to_do),
        check.needs,
        check=check.id,
        worth=worth,
        stage=order.order,
    )


def _mapping_is_wrong(state: State, check: CheckDefinition) -> bool:
    mapping = mapping_check(state.checklist)
    if mapping in (None, check):
        return False
    return judging.outcome(state, mapping.id).verdict is Verdict.FAIL


def _why(outcome: Outcome, to_do: int) -> str:
    if outcome.verdict is Verdict.OPEN:
        return f"{to_do} to record" if to_do else outcome.reason
    return f"{outcome.verdict}: {outcome.next_step or outcome.reason}"


def _fault_task(fault: Fault) -> Task:
    body = fault.found.body
    mended = fault.state == "mended"
    blocks = blocks_acceptance(body.fault, body.severity, fault.state)
    worth = _BLOCKS if blocks else _RECORDS
    return Task(
        f"fault {fault.number}: {body.fault} at {body.location}",
        _LOOK_AGAIN_MINUTES if mended else _MEND_MINUTES,
        blocks,
        "mended: look again" if mended else f"open, {body.severity}",
        fault=fault.number,
        worth=_SAFETY_FIRST if body.severity == "danger" else worth,
    )


def nearest(state: State, outcomes: Mapping[str, Outcome], check_id: str) -> str | None:
    """Return the open check that is nearest to one just done: same place, people, meter, stage.

    What needs somebody or something that the one just done did not need counts as further away, and
    so does another instrument; then the order of the checklist decides, going on from here.
    """
    order = [check.id for check in state.checklist]
    if check_id not in order:
        return None
    here, at = state.checklist.check(check_id), order.index(check_id)
    open_ones = [
        check
        for check in state.checklist
        if check.id != check_id and outcomes[check.id].verdict is Verdict.OPEN
    ]

    def far(check: CheckDefinition) -> tuple[int, int]:
        more = len(set(check.needs) - set(here.needs))
        meters = _units(check) - _units(here)
        number = order.index(check.id)
        stages = abs(
            state.checklist.stage_of(check.id).order - state.checklist.stage_of(here.id).order
        )
        ahead = number - at if number > at else len(order) + at - number
        return 10 * more + 4 * len(meters) + min(stages, 30), ahead

    return min(open_ones, key=far).id if open_ones else None


def _units(check: CheckDefinition) -> set[str]:
    return {item.unit for item in check.fields if item.measured}


def time_to_do(state: State, outcomes: Mapping[str, Outcome]) -> tuple[int, float]:
    """Return how many things are still to do and the minutes they take, one after the other."""
    left = tasks(state, outcomes)
    return len(left), sum(task.minutes for task in left)

"""The plan for the remaining time: what is worth most on the opening night, minute for minute.

Each thing to do has its minutes and what it is worth: what a fault of its kind would cost, times how
often such a check finds one. How often begins as a stated guess and is learned from what the checks of
this logbook found (`Odds`); what can hurt someone comes before everything. Things that want somebody or
something that is not there are left out, and said so. The rest is taken by worth per minute until the
time is used, and put in an order that the wall allows: what comes after something comes after it, and
of two that are worth nearly the same the one that leaves the room as it is goes first.
"""

from __future__ import annotations

import contextlib
import math
import sqlite3
from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from commission_tui.checks.checklists.checklist import mapping_check
from commission_tui.checks.evaluation import expected_places, places_to_read
from commission_tui.checks.faults.severity import blocks_acceptance
from commission_tui.checks.model.definition import CheckDefinition, Worth
from commission_tui.checks.model.types import Outcome, Verdict
from commission_tui.errors import InputError, StoreError
from commission_tui.logbook.state.state import Fault, State
from commission_tui.logbook.store.connections import open_to_read

_BLOCKS = Worth(cost=3, finds=1, of=10)
_RECORDS = Worth(cost=0.5, finds=1, of=10)
"""Where a check says nothing of its worth; common practice, no published source."""
_FAULT, _NOTE = 8.0, 0.5
"""What closing a fault is worth: it is known to be there."""
_SAFETY_FIRST = 1000.0
_NEARLY = 0.7
"""Worth as much as the best, but for the room that would have to be changed."""
_LOOK_AGAIN_MINUTES, _MEND_MINUTES = 3.0, 15.0
_FOUND = frozenset({Verdict.MARGINAL, Verdict.FAIL})
_WORTH_DOING = frozenset({Verdict.OPEN, Verdict.MARGINAL, Verdict.FAIL})
_ROOM = ("house dark", "house quiet", "lift", "rear access")
"""Needs that change the room for everybody: what shares them is done together."""


OTHER_TRADES = frozenset(
    {
        *("licensed electrician", "competent person", "camera operator", "lighting operator"),
        *("sound operator", "client"),
    }
)
"""Needs that are somebody else's hours; a second person is one more of the technician's own."""
OTHER_PEOPLE = OTHER_TRADES | {"second person"}

Found = Mapping[str, tuple[int, int]]
"""Check to how many jobs it found something in, and how many it was done in."""
_COUNT = """
    WITH faults AS (
        SELECT DISTINCT job, json_extract(body, '$.check') AS "check"
        FROM entries WHERE kind = 'fault'
    )
    SELECT c."check", sum(c.verdict IN ('fail', 'marginal') OR f.job IS NOT NULL), count(*)
    FROM computed AS c
    LEFT JOIN faults AS f ON f.job = c.job AND f."check" = c."check"
    WHERE c.verdict NOT IN ('open', 'not applicable') AND c.job <> :but
    GROUP BY c."check"
"""


@dataclass(frozen=True, slots=True)
class Odds:
    """How often a check finds a fault: a guess and what was counted since, as a beta distribution."""

    guessed: tuple[int, int]
    """Finds, of how many."""
    counted: tuple[int, int] = (0, 0)

    @property
    def mean(self) -> float:
        """Mean of Beta(finds + 1/2, others + 1/2), guess and count put together.

        The half is Jeffreys' prior: Gelman and others, Bayesian Data Analysis, 3rd ed., section 2.8.
        """
        finds = self.guessed[0] + self.counted[0]
        return (finds + 0.5) / (self.guessed[1] + self.counted[1] + 1)

    @property
    def words(self) -> str:
        guess = f"guess {self.guessed[0]} of {self.guessed[1]}"
        return (
            f"finds one in {self.mean:.0%}: {guess}, counted {self.counted[0]} of {self.counted[1]}"
        )


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
    odds: Odds | None = None
    """How often such a check finds something, and by how many it was counted."""
    after: tuple[str, ...] = ()
    alone: tuple[str, ...] = ()
    """Who or what would help and is not there."""


@dataclass(frozen=True, slots=True)
class Plan:
    """What to do now, in order; what there is no time for; and what lacks somebody or something."""

    now: tuple[Task, ...]
    later: tuple[Task, ...]
    lacking: tuple[tuple[Task, tuple[str, ...]], ...]

    @property
    def minutes(self) -> float:
        return math.fsum(task.minutes for task in self.now)


def tasks(
    state: State, outcomes: Mapping[str, Outcome], counted: Found | None = None
) -> tuple[Task, ...]:
    """Return everything that is still to do, checks before faults."""
    known = counted or {}
    found = [
        _check_task(state, check, outcomes, known.get(check.id, (0, 0)))
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
    counted: Found | None = None,
) -> Plan:
    """Choose and order what fits into the time, with what and whom there is.

    Parameters
    ----------
    minutes : float
        The remaining time, above 0.
    there : collection of str
        Needs of `vocabulary.Need` that can be met now.
    counted : mapping, optional
        What the checks of this logbook found so far.

    Raises
    ------
    InputError
        When the time is not above 0 and finite.
    """
    if not 0 < minutes < float("inf"):
        raise InputError(f"minutes: found {minutes:g}, expected a time above 0")
    possible, lacking = [], []
    for task in tasks(state, outcomes, counted):
        task = replace(task, alone=tuple(need for need in task.alone if need not in there))
        wanting = tuple(need for need in task.needs if need not in there)
        if wanting:
            lacking.append((task, wanting))
        else:
            possible.append(task)
    chosen = _chosen(possible, minutes)
    later = [task for task in possible if task not in chosen]
    return Plan(
        _ordered(chosen),
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


def _ordered(chosen: list[Task]) -> tuple[Task, ...]:
    """Return them by worth a minute, what comes after something after it."""
    left = sorted(chosen, key=_by_worth)
    done: list[Task] = []
    while left:
        waiting = {task.check for task in left}
        free = [task for task in left if not waiting & set(task.after)] or left
        least = _NEARLY * free[0].worth / free[0].minutes
        near = [task for task in free if task.worth / task.minutes >= least]
        room = _room(done[-1]) if done else _AS_IT_IS
        best = min(near, key=lambda task: (_room(task) != room, _by_worth(task)))
        left.remove(best)
        done.append(best)
    return tuple(done)


_AS_IT_IS = (False,) * len(_ROOM)


def _room(task: Task) -> tuple[bool, ...]:
    return tuple(need in task.needs for need in _ROOM)


def _check_task(
    state: State,
    check: CheckDefinition,
    outcomes: Mapping[str, Outcome],
    counted: tuple[int, int],
) -> Task:
    order, outcome = state.checklist.stage_of(check.id), outcomes[check.id]
    to_do = len(outcome.to_do)
    total = max(1, len(places_to_read(check, expected_places(check, state.wall), {})))
    share = min(1.0, to_do / total) if to_do else 1.0
    guess = check.worth or (_BLOCKS if check.blocks_acceptance else _RECORDS)
    odds = Odds((guess.finds, guess.of), counted)
    worth = guess.cost * (1.0 if outcome.verdict in _FOUND else odds.mean)
    if check.hurts or (order.hazard is not None and check.blocks_acceptance):
        worth = _SAFETY_FIRST
    elif "mapping" in check.rests_on and _mapping_is_wrong(state, check, outcomes):
        worth /= 10  # would have to be done again
    return Task(
        check.title,
        max(1.0, check.minutes * share),
        check.blocks_acceptance,
        _why(outcome, to_do),
        check.needs,
        check=check.id,
        worth=worth,
        stage=order.order,
        odds=odds,
        after=check.after,
        alone=check.helped_by,
    )


def _mapping_is_wrong(
    state: State, check: CheckDefinition, outcomes: Mapping[str, Outcome]
) -> bool:
    mapping = mapping_check(state.checklist)
    if mapping in (None, check):
        return False
    return outcomes[mapping.id].verdict is Verdict.FAIL


def _why(outcome: Outcome, to_do: int) -> str:
    if outcome.verdict is Verdict.OPEN:
        return f"{to_do} to record" if to_do else outcome.reason
    return f"{outcome.verdict}: {outcome.next_step or outcome.reason}"


def _fault_task(fault: Fault) -> Task:
    body = fault.found.body
    mended = fault.state == "mended"
    blocks = blocks_acceptance(body.fault, body.severity, fault.state)
    worth = _FAULT if blocks else _NOTE
    return Task(
        f"fault {fault.number}: {body.called} at {body.location}",
        _LOOK_AGAIN_MINUTES if mended else _MEND_MINUTES,
        blocks,
        "mended: look again" if mended else f"open, {body.severity}",
        fault=fault.number,
        worth=_SAFETY_FIRST if body.severity == "danger" else worth,
    )


def nearest_check(state: State, outcomes: Mapping[str, Outcome], check_id: str) -> str | None:
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


@dataclass(frozen=True, slots=True)
class Share:
    """Part of what is to do, counted by what it is, and its minutes one after the other."""

    checks: int
    """Open ones: with those that are done they make up all that are counted."""
    again: int
    """Checks that were done and failed, or are marginal."""
    faults: int
    minutes: float


@dataclass(frozen=True, slots=True)
class ToDo:
    """How much is still to do: by who logs alone or with a helper, and with other trades."""

    own: Share
    others: Share


def to_do(state: State, outcomes: Mapping[str, Outcome]) -> ToDo:
    """Return what is still to do, the technician's own and the others' apart."""
    left = tasks(state, outcomes)
    others = [task for task in left if OTHER_TRADES.intersection(task.needs)]
    own = [task for task in left if task not in others]
    return ToDo(_share(own, outcomes), _share(others, outcomes))


def _share(some: list[Task], outcomes: Mapping[str, Outcome]) -> Share:
    verdicts = [outcomes[task.check].verdict for task in some if task.check is not None]
    unread = verdicts.count(Verdict.OPEN)
    return Share(
        unread,
        len(verdicts) - unread,
        len(some) - len(verdicts),
        math.fsum(task.minutes for task in some),
    )


def findings(database: Path, but: str) -> dict[str, tuple[int, int]]:
    """Return check to how many jobs it found something in, and how many it was done in.

    Parameters
    ----------
    database : Path
        The logbook.
    but : str
        Id of the job that is planned, which does not foretell itself.
    """
    try:
        with contextlib.closing(open_to_read(database)) as connection:
            rows = connection.execute(_COUNT, {"but": but}).fetchall()
    except sqlite3.Error as error:
        raise StoreError(f"{database}: cannot be read: {error}") from None
    return {check: (int(found), int(done)) for check, found, done in rows}

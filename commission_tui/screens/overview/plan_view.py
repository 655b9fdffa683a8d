"""The plan for the remaining time, as lines: what to do in which order, and what is lacking."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Collection
from typing import get_args

from commission_tui.checks.model.vocabulary import Need
from commission_tui.errors import InputError
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.plan.planning import Found, Plan, Task, plan
from commission_tui.screens.terminal.styled_text import Line, minutes_text
from commission_tui.text import clipped, counted, quoted

NEEDS: tuple[str, ...] = get_args(Need)
_LACKING_SHOWN = 40
_COUNTED_AT = 20
"""Column in which stands how many things wait for a need."""


PlanRow = tuple[Line, Task | None]
"""A line of the plan and what Enter on it goes to, if anything."""


def plan_for(
    job: OpenJob, minutes: str, there: Collection[str], counted: Found | None = None
) -> Plan | None:
    """Return the plan for what was typed; None while nothing is.

    Raises
    ------
    InputError
        When what is typed is no time.
    """
    if not minutes.strip():
        return None
    return plan(job.state, job.outcomes(), _minutes(minutes), there, counted)


_TIME = re.compile(
    r"(?:(?P<hours>\d+(?:[.,]\d+)?) *h(?:rs?|ours?|ou?)?)?"
    # A word that is being typed is no other word yet.
    r" *(?:(?P<minutes>\d+(?:[.,]\d+)?) *(?:m|mi|mins?|minut?|minutes?)?)?",
    re.ASCII,
)


def _minutes(text: str) -> float:
    """Read minutes, with their unit or without, and hours as ``1h``, ``1,5 h`` or ``1h30``."""
    time = _TIME.fullmatch(text.strip().lower())
    if time is None or not any(time.groups()):
        raise InputError(
            f"minutes: found {quoted(text, 20)}, expected a time such as 40, 90 min or 1,5 h"
        )
    hours, minutes = (float((part or "0").replace(",", ".")) for part in time.groups())
    return 60 * hours + minutes


def need_lines(there: Collection[str], found: Plan | None = None) -> list[Line]:
    """Return each need with whether it can be met now, and how many things wait for it."""
    waiting = Counter(need for _, lacks in found.lacking for need in lacks) if found else Counter()
    return [
        (
            ("[x] " if need in there else "[ ] ", "key"),
            (need, "strong" if need in there else ""),
            (f" {waiting[need]:>{_COUNTED_AT - len(need)}}" if waiting[need] else "", "muted"),
        )
        for need in NEEDS
    ]


_ENTER = {
    "plan-needs": ("What is there", "   Space ticks, Enter goes on to the plan"),
    "plan-tasks": ("The plan", "   Enter walks to the line; Tab: minutes, what is there"),
}


def title(focused: str | None) -> Line:
    """Say which of the three parts one is in, and what Enter does there."""
    begin = ("Remaining minutes", "   Enter goes on to what is there")
    where, enter = _ENTER.get(focused or "", begin)
    return ((where, "title"), (enter, "muted"))


def summary(found: Plan | None, refused: str = "") -> Line:
    """Say what the plan holds, or why there is none."""
    if refused:
        return ((refused, "error"),)
    if found is None:
        return (("Type the remaining time, such as 40, 90 min or 1h30", "muted"),)
    blocks = sum(task.blocks for task in found.now)
    late = f"No time for {len(found.later)}; " if found.later else "Time for all that can be done; "
    return (
        (minutes_text(found.minutes), "strong"),
        (f" for {counted(len(found.now), 'thing')}, {_blocking(blocks)} acceptance. ", ""),
        (f"{late}{_waiting(len(found.lacking))} for what is not ticked.", "muted"),
    )


def _blocking(number: int) -> str:
    return "1 blocks" if number == 1 else f"{number or 'none'} block"


def _waiting(number: int) -> str:
    return "1 waits" if number == 1 else f"{number or 'none'} wait"


def rows(found: Plan | None, width: int) -> list[PlanRow]:
    """Return the plan line by line: now in order, then what there is no time for, then what lacks."""
    if found is None:
        return []
    listed: list[PlanRow] = [(_line(task, width), task) for task in found.now]
    if not listed:
        listed.append(((("Nothing fits", "muted"),), None))
    if found.later:
        listed.append(((("No time for", "title"),), None))
        listed += [(_line(task, width), task) for task in found.later]
    if found.lacking:
        listed.append(((("Waits for what is not ticked", "title"),), None))
    for task, missing in found.lacking[:_LACKING_SHOWN]:
        words = f"  {', '.join(missing)}: "
        title = clipped(task.title, max(10, width - len(words)))
        listed.append((((words, "muted"), (title, "")), task))
    return listed


def _line(task: Task, width: int) -> Line:
    head = f"{task.minutes:>4.0f} min "
    counts = task.odds.counted if task.odds else (0, 0)
    tail = f"  {counts[0]}/{counts[1]}" if counts[1] else ""
    tail += "" if task.blocks else "  blocks nothing"
    room = width - len(head) - len(tail)
    return ((head, "muted"), (clipped(task.title, room), ""), (tail, "muted"))

"""The remaining time: type the minutes, tick what is there, walk from the top; what to do, what is lacking."""

from __future__ import annotations

import contextlib
from collections import Counter
from collections.abc import Collection
from typing import ClassVar, get_args

from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal
from textual.widgets import Input, OptionList

from commission_tui.checks.model.vocabulary import Need
from commission_tui.errors import CommissionError, InputError
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.plan.planning import Found, Plan, Task, findings, plan
from commission_tui.logbook.plan.remaining_time import typed_minutes
from commission_tui.screens.host.key_table import key
from commission_tui.screens.terminal.styled_text import Line, minutes_text
from commission_tui.screens.widgets.lists import LineList
from commission_tui.screens.widgets.plain_input import PlainInput
from commission_tui.screens.widgets.screen_frame import Dialog
from commission_tui.screens.widgets.text_lines import Painted
from commission_tui.text import clipped, counted

NEEDS: tuple[str, ...] = get_args(Need)
_LACKING_SHOWN = 40
_COUNTED_AT = 23
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
    return plan(job.state, job.outcomes(), typed_minutes(minutes), there, counted)


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


def plan_title(focused: str | None) -> Line:
    """Say which of the three parts one is in, and what Enter does there."""
    begin = ("Remaining minutes", "   Enter goes on to what is there")
    where, enter = _ENTER.get(focused or "", begin)
    return ((where, "title"), (enter, "muted"))


def plan_summary(found: Plan | None, refused: str = "") -> Line:
    """Say what the plan holds, or why there is none."""
    if refused:
        return ((refused, "error"),)
    if found is None:
        return (("Type the remaining time, such as 40, 90 min or 1h30", "muted"),)
    blocks = sum(task.blocks for task in found.now)
    late = f"No time for {len(found.later)}; " if found.later else "Time for all that can be done; "
    return (
        (minutes_text(found.minutes), "strong"),
        (f" for {counted(len(found.now), 'thing')}, {_so_many(blocks, 'block')} acceptance. ", ""),
        (f"{late}{_so_many(len(found.lacking), 'wait')} for what is not ticked", "muted"),
        (", as many as stand beside it." if found.lacking else ".", "muted"),
    )


def _so_many(number: int, verb: str) -> str:
    return f"1 {verb}s" if number == 1 else f"{number or 'none'} {verb}"


def plan_rows(found: Plan | None, width: int) -> list[PlanRow]:
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
    tail += "  slower alone" if task.alone else ""
    room = width - len(head) - len(tail)
    return ((head, "muted"), (clipped(task.title, room), ""), (tail, "muted"))


_KEPT = "plan"


class PlanDialog(Dialog[Task]):
    """Closes with what was chosen."""

    HELP_TEXT = (
        "Type the remaining minutes, 40, 90 min or 1h30: the plan is made as you type. Enter goes "
        "on to what is there (power, lift, dark house, somebody to help), then to the plan, and "
        "there walks to the line. What is worth most comes first. The number beside what is not "
        "ticked is how many things wait for it. Slower alone: what is not ticked would help. "
        "2/10: found something in 2 of 10 jobs here."
    )

    BINDINGS: ClassVar[list[BindingType]] = [
        key("plan.tick", "space", "tick", "There / not there",
            "Say whether the selected one is there"),
        key("plan.close", "escape", "close", "Close",
            "Close; the minutes and what is there are kept"),
    ]  # fmt: skip

    def __init__(self, job: OpenJob) -> None:
        super().__init__()
        self.job = job
        self._there: set[str] = set()
        self._counted: Found = {}
        self._needs: LineList[str] = LineList(id="plan-needs")
        self._tasks: LineList[int] = LineList(id="plan-tasks")
        """By number: what is typed moves the tasks, and not the cursor."""
        self._rows: list[PlanRow] = []

    def compose_box(self) -> ComposeResult:
        kept = self.host.drafts.get(_KEPT, {})
        self._there = set(filter(None, kept.get("there", "power on").split("|")))
        yield PlainInput(kept.get("minutes", ""), id="plan-minutes", gives_way=True)
        yield Painted(id="plan-summary", classes="box-notes")
        with Horizontal(id="plan-columns"):
            yield self._needs
            yield self._tasks

    def on_mount(self) -> None:
        with contextlib.suppress(CommissionError):  # guesses alone plan as well
            self._counted = findings(self.job.database, self.job.id)
        self.redraw_soon()

    def on_descendant_focus(self) -> None:
        """Say what Enter does where one is."""
        self.show_title(plan_title(self.focused.id if self.focused else None))

    def redraw(self) -> None:
        minutes = self.query_one("#plan-minutes", PlainInput).value
        found, refused = None, ""
        try:
            found = plan_for(self.job, minutes, self._there, self._counted)
        except InputError as error:
            refused = str(error)
        self._rows = plan_rows(found, max(30, self._tasks.size.width - 2))
        self._tasks.show(
            [((line,), n if task else None) for n, (line, task) in enumerate(self._rows)]
        )
        needs = need_lines(self._there, found)
        self._needs.show([((line,), need) for line, need in zip(needs, NEEDS, strict=True)])
        self.query_one("#plan-summary", Painted).show(plan_summary(found, refused))

    @on(Input.Changed, "#plan-minutes")
    def typed(self) -> None:
        self.redraw()

    @on(Input.Submitted, "#plan-minutes")
    def to_needs(self, event: Input.Submitted) -> None:
        """Go on where the minutes are a time; the summary says what is wanted."""
        event.stop()
        if self._rows:
            self._needs.focus()

    @on(OptionList.OptionSelected, "#plan-needs")
    def to_list(self) -> None:
        self._tasks.focus()

    @on(OptionList.OptionSelected, "#plan-tasks")
    def task_chosen(self, event: OptionList.OptionSelected) -> None:
        self._keep()
        self.dismiss(self._rows[event.option_index][1])

    def action_tick(self) -> None:
        if self._needs.has_focus and (need := self._needs.chosen) is not None:
            self._there ^= {need}
            self.redraw()

    def _keep(self) -> None:
        minutes = self.query_one("#plan-minutes", PlainInput).value
        # What is no time is not kept.
        kept = self.host.drafts.get(_KEPT, {}).get("minutes", "")
        self.host.drafts[_KEPT] = {
            "minutes": minutes if self._rows or not minutes.strip() else kept,
            "there": "|".join(sorted(self._there)),
        }

    def action_close(self) -> None:
        self._keep()
        self.dismiss(None)

"""The remaining time: type the minutes, tick what is there, walk the list from the top."""

from __future__ import annotations

import contextlib
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal
from textual.widgets import Input, OptionList

from commission_tui.errors import CommissionError, InputError
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.plan.planning import Found, Task, findings
from commission_tui.screens.host.key_table import key
from commission_tui.screens.overview import plan_view
from commission_tui.screens.overview.plan_view import NEEDS, PlanRow
from commission_tui.screens.widgets.lists import LineList
from commission_tui.screens.widgets.plain_input import PlainInput
from commission_tui.screens.widgets.screen_frame import Dialog
from commission_tui.screens.widgets.text_lines import Painted

_KEPT = "plan"


class PlanDialog(Dialog[Task]):
    """Closes with what was chosen."""

    HELP_TEXT = (
        "Type the remaining minutes, 40, 90 min or 1h30: the plan is made as you type. Enter goes on to "
        "what is there, where Space ticks: power, lift, dark house, somebody to help; Enter goes "
        "on to the plan, where Enter walks to the line. What is worth most comes first. "
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
        yield PlainInput(kept.get("minutes", ""), id="plan-minutes", prefilled=True)
        yield Painted(id="plan-summary", classes="box-notes")
        with Horizontal(id="plan-columns"):
            yield self._needs
            yield self._tasks

    def on_mount(self) -> None:
        with contextlib.suppress(CommissionError):  # guesses alone plan as well
            self._counted = findings(self.job.database, self.job.id)
        self.query_one("#plan-minutes").focus()
        self.redraw_soon()

    def on_descendant_focus(self) -> None:
        """Say what Enter does where one is."""
        self.show_title(plan_view.title(self.focused.id if self.focused else None))

    def redraw(self) -> None:
        minutes = self.query_one("#plan-minutes", PlainInput).value
        found, refused = None, ""
        try:
            found = plan_view.plan_for(self.job, minutes, self._there, self._counted)
        except InputError as error:
            refused = str(error)
        self._rows = plan_view.rows(found, max(30, self._tasks.size.width - 2))
        self._tasks.show(
            [((line,), n if task else None) for n, (line, task) in enumerate(self._rows)]
        )
        needs = plan_view.need_lines(self._there, found)
        self._needs.show([((line,), need) for line, need in zip(needs, NEEDS, strict=True)])
        self.query_one("#plan-summary", Painted).show(plan_view.summary(found, refused))

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
        self.host.drafts[_KEPT] = {
            "minutes": self.query_one("#plan-minutes", PlainInput).value,
            "there": "|".join(sorted(self._there)),
        }

    def action_close(self) -> None:
        self._keep()
        self.dismiss(None)

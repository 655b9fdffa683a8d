"""Punch list: filter as you type, sort, mend, verify, accept, reopen."""

from __future__ import annotations

from collections.abc import Mapping
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, VerticalScroll
from textual.widgets import Input, OptionList

from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.state import Fault
from commission_tui.screens import forms, punch_view
from commission_tui.screens.job_screen import JobScreen
from commission_tui.screens.widgets.form import Form, Question
from commission_tui.screens.widgets.lists import LineList
from commission_tui.screens.widgets.painted import Painted
from commission_tui.screens.widgets.plain_input import PlainInput


class PunchScreen(JobScreen):
    """Every fault of the job."""

    TAB = "punch"
    AUTO_FOCUS = "#faults"
    HELP_TEXT = (
        "/ goes to the filter: type parts of a state, place, kind or note. Escape empties it. "
        "Mended means work was done; verified means somebody looked again. Only the client accepts."
    )

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("m", "work('mended')", "Mend", id="punch.mended", tooltip="Work was done"),
        Binding(
            "v", "work('verified')", "Verify", id="punch.verified",
            tooltip="Looked at again, and it is right",
        ),
        Binding(
            "a", "work('accepted')", "Accept", id="punch.accepted",
            tooltip="The client takes it as it is; asks who",
        ),
        Binding(
            "o", "work('reopened')", "Reopen", id="punch.reopened", tooltip="It came back",
        ),
        Binding(
            "e", "correct", "Correct", id="punch.correct",
            tooltip="Correct or withdraw an item logged wrongly; the old entry is kept", show=False,
        ),
        Binding("l", "fault", "New fault", id="punch.fault", tooltip="Log a fault", show=False),
        Binding(
            "slash", "filter", "Filter", id="punch.filter", key_display="/",
            tooltip="Show only what holds the words you type",
        ),
        Binding(
            "s", "sort", "Sort", id="punch.sort", tooltip="By number, severity, place, state",
            show=False,
        ),
    ]  # fmt: skip

    def __init__(self, job: OpenJob) -> None:
        super().__init__(job)
        self._sort = punch_view.SORTS[0]
        self._faults: list[Fault] = []

    def compose_content(self) -> ComposeResult:
        yield Painted(id="summary")
        with Horizontal(id="filter-line"):
            yield Painted(id="filter-label")
            yield PlainInput(id="filter")
        with Horizontal(id="middle"):
            yield LineList(id="faults")
            with VerticalScroll(id="history", can_focus=False):
                yield Painted(id="history-text")

    def on_mount(self) -> None:
        super().on_mount()
        self.query_one("#filter-label", Painted).show((("Filter /", "muted"),))

    @property
    def chosen(self) -> Fault | None:
        """The fault under the cursor, as it stands now."""
        at = self.query_one("#faults", LineList).highlighted
        return self._faults[at] if at is not None and at < len(self._faults) else None

    def redraw(self) -> None:
        faults = self.job.state.faults
        typed = self.query_one("#filter", PlainInput).value
        before = self.chosen
        self._faults = punch_view.in_order(punch_view.filtered(faults, typed), self._sort)
        ids = [fault.id for fault in self._faults]
        at = ids.index(before.id) if before and before.id in ids else 0
        rows = [((punch_view.row(fault, self.host.glyphs),), True) for fault in self._faults]
        self.query_one("#faults", LineList).show(rows, at)
        self.query_one("#summary", Painted).show(
            punch_view.summary(faults, len(self._faults), self._sort)
        )
        self._draw_history()

    def _draw_history(self) -> None:
        fault = self.chosen
        shown = self.query_one("#history-text", Painted)
        if fault is None:
            nothing = "No fault fits the filter" if self.job.state.faults else "No fault logged"
            shown.show(((nothing, "muted"),))
        else:
            shown.show(*punch_view.history(self.job, fault, self.host.glyphs))

    @on(OptionList.OptionHighlighted, "#faults")
    def highlighted(self) -> None:
        self._draw_history()

    @on(OptionList.OptionSelected, "#faults")
    def selected(self) -> None:
        self.action_wall()

    @on(Input.Changed, "#filter")
    def filter_typed(self) -> None:
        self.redraw()

    @on(Input.Submitted, "#filter")
    def filter_done(self, event: Input.Submitted) -> None:
        event.stop()
        self.query_one("#faults", LineList).focus()

    # --- keys

    def action_filter(self) -> None:
        self.query_one("#filter", PlainInput).focus()

    def action_back(self) -> None:
        field = self.query_one("#filter", PlainInput)
        if field.value or field.has_focus:
            field.value = ""
            self.query_one("#faults", LineList).focus()
        else:
            super().action_back()

    def action_sort(self) -> None:
        at = punch_view.SORTS.index(self._sort)
        self._sort = punch_view.SORTS[(at + 1) % len(punch_view.SORTS)]
        self.redraw()

    def action_fault(self) -> None:
        fault = self.chosen
        self.log_fault(fault.found.body.location if fault else "wall")

    def action_correct(self) -> None:
        fault = self.chosen
        if fault is not None:
            self.ask(forms.correct_fault(self.job, fault), f"Fault {fault.number} corrected")

    def action_wall(self) -> None:
        fault = self.chosen
        if fault is not None:
            self.host.wall_at(fault.found.body.location)

    def action_work(self, action: str) -> None:
        fault = self.chosen
        if fault is None:
            self.say("No fault is marked", error=True)
            return
        questions = [Question("note", "What was done, what was seen", hint="may be empty")]
        if action == "accepted":
            questions.insert(0, Question("accepted_by", "Who of the client accepts it as it is"))

        def submit(answers: Mapping[str, str]) -> None:
            now = next(f for f in self.job.state.faults if f.id == fault.id)
            self.job.work(now, action, note=answers["note"], accepted_by=answers.get("accepted_by"))

        found = fault.found.body
        form = Form(
            f"Fault {fault.number} {action}",
            questions,
            submit,
            notes=[((f"{found.location}  {found.fault}", ""),)],
            draft=f"{action} {fault.id}",
        )
        self.ask(form, f"Fault {fault.number}: {action}, logged")

"""Overview: stages and checks, the wall in small, what is next, what blocks acceptance."""

from __future__ import annotations

from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.widgets import OptionList

from commission_tui.logbook.integrity.merge_conflicts import Differing
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.plan.planning import Task
from commission_tui.screens.host.key_table import key, quiet
from commission_tui.screens.overview import view as overview_view
from commission_tui.screens.shared.job_screen import JobScreen
from commission_tui.screens.widgets.lists import LineList
from commission_tui.screens.widgets.screen_frame import open_dialog
from commission_tui.screens.widgets.text_lines import Painted
from commission_tui.text import clipped

# Forms and dialogs are read in when they are opened: the first screen does not wait for them.


class OverviewScreen(JobScreen):
    """Where the job stands."""

    TAB = "overview"
    AUTO_FOCUS = "#stages"
    HELP_TEXT = (
        "started: some readings logged. n/a: not applicable to this wall, or marked so. Counts "
        "are of the checks that apply: n/a is counted nowhere."
    )

    BINDINGS: ClassVar[list[BindingType]] = [
        key("overview.next", "n", "next", "Next check", "Walk the next check"),
        key("overview.plan", "t", "plan", "Plan", "Order what to do in the remaining minutes"),
        key("overview.setting", "c", "setting", "Changed",
            "Log a setting that was changed; says what is no longer good"),
        quiet("overview.doubts", "d", "doubts", "Doubts", "What a change left no longer good"),
        quiet("overview.limit", "a", "limit", "Limit", "Agree a new limit for the selected check"),
        quiet("overview.visits", "v", "visits", "Visits",
            "Visits held against each other; begin a later one"),
        quiet("overview.hidden", "h", "hidden", "Hidden",
            "Show or hide the checks that do not apply"),
        quiet("overview.mark", "space", "mark", "Mark",
            "Mark a check, to say of several at once that they do not apply"),
        quiet("overview.skip", "x", "skip", "Does not apply",
            "All that is marked, or this check, does not apply"),
        quiet("overview.skip-stage", "X", "skip_stage", "Stage does not apply",
            "Nothing of this stage applies: all of it of which nothing is recorded"),
        quiet("overview.settle", "s", "settle", "Settle",
            "Say whether the wall has something: yes, no or not known"),
        quiet("overview.accuracy", "u", "accuracy", "Accuracy",
            "State how accurate an instrument is of which that was not known"),
        quiet("overview.scope", "w", "scope", "Scope",
            "Agree more of the checks, or fewer with a reason"),
        quiet("overview.add", "plus", "add", "Add to the design",
            "Add a camera, a stage position, loudspeakers, a seat or an input to the design",
            key_display="+"),
        quiet("overview.who", "i", "who", "Who logs",
            "Change the name that signs what is logged from here on"),
        quiet("overview.find", "slash", "find", "Find", "Mark a check by typing a part of its name",
            key_display="/"),
        key("overview.fault", "l", "fault", "Log a fault", "Log a fault anywhere"),
        quiet("overview.jobs", "q", "back", "Jobs", "Back to the list of jobs"),
    ]  # fmt: skip

    def __init__(self, job: OpenJob) -> None:
        super().__init__(job)
        self._stages: LineList[str] = LineList(id="stages")
        self._differing = Differing()
        self._hidden_too = False
        self._marks: set[str] = set()

    def compose_content(self) -> ComposeResult:
        with Horizontal(id="middle"):
            yield self._stages
            with Vertical(id="side"):
                yield Painted(id="wall-title")
                yield Painted(id="small-wall")
                yield Painted(id="next")
                with VerticalScroll(id="blocking", can_focus=False):
                    yield Painted(id="blocking-text")

    def on_screen_resume(self) -> None:
        """Come back to where one was."""
        check, self.host.at_check = self.host.at_check, None
        self.call_later(self._stages.go_to, check)  # once the list is as it is now

    def redraw(self) -> None:
        self._fill()
        side = self.query_one("#side")
        width, height = max(10, side.size.width - 2), max(6, side.size.height)
        self.query_one("#wall-title", Painted).show(
            (("Front view  ", "muted"), (clipped(self.job.state.wall.name, width - 12), "strong")),
            *overview_view.wall_facts(self.job),
        )
        self.query_one("#small-wall", Painted).show(
            *overview_view.wall_lines(self.job, width, min(12, height // 2))
        )
        self.query_one("#next", Painted).show(
            *overview_view.next_lines(self.job),
            overview_view.signed_line(self.job, width),
            *overview_view.clock_lines(self.job),
            *overview_view.merged_lines(self.job.state, self._differing),
        )
        self.query_one("#blocking-text", Painted).show(*overview_view.acceptance_lines(self.job))

    def _fill(self) -> None:
        width = max(30, self._stages.size.width - 2)
        rows = overview_view.rows(self.job, width, hidden_too=self._hidden_too, marked=self._marks)
        at = overview_view.next_check(self.job) if self._stages.highlighted is None else None
        self._stages.show(rows, at)

    @on(OptionList.OptionSelected, "#stages")
    def chosen(self) -> None:
        if (check := self._stages.chosen) is not None:
            self.host.walk_to(check)

    def action_next(self) -> None:
        if (check := overview_view.next_check(self.job)) is None:
            self.host.go("handover")
        else:
            self.host.walk_to(check)

    def action_find(self) -> None:
        from commission_tui.screens.walk.pickers import check_picker

        picker = check_picker(self.job, self._stages.chosen or "")
        open_dialog(self, picker, self._stages.go_to)

    def action_plan(self) -> None:
        from commission_tui.screens.overview.plan_dialog import PlanDialog

        def chosen(task: Task) -> None:
            if task.check is not None:
                self.host.walk_to(task.check)
            else:
                self.host.go("punch")

        open_dialog(self, PlanDialog(self.job), chosen)

    def action_setting(self) -> None:
        from commission_tui.screens.shared.settings_forms import pick_setting

        pick_setting(self)

    def action_settle(self) -> None:
        from commission_tui.screens.shared.settings_forms import settle_features

        settle_features(self)

    def action_scope(self) -> None:
        from commission_tui.screens.shared.settings_forms import scope

        scope(self)

    def action_add(self) -> None:
        from commission_tui.screens.shared.settings_forms import pick_addition

        pick_addition(self)

    def action_doubts(self) -> None:
        from commission_tui.screens.doubts.dialog import DoubtsDialog

        open_dialog(self, DoubtsDialog(self.job), self.host.read_again)

    def action_limit(self) -> None:
        from commission_tui.screens.shared.settings_forms import pick_limit

        if (check := self._stages.chosen) is None:
            self.say("Mark a check first", error=True)
        else:
            pick_limit(self, self.job.state.checklist.check(check))

    def action_hidden(self) -> None:
        self._hidden_too = not self._hidden_too
        self.say("What does not apply is " + ("shown" if self._hidden_too else "hidden"))
        self.redraw()

    def action_mark(self) -> None:
        if (check := self._stages.chosen) is not None:
            self._marks ^= {check}
            self.redraw()

    def action_skip(self) -> None:
        check = self._stages.chosen
        self._skip(tuple(sorted(self._marks)) or ((check,) if check else ()))

    def action_skip_stage(self) -> None:
        check = self._stages.chosen
        self._skip(overview_view.open_in_stage(self.job, check) if check else ())

    def _skip(self, checks: tuple[str, ...]) -> None:
        from commission_tui.screens.shared.entry_forms import skip

        if not checks:
            self.say("Nothing is marked of which nothing is recorded", error=True)
            return
        self._marks.clear()
        form = skip(self.job, checks, self.host.drafts)
        self.ask(form.by_itself(), f"{len(checks)} logged as not applicable")

    def action_accuracy(self) -> None:
        from commission_tui.screens.instruments.instrument_forms import state_accuracy

        form = state_accuracy(self.job)
        if form is None:
            self.say(
                "Of every instrument that was used the accuracy is stated"
                if self.job.state.instruments
                else "No instrument is known yet: it is asked for with its first reading"
            )
        else:
            self.ask(form, "Accuracy logged; the uncertainty of its readings follows")

    def action_who(self) -> None:
        from commission_tui.screens.shared.settings_forms import who_logs

        self.app.push_screen(who_logs(self.host).by_itself(), lambda _: self.redraw())

    def action_visits(self) -> None:
        from commission_tui.screens.visits import view as visits_view
        from commission_tui.screens.visits.dialog import VisitsDialog

        def chosen(row: visits_view.DriftRow) -> None:
            cabinet = visits_view.cabinet_of(self.job.state, row.place)
            if cabinet is not None and not row.walk:
                self.host.wall_at(cabinet, "change" if row.fault is None else "faults")
            elif row.check is not None:
                self.host.walk_to(row.check, row.place)
            else:
                self.host.go("punch")

        open_dialog(self, VisitsDialog(self.job), chosen)

    def action_fault(self) -> None:
        self.log_fault("wall")

"""Punch list: filter as you type, sort, mend, verify, accept, reopen."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import timedelta
from typing import ClassVar, cast

from textual import events, on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal, VerticalScroll
from textual.widgets import Input, OptionList

from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.state import fault_steps
from commission_tui.logbook.state.state import Fault
from commission_tui.screens.host.key_table import key, quiet
from commission_tui.screens.photographs.dialog import begin
from commission_tui.screens.photographs.field_reader import FIELDS, FieldShown, led_task, seam_task
from commission_tui.screens.punch import view as punch_view
from commission_tui.screens.shared import entry_forms, photo_dialog
from commission_tui.screens.shared.job_screen import JobScreen
from commission_tui.screens.terminal.styled_text import Line
from commission_tui.screens.widgets.form import Form, Question
from commission_tui.screens.widgets.lists import LineList
from commission_tui.screens.widgets.picker import pick
from commission_tui.screens.widgets.plain_input import PlainInput
from commission_tui.screens.widgets.text_lines import Painted
from commission_tui.text import counted
from commission_tui.wall.model.location import known_location

_SEAMS = "seams"


class PunchScreen(JobScreen):
    """Every fault of the job."""

    TAB = "punch"
    AUTO_FOCUS = "#faults"
    HELP_TEXT = (
        "A number may change when logbooks are merged; the id never does. With items marked, m, "
        "v, a and o work on all of them; what is not ready is left alone."
    )

    BINDINGS: ClassVar[list[BindingType]] = [
        key("punch.mended", "m", "work('mended')", "Mend", "Work was done"),
        key("punch.verified", "v", "work('verified')", "Verify",
            "Looked at again, and it is right"),
        key("punch.accepted", "a", "work('accepted')", "Accept",
            "The client takes it as it is; asks who"),
        quiet("punch.reopened", "o", "work('reopened')", "Reopen", "It came back"),
        key("punch.mark", "space", "mark", "Mark, next",
            "Mark this item and go to the next, or unmark it"),
        quiet("punch.mark_all", "t", "mark_all", "Mark all shown",
            "Mark every item that the filter shows; again unmarks them"),
        quiet("punch.photo", "p", "photo", "Add photo", "Attach a photo to this item, by its path"),
        quiet("punch.photos", "i", "photos", "Photos", "Look at the photos of this item"),
        quiet("punch.correct", "e", "correct", "Correct",
            "Correct or withdraw an item logged wrongly; the old entry is kept"),
        quiet("punch.history", "h", "history", "History on",
            "Scroll the history of this item further; at its end, back to its top"),
        quiet("punch.camera", "c", "camera", "From a camera",
            "Find faulty LEDs or seams in photographs: a folder watched, one list confirmed"),
        quiet("punch.fault", "l", "fault", "New fault", "Log a fault"),
        # The line of the filter shows its key.
        quiet("punch.filter", "slash", "filter", "Filter",
            "Show only what holds what you type: parts of a state, place, kind, note or id; Esc "
            "empties it", key_display="/"),
        quiet("punch.sort", "s", "sort", "Sort", "By number, severity, place, state"),
    ]  # fmt: skip

    def __init__(self, job: OpenJob) -> None:
        super().__init__(job)
        self._sort = punch_view.SORTS[0]
        self._listed: LineList[str] = LineList(id="faults")
        """The faults shown, by id."""
        self._marked: frozenset[str] = frozenset()
        self._came_from: str | None = None
        """The fault that was chosen when one went to the filter, while one is in it."""

    def compose_content(self) -> ComposeResult:
        yield Painted(id="summary")
        with Horizontal(id="filter-line"):
            yield Painted(id="filter-label")
            yield PlainInput(id="filter")
        with Horizontal(id="middle"):
            yield self._listed
            with VerticalScroll(id="history", can_focus=False):
                yield Painted(id="history-text")

    def on_mount(self) -> None:
        self.query_one("#filter-label", Painted).show((("Filter /", "muted"),))

    @property
    def chosen(self) -> Fault | None:
        """The fault under the cursor, as it stands now."""
        chosen = self._listed.chosen
        return next((fault for fault in self.job.state.faults if fault.id == chosen), None)

    def redraw(self) -> None:
        faults = self.job.state.faults
        typed = self.query_one("#filter", PlainInput).value
        shown = punch_view.in_order(punch_view.filtered(faults, typed), self._sort)
        self._marked &= {fault.id for fault in faults}
        with_id = self.size.width >= punch_view.ROOM_FOR_IDS
        rows = [
            ((punch_view.row(f, marked=f.id in self._marked, with_id=with_id),), f.id)
            for f in shown
        ]
        self._listed.show(rows, self._came_from or self._listed.chosen)
        hidden = len(self._marked - {fault.id for fault in shown})
        self.query_one("#summary", Painted).show(
            punch_view.summary(faults, len(shown), self._sort, len(self._marked), hidden)
        )
        self._draw_history()

    def _draw_history(self) -> None:
        fault = self.chosen
        shown = self.query_one("#history-text", Painted)
        if fault is None:
            nothing = "No fault fits the filter" if self.job.state.faults else "No fault logged"
            shown.show(((nothing, "muted"),))
        else:
            shown.show(*punch_view.history(self.job, fault))

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
        self._listed.focus()

    def on_descendant_focus(self, event: events.DescendantFocus) -> None:
        """Remember where one was before a filter; whoever goes to the list is where it stands."""
        in_filter = isinstance(event.widget, PlainInput)
        self._came_from = self._listed.chosen if in_filter else None

    # --- keys

    def action_filter(self) -> None:
        self.query_one("#filter", PlainInput).focus()

    def action_back(self) -> None:
        field = self.query_one("#filter", PlainInput)
        if field.value or field.has_focus:
            with field.prevent(Input.Changed):
                field.value = ""
            self.redraw()
            self._listed.focus()
        else:
            super().action_back()

    def action_history(self) -> None:
        history = self.query_one("#history", VerticalScroll)
        ahead = history.max_scroll_y - history.scroll_y
        to = history.scroll_y + max(1, history.size.height - 1) if ahead >= 1 else 0
        history.scroll_to(y=to, animate=False, immediate=True)

    def action_sort(self) -> None:
        at = punch_view.SORTS.index(self._sort)
        self._sort = punch_view.SORTS[(at + 1) % len(punch_view.SORTS)]
        self.redraw()

    def action_fault(self) -> None:
        fault = self.chosen
        self.log_fault(fault.found.body.location if fault else "wall")

    def action_correct(self) -> None:
        if (fault := self.chosen) is not None:

            def done() -> str:
                stands = any(one.id == fault.id for one in self.job.state.faults)
                return f"Fault {fault.number} {'corrected' if stands else 'withdrawn'}"

            self.ask(entry_forms.correct_fault(self.job, fault), done)

    def action_wall(self) -> None:
        fault = self.chosen
        if fault is None:
            return
        place = fault.found.body.location
        location = known_location(place)
        if location is None or location.port is None:
            self.host.wall_at(place)
            return
        # No one cabinet bears it: the chain is shown, and what it has.
        self.host.wall_at(place, "chains")
        self.app.notify(
            f"Fault {fault.number} at {place}, whose chain this is: {fault.found.body.fault}, "
            f"{fault_steps.state_words(fault)}",
            markup=False,
        )

    # --- marks

    @property
    def worked_on(self) -> list[Fault]:
        """The marked faults that are shown; the one under the cursor when none is marked at all."""
        if not self._marked:
            return [self.chosen] if self.chosen else []
        worked_on = self._marked.intersection(self._listed.values)
        return [fault for fault in self.job.state.faults if fault.id in worked_on]

    def action_mark(self) -> None:
        if (fault := self.chosen) is not None:
            self._marked ^= {fault.id}
            self.redraw()
            at = (self._listed.highlighted or 0) + 1
            self._listed.highlighted = min(at, self._listed.option_count - 1)

    def action_mark_all(self) -> None:
        shown = {fault for fault in self._listed.values if fault is not None}
        self._marked = self._marked - shown if shown <= self._marked else self._marked | shown
        self.redraw()

    # --- photos

    def action_photo(self) -> None:
        if (fault := self.chosen) is not None:
            form = photo_dialog.attach_form(self.job, fault, marked=len(self._marked))
            self.ask(form, f"Photo of fault {fault.number} kept")

    def action_photos(self) -> None:
        fault = self.chosen
        if fault is None or not fault.photos:
            self.say("This item has no photo; p adds one", error=True)
        else:
            self.app.push_screen(photo_dialog.PhotoDialog(self.job, fault))

    def action_camera(self) -> None:
        def picked(field: str) -> None:
            if field == _SEAMS:
                begin(self, seam_task(self.job))
            else:
                begin(self, led_task(self.job, cast("FieldShown", field)))

        lines: dict[str, Line] = {field: ((f"LEDs on {field}", ""),) for field in FIELDS}
        lines[_SEAMS] = (("Seams on white", ""),)
        pick(self, "From photographs", lines, picked)

    # --- work

    def action_work(self, action: str) -> None:
        faults = self.worked_on
        found = fault_steps.sorted_by_step(faults, action)
        if not faults and self._marked:
            marked = counted(len(self._marked), "marked fault")
            self.say(f"The filter hides the {marked}: nothing was {action}", error=True)
        elif not faults:
            self.say("No fault is marked", error=True)
        elif found.allowed:
            self._ask_step(faults, found, action)
        elif len(faults) == 1:
            self.say(fault_steps.why_no_step(faults[0], action), error=True)
        else:
            states = " and ".join(dict.fromkeys(fault.state for fault in faults))
            self.say(f"None of the {len(faults)} can be {action}: they are {states}", error=True)

    def _ask_step(
        self, faults: Sequence[Fault], found: fault_steps.SortedByStep, action: str
    ) -> None:
        """Ask once, log a step for all that it is open to as they then stand, and take the marks away.

        Of several that were mended the marks stay.
        """
        ids, done = [fault.id for fault in faults], [found]
        if len(faults) == 1:
            at, title = faults[0].found.body, f"Fault {faults[0].number} {action}"
            notes: list[Line] = [((f"{at.location}  {at.called}", ""),)]
        else:
            title = f"{len(found.allowed)} of {counted(len(faults), 'fault')} {action}"
            notes = punch_view.bulk_notes(found.allowed, found.left_alone, action)

        def submit(answers: Mapping[str, str]) -> None:
            taken, note = _as_it_is(self.job, answers), answers["note"]
            state = self.job.state
            now, bodies = fault_steps.work_bodies(state, ids, action, note=note, taken=taken)
            self.job.record_all(bodies)
            done.append(now)

        def unmarked() -> str:
            stay = action == "mended" and len(ids) > 1  # what was mended is looked at next
            self._marked -= frozenset(() if stay else ids)
            self.redraw()
            if len(ids) == 1:
                return f"Fault {faults[0].number}: {action}, logged"
            told = punch_view.bulk_done(done[-1].allowed, done[-1].left_alone, action)
            return f"{told}; still marked, for v" if stay else told

        # Of several it is one, whatever is marked or unmarked before one goes on with it.
        draft = f"{action} {ids[0] if len(ids) == 1 else 'several'}"
        form = Form(title, _questions(self.job, action), submit, notes=notes, draft=draft)
        self.ask(form, unmarked)


def _questions(job: OpenJob, action: str) -> list[Question]:
    note = Question("note", "What was done, what was seen", hint="may be empty")
    if action != "accepted":
        return [note]
    until = job.today() + timedelta(days=fault_steps.USUAL_DAYS)
    return [
        Question("accepted_by", "Who of the client accepts it as it is"),
        Question("owner", "Who puts it right", job.state.title.integrator),
        Question("due", "Until", until.isoformat(), "year-month-day"),
        note,
    ]


def _as_it_is(job: OpenJob, answers: Mapping[str, str]) -> fault_steps.AsItIs | None:
    """Read who takes a fault as it is, who puts it right, and until when; nothing of another step."""
    if "accepted_by" not in answers:
        return None
    return fault_steps.AsItIs(
        answers["accepted_by"], answers["owner"], fault_steps.due_day(answers["due"], job.today())
    )

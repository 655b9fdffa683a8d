"""Walk: one check at a time, one field at a time; Enter logs and moves to the next place."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import ClassVar

from textual import events
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll

from commission_tui.checks.model.definition import CheckDefinition
from commission_tui.checks.places.applicability import features_to_settle
from commission_tui.logbook.actions.reading_corrections import averaged_with, latest_reading
from commission_tui.logbook.entries.models import ReadingTaken
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.state.state import Slot
from commission_tui.screens.host.key_table import key, quiet
from commission_tui.screens.instruments import instrument_forms
from commission_tui.screens.layers.place_lookup import fault_location, step_marks
from commission_tui.screens.layers.wall_geometry import small_drawing, small_plan
from commission_tui.screens.shared import entry_forms, settings_forms
from commission_tui.screens.shared.job_screen import JobScreen
from commission_tui.screens.walk import pickers, resumption
from commission_tui.screens.walk import view as walk_view
from commission_tui.screens.walk.reading_list import reading_rows
from commission_tui.screens.walk.route import Route
from commission_tui.screens.walk.value_entry import ValueEntry
from commission_tui.screens.walk.view import Step
from commission_tui.screens.widgets.screen_frame import open_dialog
from commission_tui.screens.widgets.text_lines import Painted
from commission_tui.text import clipped


class SidePanel(Vertical):
    """The wall in small with the place, and what was read round it."""

    def __init__(self) -> None:
        self._title, self._wall = Painted(id="map-title"), Painted(id="small-wall")
        self._readings = Painted(id="readings")
        super().__init__(self._title, self._wall, self._readings, id="side")

    def draw(self, job: OpenJob, route: Route) -> None:
        step, left = route.step, route.left
        width, height = max(10, self.size.width - 2), max(6, self.size.height)
        rows = 0
        if step is not None:
            drawn = job.state.wall.once(small_plan, width, min(14, height // 2))
            done = walk_view.places_read(job.state, route.check_id) - {p for _, p in left}
            marks, points = step_marks(step.field.per, step.place, job.state.wall, done)
            lines = small_drawing(drawn, marks, points)
            self._wall.show(*lines)
            rows = len(lines)
            there = f" {clipped(step.place, width - 14)} " if marks or points else ""
            self._title.show((("Front view  ", "muted"), (there, "here")))
        room = width, max(3, height - rows - 2)
        shown = reading_rows(
            job.state, route.check, route.steps, route.at, room, {*left, *route.doubted}
        )
        self._readings.show(*shown)


class WalkScreen(JobScreen):
    """The check that is being done."""

    TAB = "walk"
    AUTO_FOCUS = "#value"
    HELP_TEXT = (
        "Type the value and press Enter: it is on the disk before the next place is asked for. "
        "The unit is the one shown. An unusual value must be confirmed: press Enter again to log "
        "it as it is. What you typed before a question was on the screen never answers it: it "
        "waits and is taken up after your answer. Esc leaves the value that was asked about: over "
        "one that is logged it goes on with what waits, else it lets you type it anew; where no "
        "question stands, Esc drops what waits. Esc drops what you typed and did not log; once "
        "more, it leaves. A line break in what you paste is an Enter; pasted lines that come to "
        "another field wait there, and Enter takes them or Esc drops them; an arrow takes them "
        "along. A list asks at a place that was read already. The list stands in the "
        "order in which Enter goes: lines that are optional come last. A blank line that comes at "
        "once behind another is passed over. After a "
        "correction you are back where you were if something is still to read there, else you stay. Tab moves to the text "
        "on the left, where the arrows scroll."
    )

    BINDINGS: ClassVar[list[BindingType]] = [
        key("walk.fault", "ctrl+l", "fault_here", "Fault",
            "Log a fault; the check and the place are filled in"),
        key("walk.correct", "ctrl+r", "put_right", "Correct",
            "Correct, undo or withdraw the reading here, else the last one; the old value is kept"),
        key("walk.skip", "ctrl+o", "skip", "Not applicable",
            "Say that this check does not apply, and why; or settle what it waits for"),
        key("walk.note", "ctrl+n", "note", "Note", "Write a note on this check"),
        key("walk.next_check", "pagedown", "check(1)", "Next",
            "Go on to the next check; this one keeps what it has"),
        quiet("walk.check_before", "pageup", "check(-1)", "Check before",
            "Go back to the check before"),
        quiet("walk.instrument", "ctrl+t", "instrument", "Instrument",
            "Choose or add the instrument for this unit"),
        quiet("walk.next_place", "down", "step(1)", "Next place", "Next place"),
        quiet("walk.place_before", "up", "step(-1)", "Place before", "Back one place"),
        quiet("walk.find_place", "ctrl+s", "find_place", "Find place",
            "Go to any place of this check; or walk the cabinets in another order"),
        quiet("walk.again", "ctrl+f", "again", "Read again",
            "The value repeats the reading here; repeats are averaged"),
        quiet("walk.same_points", "f9", "same_points", "Same points",
            "At a later visit: only the points that the first visit read, or all again"),
        quiet("walk.files", "f6", "files", "Photographs, a table; test patterns",
            "Read photographs or a meter's table into this check, or write its test patterns"),
    ]  # fmt: skip

    def __init__(self, job: OpenJob) -> None:
        super().__init__(job)
        self._route = Route(job)
        self._side = SidePanel()
        self.asking = ValueEntry(self, self._route, self._show_place, self.go_to)
        self._half_typed = self.asking.half_typed

    # --- where one is

    @property
    def check_now(self) -> CheckDefinition:
        return self._route.check

    @property
    def step_now(self) -> Step | None:
        return self._route.step

    def go_to(
        self, check_id: str, place: str | None = None, *, among: Collection[Slot] = ()
    ) -> None:
        """Show a check, at its first open place, one given or the first of some; what is half typed waits here."""
        left = self.asking.leave()
        if check_id != self._route.check_id and self.is_mounted:
            self.host.went_on()
        self._route.go_to(check_id, place, among)
        if self.is_mounted:
            self._moved_from(left)

    def go_to_entry(self, entry_id: str) -> None:
        logged = self.job.state.entries[entry_id].body
        if isinstance(logged, ReadingTaken) and logged.check in self.job.state.checklist:
            slot = logged.field, logged.place
            self.go_to(logged.check, among=[slot])

    def _moved_from(self, left: Mapping[str, str]) -> None:
        self.asking.show_place()
        self._half_typed.put_aside(left)
        self._half_typed.take_up()

    def unfinished(self) -> dict[str, str]:
        """Return where one is, what is half typed there and what waits behind it."""
        return resumption.to_keep(self.asking, self.host.typed_ahead(self))

    def come_back(self, kept: Mapping[str, str]) -> None:
        """Go back to where one was when the program ended, with what was half typed there."""
        resumption.come_back(self.job, self._route, self.asking, kept)

    def on_screen_resume(self) -> None:
        self.host.at_check = self._route.check_id
        self.asking.offer_again()

    # --- what is shown

    def compose_content(self) -> ComposeResult:
        with Horizontal(id="check-line"):
            yield Painted(id="check-where")
            yield Painted(id="check-verdict")
        with Horizontal(id="middle"):
            with VerticalScroll(id="guide"):
                yield Painted(id="guide-text")
            yield self._side
        yield self.asking

    def redraw(self) -> None:
        self.asking.leave_earlier_visit()
        check = self.check_now
        where, verdict = walk_view.check_line(self.job, check, max(40, self.size.width - 2))
        self.query_one("#check-where", Painted).show(where)
        self.query_one("#check-verdict", Painted).show(verdict)
        guide = walk_view.guide(self.job, check, self.step_now)
        self.query_one("#guide-text", Painted).show(*guide)
        self._side.draw(self.job, self._route)
        self.asking.draw()

    def _show_place(self) -> None:
        self.host.at_check = self._route.check_id
        self.redraw_all()
        self.query_one("#guide", VerticalScroll).scroll_home(animate=False)

    def on_key(self, event: events.Key) -> None:
        """Type a character into the field while the text beside it is scrolled."""
        field = self.asking.field
        if event.is_printable and event.character is not None and self.focused is not field:
            field.focus()
            field.insert_text_at_cursor(event.character)
            event.stop()

    # --- moving

    def action_step(self, by: int) -> None:
        if self.focused is not self.asking.field:
            return
        left = self.asking.leave()
        if self._route.look(by):
            self._moved_from(left)

    def action_check(self, by: int) -> None:
        self.go_to(walk_view.check_beside(self.job.state, self._route.check_id, by))

    def action_find_check(self) -> None:
        picker = pickers.check_picker(self.job, self._route.check_id)
        open_dialog(self, picker, self.go_to)

    def action_find_place(self) -> None:
        def picked(place: str) -> None:
            if place == pickers.PATH:
                left = self.asking.leave()
                self._route.next_path()
                self._moved_from(left)
                self.say(f"Order of the cabinets: {self._route.path}")
            else:
                self.go_to(self._route.check_id, place)

        open_dialog(self, pickers.place_picker(self.job, self._route), picked)

    # --- the rest

    def action_fault_here(self) -> None:
        step = self.step_now
        location = "wall"
        if step is not None:
            location = fault_location(step.field.per, step.place, self.job.state.wall)
        self.log_fault(location, self._route.check_id)

    def action_skip(self) -> None:
        check = self.check_now
        if features_to_settle(check.applies, self.job.state.wall):
            settings_forms.settle_features(self, check.id)
            return
        if said := self.job.state.skipped.get(check.id):
            form, done = entry_forms.applies_after_all(self.job, said[-1]), "applies after all"
        else:
            form = entry_forms.skip(self.job, [check.id], self.host.drafts)
            done = "does not apply"
        self.ask(form, f"{check.title}: {done}, logged")

    def action_take_back(self) -> None:
        """Take back what was logged last; what stands in the field and is not logged comes before it."""
        if typed := self.asking.field.value.strip():
            esc = "Esc drops it, then Ctrl+Z takes back what was logged"
            self.say(f"{clipped(typed, 20)} stands here and is not logged: {esc}", error=True)
        else:
            super().action_take_back()

    def action_note(self) -> None:
        self.ask(entry_forms.note(self.job, self.check_now), "Note logged")

    def action_put_right(self) -> None:
        """Correct what was read here; where nothing was yet, what was logged last of this check."""
        step = self.step_now
        here = latest_reading(self.job.state, self._route.check_id, *step.slot) if step else None
        reading = here or self._route.last_read
        if reading is None:
            self.say("Nothing to put right: nothing was read in this check", error=True)
            return
        typed = self.asking.field.value.strip() if here else ""

        others = averaged_with(self.job.state, reading.id) if typed else ()

        def corrected(_: bool) -> None:
            self.say(entry_forms.kept_words(self.job, reading, others))
            if here is None:
                self.redraw()
                return
            was = here.body
            stands = latest_reading(self.job.state, was.check, was.field, was.place)
            self.asking.put_right(is_withdrawn=stands is None)

        form = entry_forms.put_right(self.job, reading, typed, is_last=here is None)
        open_dialog(self, form, corrected)

    def action_back(self) -> None:
        """Take back what was asked or typed first; only then leave."""
        if not self.asking.back():
            super().action_back()

    def action_again(self) -> None:
        self.asking.again()

    def action_same_points(self) -> None:
        if not self.job.state.visits:
            self.say("This is the first visit: there are no earlier points")
            return
        left = self.asking.leave()
        self._route.toggle_same()
        self._moved_from(left)
        which = "the points of the first visit" if self._route.same else "all points"
        self.say(f"Now walked: {which}")

    def action_files(self) -> None:
        check_id = self._route.check_id
        pickers.pick_file(self, check_id, self.step_now, lambda: self.go_to(check_id))

    def action_instrument(self) -> None:
        step = self.step_now
        if step is None or not step.field.measured:
            self.say("This field needs no instrument")
            return
        here = latest_reading(self.job.state, self._route.check_id, *step.slot)
        meter = self.job.state.meter_of(here) if here else None
        chosen = self.asking.instrument_chosen
        instrument_forms.choose_instrument(self, step.field.unit, chosen, read_with=meter)

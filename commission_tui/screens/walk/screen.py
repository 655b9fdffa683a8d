"""Walk: one check at a time, one field at a time; Enter logs and moves to the next place."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import ClassVar

from textual import events, on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal, VerticalScroll
from textual.widgets import Input

from commission_tui.checks.model.definition import CheckDefinition
from commission_tui.checks.model.input_parsing import typed_value, without_label
from commission_tui.checks.model.types import Value
from commission_tui.checks.places.applicability import features_to_settle
from commission_tui.errors import CommissionError
from commission_tui.figures import reading_text
from commission_tui.logbook.actions.standing import latest_reading, reading_in_place
from commission_tui.logbook.entries.logged import Logged
from commission_tui.logbook.entries.models import ReadingTaken
from commission_tui.logbook.job import OddReadingError, OpenJob
from commission_tui.screens.host.typed_keys import WAITS, Asked, Hold
from commission_tui.screens.instruments import instrument_forms
from commission_tui.screens.layers.place_lookup import fault_location
from commission_tui.screens.shared import entry_forms, settings_forms
from commission_tui.screens.shared.job_screen import JobScreen
from commission_tui.screens.terminal.styled_text import Line
from commission_tui.screens.walk import message, pickers
from commission_tui.screens.walk import view as walk_view
from commission_tui.screens.walk.keys import KEYS
from commission_tui.screens.walk.panels import Entry, EntryPanel, SidePanel
from commission_tui.screens.walk.route import Route
from commission_tui.screens.walk.view import Preview, Step
from commission_tui.screens.widgets.screen_frame import too_small
from commission_tui.screens.widgets.text_lines import Painted
from commission_tui.text import clipped

_OVER = "Typed on, and waits: {}. Down drops it"
_ODD = "Typed on, and waits: {}. Esc twice drops it"
_WRONG = "Waits until this is right: {}. Esc drops it"


class WalkScreen(JobScreen):
    """The check that is being done."""

    TAB = "walk"
    AUTO_FOCUS = "#value"
    HELP_TEXT = (
        "Type the value and press Enter: it is on the disk before the next place is asked for. "
        "The unit is the one shown. An unusual value must be confirmed: press Enter again "
        "to log it as it is. Over a value that is logged already, Ctrl+R replaces it and Ctrl+F "
        "adds a repeat. What you typed before a question was on the screen never answers it: it "
        "waits and is taken up after your answer. Esc leaves the value that was asked about: over one "
        "that is logged it goes on with what waits, else it lets you type it anew; where no question "
        "stands, Esc drops what waits. Esc "
        "drops what you typed and did not log; once more, it leaves. A "
        "line break in what you paste is an Enter; pasted lines that come to another field wait there, "
        "and Enter takes them or Esc drops them. Ctrl+F repeats a reading and averages; "
        "Ctrl+L logs a fault and Ctrl+R corrects the reading at this place. "
        "F6 reads a meter's table or photographs into the check, or writes its test patterns as files. "
        "At a later "
        "visit F9 walks the points of the first. "
        "Tab moves to the text on the left, where the arrows scroll."
    )

    BINDINGS: ClassVar[list[BindingType]] = KEYS

    def __init__(self, job: OpenJob) -> None:
        super().__init__(job)
        self._route = Route(job)
        self._side, self._entry = SidePanel(), EntryPanel()
        self._asked: tuple[Step, str] | None = None
        self._over: Logged[ReadingTaken] | None = None
        self._hold: Hold | None = None
        self._shown = Preview()
        self._again = False

    # --- where one is

    @property
    def check_now(self) -> CheckDefinition:
        return self._route.check

    @property
    def step_now(self) -> Step | None:
        return self._route.step

    @property
    def asks_for(self) -> Asked | None:
        """What is asked for now, by which the lines of a paste are told from those for another."""
        step = self.step_now
        if step is None:
            return None
        item = step.field
        name = "x or y" if item.unit == "xy" else item.name
        return Asked(self._route.check_id, name, item.label)

    @property
    def has_strays(self) -> bool:
        """Whether lines wait that were typed for another field than the one asked for now."""
        hold = self._hold
        return bool(hold and hold.typed and hold.meant_for and hold.meant_for != self.asks_for)

    def go_to(self, check_id: str, place: str | None = None) -> None:
        """Show a check, at its first open place or at one given; what is half typed waits here."""
        self._put_aside()
        self._route.go_to(check_id, place)
        if self.is_mounted:
            self._fresh()
            self._take_up()

    def _put_aside(self) -> None:
        kept = self.unfinished()
        if kept and kept["value"]:
            self.host.drafts[_draft(kept["check"], kept["field"], kept["place"])] = kept

    def _take_up(self) -> None:
        """Put what was half typed here back into the field, where nothing was logged since."""
        step = self.step_now
        if step is None:
            return
        typed = self.host.drafts.pop(_draft(self._route.check_id, *step.slot), {}).get("value", "")
        if typed and self.job.state.latest(self._route.check_id, *step.slot) is None:
            self._put_back(typed)

    def _put_back(self, typed: str) -> None:
        self._entry.field.take_up(typed)
        self.say(
            f"Half typed here and not logged: {clipped(typed, 20)}. Typing replaces it, Esc drops it"
        )

    def unfinished(self) -> dict[str, str]:
        """Return where one is and what is half typed there."""
        step = self.step_now
        if step is None or not self.is_mounted:
            return {}
        value = self._entry.field.value
        return {
            "check": self._route.check_id,
            "field": step.field.name,
            "place": step.place,
            "value": value,
        }

    def come_back(self, kept: Mapping[str, str]) -> None:
        """Go back to where one was when the program ended, with what was half typed there."""
        slot = kept.get("field", ""), kept.get("place", "")
        if self._route.check_id == kept.get("check") and self._route.go_to_slot(slot):
            self._fresh()
            if kept.get("value"):
                self._put_back(kept["value"])

    def on_mount(self) -> None:
        # A question says what Esc does, which rests on whether more waits for it.
        self.host.waits_signal.subscribe(self, lambda _: self._draw_message())

    def on_screen_resume(self) -> None:
        super().on_screen_resume()
        self.host.at_check = self._route.check_id

    def _fresh(self, *, answered: bool = False) -> None:
        """Empty the field and show the current place; what waited for an answer is taken up, or dropped."""
        self._asked = self._over = None
        self.host.at_check = self._route.check_id
        if answered and self.has_strays:
            self._say_strays()
        else:
            (self.host.answered if answered else self.host.taken_back)(self._hold)
            self._hold = None
        self._again = False
        self._shown = Preview()
        field = self._entry.field
        with field.prevent(Input.Changed):
            field.value = ""
        self._redraw_all()
        field.focus()
        self.query_one("#guide", VerticalScroll).scroll_home(animate=False)

    # --- what is shown

    def compose_content(self) -> ComposeResult:
        with Horizontal(id="check-line"):
            yield Painted(id="check-where")
            yield Painted(id="check-verdict")
        with Horizontal(id="middle"):
            with VerticalScroll(id="guide"):
                yield Painted(id="guide-text")
            yield self._side
        yield self._entry

    def redraw(self) -> None:
        check, glyphs, step = self.check_now, self.host.glyphs, self.step_now
        typed = self._entry.field.value
        if step is not None and typed.strip():
            # What was typed may mean something else now: an instrument was chosen meanwhile.
            self._shown = walk_view.preview(self.job, check, step, typed)
        where, verdict = walk_view.check_line(self.job, check, glyphs, max(40, self.size.width - 2))
        self.query_one("#check-where", Painted).show(where)
        self.query_one("#check-verdict", Painted).show(verdict)
        self.query_one("#guide-text", Painted).show(*walk_view.guide(self.job, check, step, glyphs))
        self._side.draw(self.job, self._route, glyphs)
        self._draw_entry()

    def _draw_entry(self) -> None:
        entry = Entry(self._shown, self._message(), self._repeats())
        self._entry.draw(self.job, self._route, self.host.glyphs, entry)

    def hold_strays(self, meant_for: Asked) -> Hold:
        """Return the hold in which lines wait that came to a field they were not pasted for."""
        self._hold = self.host.put_question(self, self._hold)
        self._hold.meant_for = self._hold.meant_for or meant_for
        self._say_strays()
        return self._hold

    def _say_strays(self) -> None:
        if self._hold is not None and self._hold.meant_for is not None:
            label = clipped(self._hold.meant_for.label, 20).replace("{", "{{").replace("}", "}}")
            self.host.say_waits(self._hold, f"Typed for {label}, and waits: {{}}")

    def _message(self) -> Line:
        if self._hold is not None and self.has_strays and not self._entry.field.value:
            return message.strays(self._hold.lines)
        return message.message(
            self.job, self.check_now, self.step_now, self._shown, self.host.glyphs,
            odd=self._asked is not None, over=self._over,
            waits=bool(self._hold and self._hold.typed),
        )  # fmt: skip

    def _draw_message(self) -> None:
        self._entry.say(self._message())

    # --- typing

    def on_key(self, event: events.Key) -> None:
        """Type a character into the field while the text beside it is scrolled."""
        field = self._entry.field
        if event.is_printable and event.character is not None and self.focused is not field:
            field.focus()
            field.insert_text_at_cursor(event.character)
            event.stop()

    @on(Input.Changed, "#value")
    def value_typed(self, event: Input.Changed) -> None:
        step = self.step_now
        if step is None:
            return
        self._asked = self._over = None
        self._shown = walk_view.preview(self.job, self.check_now, step, event.value)
        self._draw_entry()

    @on(Input.Submitted, "#value")
    def value_entered(self, event: Input.Submitted) -> None:
        event.stop()
        step, text = self.step_now, event.value
        if too_small(self):
            return
        if step is None or not text.strip():
            self._nothing_typed()
            return
        if walk_view.needs_instrument(self.job, step):
            self._halt()
            instrument_forms.choose_instrument(
                self, step.field.unit, lambda: self._read_with_it(step, text), self._take_back,
                later=lambda typed: self._waits_too(step, typed),
            )  # fmt: skip
            return
        with self.drawn_once():
            self._log(step, text)

    def _waits_too(self, step: Step, text: str) -> bool:
        """Let one reading more wait for the instrument; whether it is one."""
        try:
            value = typed_value(step.field, text, self.job.state.wall, step.place)
        except CommissionError:
            return False
        return isinstance(value, float) and self.host.wait_too(self._hold, text)

    def _read_with_it(self, step: Step, text: str) -> None:
        """Log what was entered before the instrument was asked for."""
        if walk_view.needs_instrument(self.job, step):  # it measures something else
            self._draw_message()
        else:
            with self.drawn_once():
                self._log(step, text)

    def _stands_already(self, value: Value) -> None:
        """Go on from a value that was typed once more: it is the same reading."""
        step = self.step_now
        self._leave_it()
        unit = step.field.unit if step is not None else ""
        self.say(f"{reading_text(value, unit)} stands already: nothing is logged")

    def _leave_it(self) -> None:
        """Leave what stands here as it is, and go on to the next place, read or not."""
        self._route.step_by(1)
        self._fresh(answered=True)

    def _halt(self, shown: Preview | None = None, waits: str = WAITS) -> None:
        """Say why nothing is logged; what was typed before one could read that waits."""
        self._hold = self.host.put_question(self, self._hold, waits)
        self._shown = shown or self._shown
        self._draw_message()
        step = self.step_now
        if step is not None and step.field.kind == "number":
            self._entry.field.select_all()  # a digit more would make another number of it

    def _nothing_typed(self) -> None:
        at = self.asks_for
        if at is not None and self.has_strays:
            hold, self._hold = self._hold, None
            self.host.let_in(hold, at)
            self._draw_message()
        elif self._route.left:
            text = "Type a value; or Down leaves this place for later, Page Down the whole check."
            self._shown = Preview(error=text)
            self._draw_message()
        else:
            self.go_to(walk_view.check_after(self.job, self._route.check_id))

    def _log(self, step: Step, text: str) -> None:
        try:
            value = typed_value(step.field, text, self.job.state.wall, step.place)
            if not self._again:
                self._over = reading_in_place(self.job.state, self._route.check_id, *step.slot)
            if self._over is not None and not self._again:
                if self._over.body.value == value:
                    self._stands_already(value)
                else:
                    self._halt(waits=_OVER)
                return
            self.job.read(
                self._route.check_id,
                step.field.name,
                step.place,
                value,
                confirmed=self._asked == (step, text),
                again=self._again,
            )
        except OddReadingError as odd:
            self._asked = (step, text)
            shown = replace(self._shown, warning=self._shown.warning or str(odd))
            self._halt(shown, waits=_ODD)
            return
        except CommissionError as error:
            self._asked = None
            self._halt(Preview(error=without_label(str(error), step.field)), waits=_WRONG)
            if self._hold is not None:  # what follows may be for other fields than come now
                self._hold.meant_for = self._hold.meant_for or self.asks_for
            return
        if self._again and self._over is None:  # stay: one more may follow
            self._fresh(answered=True)
            self._again = True
            self._draw_entry()
        else:
            self._route.advance()
            self._fresh(answered=True)

    # --- moving

    def action_step(self, by: int) -> None:
        if self.focused is not self._entry.field:
            return
        if self._route.step_by(by):
            self._fresh()

    def action_check(self, by: int) -> None:
        checks = walk_view.order_of_checks(self.job.state)
        self.go_to(checks[(checks.index(self._route.check_id) + by) % len(checks)])

    def action_find_check(self) -> None:
        def picked(check_id: str | None) -> None:
            if check_id is not None:
                self.go_to(check_id)

        picker = pickers.check_picker(self.job, self._route.check_id, self.host.glyphs)
        self.app.push_screen(picker, picked)

    def action_find_place(self) -> None:
        at = self.step_now.place if self.step_now is not None else None

        def picked(place: str | None) -> None:
            if place == pickers.PATH:
                self._next_path()
            elif place is not None:
                self.go_to(self._route.check_id, place)

        picker = pickers.place_picker(
            self.job, self._route.check_id, self._route.steps, at, self._route.path
        )
        self.app.push_screen(picker, picked)

    def _next_path(self) -> None:
        self._route.next_path()
        self._fresh()
        self.say(f"Order of the cabinets: {self._route.path}")

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
        applies = bool(self.job.state.skipped.get(check.id))
        done = "applies after all" if applies else "does not apply"
        self.ask(entry_forms.skip(self.job, check), f"{check.title}: {done}, logged")

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
        typed = self._entry.field.value.strip() if here else ""

        def closed(logged: bool | None) -> None:
            if logged:
                self.say(entry_forms.kept_words(self.job, reading))
                if here is None:
                    self.redraw()
                    return
                was = here.body
                if latest_reading(self.job.state, was.check, was.field, was.place) is not None:
                    self._route.step_by(1)  # to the next place, read or not
                self._fresh(answered=True)

        last = here is None
        self.app.push_screen(entry_forms.put_right(self.job, reading, typed, last), closed)

    def action_back(self) -> None:
        """Take back the question first; then what was typed before it; then the value; then leave."""
        typed = self._entry.field.value
        waits = self._hold is not None and bool(self._hold.typed)
        if waits and self._over and not self._asked:
            self._leave_it()
        elif waits and self._asked:
            self._asked = self._over = None
            self.host.say_waits(self._hold, _WRONG)
            self._draw_message()
            self._entry.field.select_all()
        elif waits or self._asked or self._over:
            self._take_back()
        elif typed:
            self._entry.field.clear()
            self.say(f"Not logged, and dropped: {clipped(typed, 40)}")
        else:
            super().action_back()

    def _take_back(self) -> None:
        self.host.taken_back(self._hold)
        self._hold = self._asked = self._over = None
        self._draw_message()
        self._entry.field.select_all()

    def _repeats(self) -> int | None:
        """How many readings the next value repeats; None while it repeats none."""
        step = self.step_now
        if not self._again or step is None:
            return None
        return walk_view.readings_together(self.job.state, self._route.check_id, step)

    def action_again(self) -> None:
        step = self.step_now
        if step is None or step.field.kind != "number":
            self.say("Only a number can be read again and averaged")
        elif self.job.state.latest(self._route.check_id, *step.slot) is None:
            self.say("Nothing was read here yet")
        elif self._over is not None:
            self._again = True
            with self.drawn_once():
                self._log(step, self._entry.field.value)
        else:
            self._again = not self._again
            self._draw_entry()

    def action_same_points(self) -> None:
        if not self.job.state.visits:
            self.say("This is the first visit: there are no earlier points")
            return
        self._route.toggle_same()
        self._fresh()
        which = "the points of the first visit" if self._route.same else "all points"
        self.say(f"Now walked: {which}")

    def action_files(self) -> None:
        # Here, not at the top: the walk does not wait for what few ask for.
        from commission_tui.screens.walk import check_files

        check_id = self._route.check_id
        check_files.choose(self, check_id, self.step_now, lambda: self.go_to(check_id))

    def action_instrument(self) -> None:
        step = self.step_now
        if step is None or not step.field.measured:
            self.say("This field needs no instrument")
            return
        instrument_forms.choose_instrument(self, step.field.unit)


def _draft(check: str, field: str, place: str) -> str:
    """Name what is half typed, so that it is kept with what is unfinished in forms."""
    return f"reading {check} {field} {place}"

"""Where the value is typed: what it would mean, what is asked about it, and what waits behind it."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace

from textual import on
from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.widgets import Input

from commission_tui.checks.model.input_parsing import names_unit, typed_value, without_label
from commission_tui.errors import CommissionError
from commission_tui.figures import reading_text
from commission_tui.logbook.actions.reading_corrections import chosen_since, reading_in_place
from commission_tui.logbook.entries.logged import Logged
from commission_tui.logbook.entries.models import ReadingTaken
from commission_tui.logbook.job import OddReadingError
from commission_tui.logbook.judging.visits import visit_readings, with_repeats
from commission_tui.screens.host import waiting_words
from commission_tui.screens.host.begun_forms import visit_now
from commission_tui.screens.host.questions import PendingQuestion
from commission_tui.screens.host.typed_keys import Asked
from commission_tui.screens.shared.job_screen import JobScreen
from commission_tui.screens.terminal.styled_text import Line, outcome_lines
from commission_tui.screens.walk import input_prompt
from commission_tui.screens.walk import view as walk_view
from commission_tui.screens.walk.half_typed import HalfTyped
from commission_tui.screens.walk.meter_question import MeterQuestion
from commission_tui.screens.walk.route import Route
from commission_tui.screens.walk.view import Preview, Step
from commission_tui.screens.walk.waiting_lines import WaitingLines
from commission_tui.screens.widgets.plain_input import PlainInput
from commission_tui.screens.widgets.text_lines import Painted
from commission_tui.text import clipped

_LEFT_EMPTY = 12
"""Characters that a broken row of words may leave empty."""


class ValueEntry(Vertical):
    """The field, what it takes, the line about what was typed, and the verdict."""

    def __init__(
        self,
        screen: JobScreen,
        route: Route,
        moved: Callable[[], None],
        go_to: Callable[[str], None],
    ) -> None:
        """Log at the place that a route is at; `moved` shows another one, `go_to` another check."""
        super().__init__(id="entry")
        self._screen, self._job, self._route = screen, screen.job, route
        self._moved, self._go_to = moved, go_to
        # Made here, so that they are there before the panel is composed: a screen may come that early.
        self.field = PlainInput(id="value", max_length=2000)
        self.half_typed = HalfTyped(screen, route, self.field)
        self._came_back = ""
        """What was half typed here before, and came back when one arrived by Enter."""
        self._prompt, self._unit = Painted(id="asked"), Painted(id="unit")
        self._message, self._standing = Painted(id="message"), Painted(id="standing-text")
        self._odd_value: tuple[Step, str] | None = None
        """The odd value that Enter would log as it is."""
        self._logged_here: Logged[ReadingTaken] | None = None
        """The reading that stands where one more was typed."""
        self.lines = WaitingLines(screen, route)
        self._shown = Preview()
        self._again = False
        """Whether the next value repeats the reading here."""
        self._meter = MeterQuestion(screen, self.lines, self._log, self._take_back)
        self._visit = visit_now(self._job.state)
        self._line_at = -math.inf
        """When the last line of a list came, by the clock of the keys."""

    def compose(self) -> ComposeResult:
        yield self._prompt
        with Horizontal(id="value-line"):
            yield self.field
            yield self._unit
        yield self._message
        with VerticalScroll(id="standing", can_focus=False):
            yield self._standing

    def on_mount(self) -> None:
        # A question says what Esc does, which rests on whether more waits for it.
        self._screen.host.questions.words_changed.subscribe(self, lambda _: self._draw_message())

    def show_place(self, *, answered: bool = False) -> None:
        """Empty the field and show the current place; what waited for an answer is taken up, or dropped."""
        self._odd_value = self._logged_here = None
        if answered and self.has_strays:
            self.lines.say_strays()
        elif answered and self.lines.is_pair_too_early:
            self._screen.host.questions.reword(self.lines.question, waiting_words.OTHER_HALF)
        elif answered or not self.has_strays:
            host = self._screen.host
            (host.questions.answer if answered else host.questions.drop)(self.lines.question)
            self.lines.question = None
        self.lines.is_behind_both = False
        self._again = False
        self._came_back = ""
        self._shown = Preview()
        with self.field.prevent(Input.Changed):
            self.field.empty()
        self._moved()
        self.field.focus()
        if answered:
            self._take_up_half_typed()

    def leave(self) -> dict[str, str]:
        """Return what is half typed here, before one looks elsewhere; lines that wait come along."""
        self.lines.carry()
        return self.half_typed.now

    def leave_earlier_visit(self) -> None:
        """Drop what was half typed here, or waits, since before the visit that was begun meanwhile."""
        if self._visit != (now := visit_now(self._job.state)):
            self._visit = now
            waited = self._screen.host.questions.take_lines(self.lines.question)
            self.half_typed.say_dropped(self.field.value, *waited)
            self.lines.question = None
            self.show_place()

    def _take_up_half_typed(self) -> None:
        """Show what waits at this place; what was typed on unseen does not replace it, and waits."""
        self._came_back = self.half_typed.take_up()
        if self._came_back and self.lines.question is None:
            self.lines.question = self._screen.host.questions.put(
                self._screen, words=waiting_words.behind_half_typed(self._came_back)
            )

    # --- lines that were pasted for another field

    @property
    def asks_for(self) -> Asked | None:
        """What is asked for now, by which the lines of a paste are told from those for another."""
        return self._route.asks_for

    @property
    def has_strays(self) -> bool:
        """Whether lines wait that were typed for another field than the one asked for now."""
        return self.lines.are_strays

    def ask_about_strays(self, meant_for: Asked) -> PendingQuestion:
        """Return the question for which lines wait that came to a field they were not pasted for."""
        return self.lines.ask_about_strays(meant_for)

    # --- what is shown

    def draw(self) -> None:
        """Draw for what is typed: it may mean something else now, an instrument was chosen meanwhile."""
        step, typed = self._route.step, self.field.value
        if step is not None and typed.strip():
            self._shown = self._preview(step, typed)
        self._draw()

    def _preview(self, step: Step, typed: str) -> Preview:
        if pair := self._pair(typed):
            return Preview(echo=input_prompt.both_words(self._route, pair))
        return walk_view.preview(self._job, self._route.check, step, typed)

    def _pair(self, typed: str) -> tuple[str, str] | None:
        """Return both values of one line, where they are asked for one after the other."""
        return None if self._again else self._route.pair(typed)

    def _draw(self) -> None:
        asked, takes = self._asked_for()
        self._prompt.show(asked)
        self._unit.show(*takes)
        self.set_class(len(takes) > 1, "-more")
        self._draw_message()
        # Two rows, less what breaking them leaves empty: so the next step is seen in 80 x 24.
        room = 2 * max(40, self.screen.size.width - 2) - _LEFT_EMPTY
        foreseen, stands = self._shown.outcome, self._job.outcome(self._route.check_id)
        head = "Now:" if foreseen is None else "With this:"
        self._standing.show(*outcome_lines(foreseen or stands, head, room))

    def _draw_message(self) -> None:
        if (waits := self.lines.count) and not self.field.value:
            line = input_prompt.waiting(waits, are_strays=self.has_strays)
        else:
            line = input_prompt.message(
                self._job, self._route.check, self._route.step, self._shown,
                odd=self._odd_value is not None, over=self._logged_here, waits=self.lines.are_there,
            )  # fmt: skip
        self._message.show(line)

    def _asked_for(self) -> tuple[Line, Sequence[Line]]:
        """Return what is asked and what may be typed; the field is made to fit it."""
        step, job, check = self._route.step, self._job, self._route.check
        if step is None:
            return (("Nothing to record on this wall", "muted"),), ()
        stand = visit_readings(job.state, check.id).get(step.slot, ())
        again = len(with_repeats(stand)) if self._again else None
        width, field, spelt = self.screen.size.width, self.field, self._screen.host.spelt
        asked = input_prompt.asked_line(job.state, check, self._route, again, width - 2)
        input_prompt.fit(field, step.field, spelt)
        # The field of a choice is as wide as what is typed, and the choices take what is left.
        room, shown = max(20, width - max(10, len(field.value) + 3) - 4), self._shown
        first, *more = input_prompt.accepted_lines(
            step.field, shown.value, shown.echo, room, typed=bool(field.value)
        )
        wants = input_prompt.designed(job.state, check.id, step)
        return asked, ((*input_prompt.with_replaced(first, field), *wants), *more)

    # --- typing

    @on(Input.Changed, "#value")
    def typed(self, event: Input.Changed) -> None:
        step = self._route.step
        if step is not None:
            self._odd_value = self._logged_here = None
            self._shown = self._preview(step, event.value)
            self._draw()

    @on(Input.Submitted, "#value")
    def entered(self, event: Input.Submitted) -> None:
        event.stop()
        text = event.value
        at_once = text.strip() and self._screen.host.pace.came_at_once
        if at_once and self._route.go_back_to_passed():
            self._moved()
        step = self._route.step
        is_blank_line = not text.strip() and self._is_typed_on
        is_answer = self._odd_value is not None or self._logged_here is not None
        if is_blank_line or (text.strip() and not is_answer):
            self._line_at = self._screen.host.pace.last_at
        if step is None or not text.strip():
            self._nothing_typed(is_blank_line=is_blank_line)
        elif pair := self._pair(text):
            self._enter_pair(step, *pair)
        else:
            self._enter(step, text)

    def _enter_pair(self, step: Step, x: str, y: str) -> None:
        """Enter the first here; the other comes next, before whatever waits."""
        host, at = self._screen.host, self._route.asks_for_other
        with self.field.prevent(Input.Changed):
            self.field.value = x
        self._shown = self._preview(step, x)
        self._enter(step, x)
        if at is not None:
            in_question = self.lines.question if self._route.step is step else None
            # By the app, for a key bubbles no further than to what made it.
            host.call_later(host.type_next, y, at, in_question)

    def _enter(self, step: Step, text: str) -> None:
        """Log a value, or ask first for the instrument it was read with."""
        if self._meter.is_open(step) and not self._shown.error:
            self._halt()
            self._meter.ask(step, text)
        else:
            self._log(step, text)

    def instrument_chosen(self) -> None:
        """Log the value that stands here if an instrument was asked for it; else say that it stands."""
        step, text = self._route.step, self.field.value
        if step is not None and self._meter.is_about(step, text):
            self._meter.answered(step, text)
        elif text.strip():
            self.field.cursor_position = len(text)  # what is typed does not replace it
            self._screen.say(f"{clipped(text, 20)} stands here and is not logged: Enter logs it")

    @property
    def _is_typed_on(self) -> bool:
        """Whether this Enter came at once behind a line, as one of a list: nobody saw where that led.

        So did one that came before that line, and waited with others.
        """
        host = self._screen.host
        return host.pace.last_at - self._line_at < host.reads_s

    def _nothing_typed(self, *, is_blank_line: bool) -> None:
        if self.lines.are_there:
            self.lines.let_in()
            self._draw_message()
        elif is_blank_line:
            # Whoever typed a list from a paper looks up only when it has been taken.
            self._screen.say("Blank line passed over", seconds=10)
        elif self._route.left:
            text = "Type a value; or Down leaves this place for later, Page Down the whole check."
            self._shown = Preview(error=text)
            self._draw_message()
        else:
            self._go_to(walk_view.check_after(self._job, self._route.check_id))

    def _halt(self, shown: Preview | None = None, words: str = waiting_words.TYPED_ON) -> None:
        """Say why nothing is logged; what was typed before one could read that waits."""
        self.lines.question = self._screen.host.questions.put(
            self._screen, self.lines.question, words, of_value=True
        )
        self._shown = shown or self._shown
        self.field.offer()  # what is typed on would make something else of it
        self._draw()

    def _log(self, step: Step, text: str) -> None:
        with self._screen.drawn_once():
            try:
                self._read(step, text)
            except OddReadingError as odd:
                self._odd_value = (step, text)
                shown = replace(self._shown, warning=self._shown.warning or str(odd))
                self._halt(shown, words=waiting_words.ASKED)
            except CommissionError as error:
                self._odd_value = None
                self._halt(
                    Preview(error=without_label(str(error), step.field)), words=waiting_words.WRONG
                )
                self.lines.are_for_here()
                self.lines.is_behind_both |= self._route.is_like_pair(text)

    def _read(self, step: Step, text: str) -> None:
        """Log a value and go on, or ask first about the one that stands there."""
        check, again = self._route.check_id, self._again
        value = typed_value(step.field, text, self._job.state.wall, step.place)
        if not again:
            self._job.refresh()  # another program may have read here meanwhile
            self._logged_here = reading_in_place(self._job.state, check, *step.slot)
        if self._logged_here is None or again:
            self._job.read(
                check, *step.slot, value,
                confirmed=self._odd_value == (step, text), again=again, unit_named=names_unit(text),
            )  # fmt: skip
            self._screen.host.went_on()
            stays = again and self._logged_here is None  # one more may follow
            if not stays:
                (self._route.pass_on if again else self._route.advance)()
            self.show_place(answered=True)
            if stays:
                self.toggle_again()
        elif self._logged_here.body.value == value and not chosen_since(
            self._job.state, self._logged_here
        ):  # typed once more, it is the same reading
            self._leave_it()
            shown = reading_text(value, step.field.unit)
            self._screen.say(f"{shown} stands already: nothing is logged")
        else:
            self._halt(words=waiting_words.ASKED)

    def _leave_it(self) -> None:
        """Leave what stands here as it is, and go on to the next place, read or not."""
        self._route.pass_on()
        self.show_place(answered=True)

    def put_right(self, *, is_withdrawn: bool) -> None:
        """Go on behind a correction: with the lines that wait, else where a list is half done, else stay."""
        if not is_withdrawn:  # else it is asked for again
            (self._route.pass_on if self.lines.are_there else self._route.go_back)()
        self.show_place(answered=True)

    # --- keys

    def toggle_again(self) -> None:
        """Let the next value repeat the reading here, or no longer."""
        self._again = not self._again
        self._draw()

    def again(self) -> None:
        """Repeat the reading here; where one stood already when Enter asked, with what is typed."""
        step = self._route.step
        if step is None or step.field.kind != "number":
            self._screen.say("Only a number can be read again and averaged")
        elif self._job.state.latest(self._route.check_id, *step.slot) is None:
            self._screen.say("Nothing was read here yet")
        elif self._logged_here is not None:
            self._again = True
            self._log(step, self.field.value)
        else:
            self.toggle_again()

    def back(self) -> bool:
        """Take back the question first; then what was typed before it; then the value, if any."""
        if self.lines.are_there and self._logged_here and not self._odd_value:
            self._leave_it()
        elif self.lines.are_there and self._odd_value:
            self._odd_value = self._logged_here = None
            self._screen.host.questions.reword(self.lines.question, waiting_words.WRONG)
            self._draw_message()
            self.field.offer()
        elif self.lines.are_there and self._came_back and self.field.value == self._came_back:
            self.half_typed.drop()  # and what waits behind it comes in here
            question, self.lines.question = self.lines.question, None
            self._screen.host.questions.answer(question)
        elif (
            self.lines.are_strays
            and self.field.value
            and not (self._odd_value or self._logged_here)
        ):
            self.half_typed.drop()  # what waits was typed for another place, before this
        elif self.lines.are_there or self._odd_value or self._logged_here:
            self._take_back()
        elif self.field.value:
            self.half_typed.drop()
        else:
            return False
        return True

    def offer_again(self) -> None:
        """Let typing replace a value that is in question, also behind a form that was closed with Esc."""
        if self._odd_value or self._logged_here:
            self.field.offer()

    def _take_back(self) -> None:
        self._screen.host.questions.drop(self.lines.question)
        self.lines.question = self._odd_value = self._logged_here = None
        self._draw_message()
        self.field.offer()

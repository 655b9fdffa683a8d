"""A small form: a few questions, one line each, what is not right below; typed words are kept until logged."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import VerticalScroll
from textual.widgets import Input

from commission_tui.errors import CommissionError, InputError, WallFileError
from commission_tui.screens.host.begun_forms import NOT_LOGGED
from commission_tui.screens.host.key_table import key, quiet
from commission_tui.screens.host.questions import PendingQuestion
from commission_tui.screens.terminal.styled_text import Line
from commission_tui.screens.widgets.plain_input import PlainInput
from commission_tui.screens.widgets.screen_frame import Dialog
from commission_tui.screens.widgets.text_lines import Painted
from commission_tui.text import clipped, counted


class ErrorLines(VerticalScroll, can_focus=False):
    """Red lines under a form; Page Down and Page Up of the form scroll them."""

    DEFAULT_CSS = """
    ErrorLines { height: auto; min-height: 1; max-height: 6; }
    .-high ErrorLines { max-height: 12; }
    """

    def compose(self) -> ComposeResult:
        yield Painted(id="form-error", classes="message")

    def show(self, error: CommissionError | str = "") -> None:
        """Show one line, or each thing that is wrong on its own; nothing clears them."""
        lines = error.lines if isinstance(error, WallFileError) else (str(error),)
        head = f"{counted(len(lines), 'thing')} to put right (Page Down shows more):"
        shown = [head, *lines] if lines[1:] else [*lines]
        self.query_one("#form-error", Painted).show(*(((line, "error"),) for line in shown))
        self.scroll_home(animate=False)


_CURSOR = "cursor"
"""Under this a draft has the line that one was in when the program ended."""
_REPLACES = "typing replaces it, Ctrl+Z brings it back"

Submit = Callable[[Mapping[str, str]], object]
"""Logs what was typed; raises CommissionError with one line when it cannot."""


@dataclass(frozen=True, slots=True)
class Question:
    """One line of a form."""

    key: str
    label: str
    value: str = ""
    hint: str = ""
    secret: bool = False
    """Shown as dots, never copied, and not kept when the form is closed."""
    begun: bool = False
    """Whether the value is what somebody began to type, which more typing goes on with."""
    check: Callable[[str], object] | None = None
    """Raises CommissionError when what was typed cannot be; asked before the next line is."""
    odd: Callable[[str], str] | None = None
    """Asks about an answer that may be a mistake; empty where it is none. Enter again takes it."""
    not_for_here: Callable[[str], bool] | None = None
    """Takes what was typed on for the screen below, where it waits; whether it was that."""
    offered: str = ""
    """What Up takes into the line while it is empty; the label must say so."""
    kept: Callable[[str], bool] | None = None
    """Whether what was typed is kept when the form is closed; without it, all that is no secret."""


class FormLines(VerticalScroll, can_focus=False, inherit_bindings=False):
    """The lines of a form: of more than there is room for, the one that is filled in is seen."""

    def on_descendant_focus(self) -> None:
        self.call_after_refresh(self._show_line)

    def on_resize(self) -> None:
        self.call_after_refresh(self._show_line)

    def _show_line(self) -> None:
        at = self.screen.focused
        if at is not None and at in self.children:
            label = self.children[self.children.index(at) - 1]
            region = label.virtual_region.union(at.virtual_region)
            self.scroll_to_region(region, animate=False)


class LinesDialog(Dialog[bool]):
    """Lines to fill in, what is not right below them, and a draft of what is typed until it is logged."""

    BOX = "box tall lines"

    BINDINGS: ClassVar[list[BindingType]] = [
        key("form.submit", "ctrl+s", "submit", "Done",
            "Log what is typed now, whatever field you are in"),
        quiet("form.page_down", "pagedown", "page(1)", "Page down",
            "Scroll down: what is not right, else the lines of the form"),
        quiet("form.page_up", "pageup", "page(-1)", "Page up",
            "Scroll up: what is not right, else the lines of the form"),
        key("form.close", "escape", "close", "Close",
            "Close without logging; opened again, it has what you typed, until you quit"),
        quiet("form.elsewhere", "ctrl+g,f2,f3,f4,f5,f7,f8", "elsewhere", "Other screens",
            "Not from a form: Esc closes it first"),
    ]  # fmt: skip

    def __init__(self, draft: str) -> None:
        """Make a dialog; `draft` is under which name what is typed is kept, empty for not at all."""
        super().__init__()
        self._draft = draft
        self._has_logged = False
        self._question: PendingQuestion | None = None

    def compose_box(self) -> ComposeResult:
        with FormLines():
            yield from self.compose_lines()

    def compose_foot(self) -> ComposeResult:
        yield ErrorLines()

    def compose_lines(self) -> ComposeResult:
        """Yield what is asked, each field below its label."""
        raise NotImplementedError

    def _label(self, name: str, text: str, hint: str) -> None:
        self.query_one(f"#label-{name}", Painted).show(((text, "strong"), (f"  {hint}", "muted")))

    def _field(self, name: str) -> PlainInput:
        return self.query_one(f"#field-{name}", PlainInput)

    def _typed(self) -> dict[str, str]:
        """Return what is not as it was filled in, less what is not to be kept."""
        raise NotImplementedError

    def action_submit(self) -> None:
        """Log what is typed, or say what is not right."""
        raise NotImplementedError

    def action_page(self, by: int) -> None:
        wrong, lines = self.query_one(ErrorLines), self.query_one(FormLines)
        part = wrong if wrong.max_scroll_y else lines
        part.scroll_relative(y=by * max(1, part.size.height - 1), animate=False)

    def action_elsewhere(self) -> None:
        """Say why a key that goes to a check or a screen does nothing here; nor does what was for there."""
        self.host.unclaimed.refuse("Esc closes this form first")
        self.host.clear_notifications()
        self.notify("Another check or screen: Esc closes this form first", markup=False, timeout=4)

    def keep_draft(self) -> None:
        """Keep what is typed so far; a secret is never kept."""
        if self._draft:
            typed, at = self._typed(), (self.focused and self.focused.id) or ""
            self.host.drafts.begin(self._draft, typed and {**typed, _CURSOR: at})

    def _go_where_one_was(self) -> None:
        """Go to the line that one was in when the program ended; a form left with Esc begins anew."""
        at = self.host.drafts.get(self._draft, {}).get(_CURSOR)
        for field in self.query(PlainInput):
            if field.id == at and field.display:
                field.focus()

    def action_close(self) -> None:
        if not self.host.questions.drop_told(self):
            self._leave()

    def _leave(self) -> None:
        typed = self._typed()
        if self._draft and self.host.drafts.put_aside(self._draft, typed):
            self.notify(NOT_LOGGED, markup=False)
        elif dropped := ", ".join(filter(str.strip, typed.values())):
            self.notify(f"Not logged, and dropped: {clipped(dropped, 40)}", markup=False)
        self.dismiss(self._has_logged)


class Form(LinesDialog):
    """Asks, logs through `submit`, and closes with True once that is done."""

    BOX = "box lines"
    HELP_TEXT = (
        "Enter goes to the next line, and from the last one logs. Nothing is logged while a red "
        "line says what is missing. What stands in a line that you come to, or was refused, is replaced by "
        "typing, and Ctrl+Z brings it back; any other key keeps it and changes its end."
    )

    BINDINGS: ClassVar[list[BindingType]] = [
        # Tab ends at the last line: round to the first, what is typed on would be shown there.
        quiet("form.up", "up", "line(-1)", "Up", "Line before"),
        quiet("form.down", "down,tab", "line(1)", "Down", "Next line"),
    ]

    def __init__(
        self,
        title: str,
        questions: Sequence[Question],
        submit: Submit,
        *,
        notes: Sequence[Line] = (),
        draft: str = "",
        begin_at: str = "",
        then: Callable[[], Question] | None = None,
    ) -> None:
        """Make a form.

        Args:
            title: What is being done.
            questions: The lines to fill in.
            submit: Logs the answers.
            notes: Shown above the questions: cautions, what it is about.
            draft: Under which name an unfinished form is kept, when that is not its title.
            begin_at: The key of the line one begins on, when that is not the first.
            then: Returns what a form of one line asks next, each time something was logged. Only
                Esc and Enter on an empty line close it: were it closed by what was logged, what is
                typed ahead would go to the keys of the screen below.
        """
        # What was typed for one thing is not offered for the next one that the form begins with.
        super().__init__("" if then or any(q.begun for q in questions) else draft or title)
        self._title = title
        self._questions = tuple(questions)
        self._submit = submit
        self._notes = tuple(notes)
        self._begin_at = begin_at
        self._then = then
        self._refused: Question | None = None
        self._asked: set[tuple[str, str]] = set()

    def compose_lines(self) -> ComposeResult:
        yield Painted(classes="box-notes")
        draft = self.host.drafts.get(self._draft, {})
        if since := self.host.drafts.since(self._draft):
            several = len(self._questions) > 1
            stays = (
                "the line you are in, the others stay" if several else "it, an arrow key keeps it"
            )
            note = f"Not logged, {since}: typing replaces {stays}."
            self._notes += (((note, "caution-text"),),)
        for question in self._questions:
            yield Painted(id=f"label-{question.key}", classes="label")
            value = draft.get(question.key, question.value)
            field = PlainInput(
                value,
                id=f"field-{question.key}",
                secret=question.secret,
                gives_way=not question.begun,
            )
            begins_several = len(self._questions) > 1 and question is self._questions[0]
            if not (question.secret or self._then or begins_several):
                field.takes_whole = bool
            yield field

    def on_mount(self) -> None:
        notes = self.query_one(".box-notes", Painted)
        notes.show(*self._notes)
        notes.display = bool(self._notes)
        for question in self._questions:
            self._label(question.key, question.label, question.hint)
            if question.key == self._begin_at:
                self._field(question.key).focus()
        if not any(question.secret for question in self._questions):  # which did not come back
            self._go_where_one_was()

    def on_descendant_focus(self) -> None:
        self._say_where()

    def _say_where(self) -> None:
        """Say which of the lines one is on, what Enter does there, and typing over one's own words."""
        at = next((n for n, q in enumerate(self._questions) if self._field(q.key).has_focus), 0)
        of, question = len(self._questions), self._questions[at]
        enter = "next" if at + 1 < of else "done"
        says = f"   {at + 1} of {of}, Enter: {enter}" if of > 1 else ""
        field, hint = self._field(question.key), "; typing replaces it"
        room = self.query_one(".box-title").size.width - len(self._title) - len(says)
        if field.is_offered and field.value != question.value and len(hint) <= room:
            says += hint
        self.show_title(((self._title, "title"), (says, "muted")))

    def answers(self) -> dict[str, str]:
        return {q.key: self._field(q.key).value for q in self._questions}

    @on(Input.Submitted)
    def next_or_submit(self, event: Input.Submitted) -> None:
        event.stop()
        at = next(q for q in self._questions if event.input.id == f"field-{q.key}")
        if at.not_for_here is not None and at.not_for_here(event.value):
            event.input.clear()
        elif at is self._questions[-1]:
            self.action_submit()
        elif self._fits(at):
            self.focus_next(PlainInput)
            if self._refused in (None, at):  # what waits goes on behind the line that was wrong
                # Behind a secret that the whole form refused, all of it is typed anew.
                is_anew = at.secret and self._refused is None
                (self.host.questions.drop if is_anew else self.host.questions.answer)(
                    self._question
                )

    @on(Input.Changed)
    def clear_error(self) -> None:
        self.query_one(ErrorLines).show()
        self._say_where()

    def _fits(self, question: Question) -> bool:
        """Whether an answer can be; where not, say why and go back to it."""
        field = self._field(question.key)
        try:
            if question.check is not None:
                question.check(field.value)
            answer = (question.key, field.value)
            odd = question.odd(field.value) if question.odd is not None else ""
            if odd and answer not in self._asked:
                self._asked.add(answer)
                raise InputError(odd)
        except CommissionError as error:
            self._refused = question
            self._say_error(error, question)
            return False
        return True

    def _say_error(self, error: CommissionError, at: Question | None = None) -> None:
        """Say what is wrong, and go to the line that it names: typing replaces what is there."""
        self._question = self.host.questions.put(self, self._question, of_value=True)
        self.query_one(ErrorLines).show(error)
        at = at or self._named_in(str(error))
        if at is not None:
            self._field(at.key).focus()
            self._field(at.key).offer()
            self._label(at.key, at.label, f"{at.hint}; {_REPLACES}".removeprefix("; "))
        elif isinstance(
            self.focused, PlainInput
        ):  # whichever line it is: none goes on with what stands
            self.focused.offer()

    def _named_in(self, error: str) -> Question | None:
        """Return the line that an error begins with: what it asks, or what was typed there."""
        what = error.partition(":")[0].strip().casefold()
        named = [
            q
            for q in self._questions
            if what and (q.key.startswith(what) or q.label.casefold().startswith(what))
        ]
        typed = [
            q
            for q in self._questions
            if not q.secret
            and (entered := self._field(q.key).value.strip())
            and error.startswith(entered)
        ]
        return next(iter((*named, *typed)), None)

    def action_line(self, by: int) -> None:
        fields = list(self.query(PlainInput))
        at = next((n for n, field in enumerate(fields) if field.has_focus), 0)
        offered = self._questions[at].offered
        if by < 0 and offered and not fields[at].value:
            fields[at].take_up(offered)
        else:
            fields[max(0, min(len(fields) - 1, at + by))].focus()

    def action_submit(self) -> None:
        if self._then is not None and not any(text.strip() for text in self.answers().values()):
            self._leave()
            return
        if not all(self._fits(question) for question in self._questions):
            return
        try:
            self._submit(self.answers())
        except CommissionError as error:
            self._refused = None
            self._say_error(error)
            return
        self.host.drafts.pop(self._draft, None)
        self.host.questions.answer(self._question)
        self._has_logged = True
        if self._then is None:
            self.dismiss(True)
        else:
            self._ask(self._then())

    def _ask(self, question: Question) -> None:
        """Ask the next in the line of the one before."""
        self._questions, self._asked = (question,), set()
        self._label(question.key, question.label, question.hint)
        self._field(question.key).take_up(question.value)

    def _typed(self) -> dict[str, str]:
        answers = self.answers()
        return {
            q.key: answers[q.key]
            for q in self._questions
            if answers[q.key] != q.value
            and not q.secret
            and (q.kept is None or q.kept(answers[q.key]))
        }

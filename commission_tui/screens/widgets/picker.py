"""Pick one of many by typing a part of its name."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.dom import DOMNode
from textual.widgets import Input, OptionList
from textual.widgets.option_list import Option

from commission_tui.screens.host.key_table import key, quiet
from commission_tui.screens.host.questions import PendingQuestion
from commission_tui.screens.terminal.styled_text import Line, Part, plain_line
from commission_tui.screens.widgets.lists import ChoiceList
from commission_tui.screens.widgets.plain_input import PlainInput
from commission_tui.screens.widgets.screen_frame import Dialog, open_dialog
from commission_tui.screens.widgets.text_lines import content_of, spelt
from commission_tui.text import begin_words


@dataclass(frozen=True, slots=True)
class Choice:
    """Something to pick."""

    key: str
    line: Line
    also: str = ""
    """Words it is found by as well, which are not shown."""
    name: str = ""
    """What it is called, where its line begins with something else."""
    called: str = ""
    """What people call it as well, as good as what is shown."""
    last: bool = False
    """Whether it comes after all others that fit what is typed as well."""
    number: int = 0
    """Its place among those that fit what is typed as well: the same words always go to the same one."""


def matching_choices(choices: Sequence[Choice], typed: str) -> tuple[Choice, ...]:
    """Return the choices that hold every word typed, in any order and case.

    What is called exactly so comes first, then those whose name begins with what is typed, then those
    that begin words of what they are called with all of them, then those that show them elsewhere, then
    those that are only also found by them; of those that fit as well, what is to be last comes last,
    and their numbers decide. With nothing typed they stand as they were given.
    """
    words = typed.lower().split()
    ranked = [(rank, choice) for choice in choices if (rank := _rank(choice, words)) is not None]
    ranked.sort(key=lambda one: (one[0], one[1].last, one[1].number if words else 0))
    return tuple(choice for _, choice in ranked)


def _rank(choice: Choice, words: Sequence[str]) -> int | None:
    """Return how well a choice fits, 0 the best; nothing when it does not."""
    shown = plain_line(choice.line)
    named, every = f"{shown} {choice.called}", f"{shown} {choice.called} {choice.also}"
    name, typed = (choice.name or shown).lower(), " ".join(words)
    fits = (
        name == typed,
        name.startswith(typed),
        begin_words(named, words),
        _holds(named, words),
        begin_words(every, words),
        _holds(every, words),
    )
    return fits.index(True) if any(fits) else None


def _holds(text: str, words: Sequence[str]) -> bool:
    return all(word in text.lower() for word in words)


class Picker(Dialog[str]):
    """Closes with the key of what was picked; or None."""

    HELP_TEXT = "Type parts of what you look for, in any order."

    BINDINGS: ClassVar[list[BindingType]] = [
        quiet("picker.down", "down", "move(1)", "Down", "Next line"),
        quiet("picker.up", "up", "move(-1)", "Up", "Line before"),
        # Before the field they are typed over, where they would only move the cursor.
        quiet("picker.first", "home", "move(-9999)", "First", "First line", priority=True),
        quiet("picker.last", "end", "move(9999)", "Last", "Last line", priority=True),
        quiet("picker.page_down", "pagedown", "page(1)", "Page down", "A page further"),
        quiet("picker.page_up", "pageup", "page(-1)", "Page up", "A page back"),
        key("picker.take", "enter", "pick", "Take it", "Take the selected line"),
        key("picker.close", "escape", "close", "Cancel", "Close and choose nothing"),
    ]  # fmt: skip

    def __init__(
        self,
        title: str,
        choices: Sequence[Choice],
        *,
        at: str | None = None,
        extra: Choice | None = None,
        meant: Callable[[str], Choice | None] = lambda _: None,
    ) -> None:
        """Make a picker; `extra` stays in the list whatever is typed, and `meant` makes a choice of words that fit none."""
        super().__init__()
        self._title = title
        self._choices = tuple(choices)
        self._at = at
        self._extra = extra
        self._meant = meant
        self._shown: tuple[Choice, ...] = ()
        self._question: PendingQuestion | None = None

    def compose_box(self) -> ComposeResult:
        yield PlainInput(id="picker-filter")
        yield ChoiceList(id="picker-list")

    def on_mount(self) -> None:
        self._fill("")
        keys = [choice.key for choice in self._shown]
        if self._at in keys:
            self.query_one(ChoiceList).highlighted = keys.index(self._at)

    def _fill(self, typed: str) -> None:
        self._shown = matching_choices(self._choices, typed)
        if not self._shown and (meant := self._meant(typed)) is not None:
            self._shown = (meant,)
        hint: Part = ("  type to filter, up and down, Enter", "muted")
        if not self._shown and typed.strip():
            hint = ("  no match", "marginal")
        self.show_title(((self._title, "title"), hint))
        fits = bool(self._shown) or not typed.strip()
        if self._extra is not None:
            self._shown = (*self._shown, self._extra)
            fits = fits or _holds(plain_line(self._extra.line), typed.lower().split())
        options = self.query_one(ChoiceList)
        options.set_options(
            Option(content_of(spelt([choice.line], self))) for choice in self._shown
        )
        # What does not fit the words is taken only by going down to it.
        options.highlighted = 0 if self._shown and fits else None

    @on(Input.Changed)
    def narrow(self, event: Input.Changed) -> None:
        self._fill(event.value)

    def action_move(self, by: int) -> None:
        self.query_one(ChoiceList).move(by)

    def action_page(self, by: int) -> None:
        self.query_one(ChoiceList).page(by)

    @on(Input.Submitted)
    @on(OptionList.OptionSelected)
    def action_pick(self) -> None:
        at = self.query_one(ChoiceList).highlighted
        if at is None:  # what was typed on, unseen, is not for this list
            self._question = self.host.questions.put(self, self._question)
        elif at < len(self._shown):
            for question in (self._early, self._question):
                if question is not None:
                    question.free_pastes()
            self.host.questions.answer(self._question)
            self.dismiss(self._shown[at].key)

    def action_close(self) -> None:
        if not self.host.questions.drop_told(self):
            self.dismiss(None)


def pick(
    node: DOMNode,
    title: str,
    lines: Mapping[str, Line],
    then: Callable[[str], object],
    *,
    at: str | None = None,
    extra: Choice | None = None,
    meant: Callable[[str], Choice | None] = lambda _: None,
    by_itself: bool = False,
) -> None:
    """Let the person pick one of some lines, and go on with its key; else nothing happens."""
    choices = [Choice(key, line) for key, line in lines.items()]
    picker = Picker(title, choices, at=at, extra=extra, meant=meant)
    open_dialog(node, picker.by_itself() if by_itself else picker, then)

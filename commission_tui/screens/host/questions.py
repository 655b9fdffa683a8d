"""Questions that keys must not answer before they are read, and the keys that wait for each."""

from __future__ import annotations

import dataclasses
import math
from collections import deque
from collections.abc import Callable
from dataclasses import dataclass
from itertools import dropwhile, takewhile
from typing import Any, Protocol

from textual import events
from textual.app import App
from textual.screen import Screen
from textual.signal import Signal
from textual.widgets import Input

from commission_tui.screens.host import waiting_words
from commission_tui.screens.host.typed_keys import (
    Asked,
    Pace,
    Paste,
    Typed,
    as_typed,
    lines_of,
    short_text,
    whole_text,
)
from commission_tui.text import counted


@dataclass(slots=True, eq=False)
class PendingQuestion:
    """A question, and the keys that wait for its answer: they were typed before it was on the screen."""

    screen: Screen[Any]
    painted_at: float | None = None
    """When it was on the screen; none until then."""
    is_read: bool = False
    """Whether somebody has begun to answer it."""
    asked_at: float = -math.inf
    """When the value was entered that is in question; long ago where text is no second value."""
    keys: list[Typed] = dataclasses.field(default_factory=list)
    words: str = waiting_words.TYPED_ON
    """How it is said that they wait."""
    meant_for: Asked | None = None
    """The field for which they were typed, where another may be asked for once it is answered."""
    is_carried: bool = False
    """Whether one went on to another place with what waits."""
    came_back: bool = False
    """Whether what waits did so when the program ended."""

    def free_pastes(self) -> None:
        """Let pasted lines that wait go to the form that the answer opens.

        An Enter that waits first was to choose in the list, and was pressed again for that.
        """
        if self.keys and self.keys[0].is_enter:
            self.keys = self.keys[1:]
        for one in self.keys:
            if one.paste is not None:
                one.paste.screen = None

    def add(self, text: str, meant_for: Asked) -> None:
        """Let lines wait as if they had been pasted at a field, and go to no other unasked."""
        self.meant_for = meant_for
        paste = Paste(self.screen, [meant_for])
        *whole, begun = text.split("\n")
        for line in whole:
            self.keys += as_typed(line, paste)
        self.keys += as_typed(begun, paste)[:1] if begun else []

    @property
    def line_count(self) -> int:
        return len(lines_of(self.keys))

    def is_continued_by(self, typed: Typed, reads_s: float) -> bool:
        """Whether a key goes on with what waits: nobody reads a question so soon after the key before."""
        if self.painted_at is None or typed.at <= self.painted_at or self.is_read:
            return False
        last = self.keys[-1] if self.keys else None
        soon = typed.at - (last.at if last else self.asked_at) < reads_s
        behind_paste = last is not None and last.paste is not None and typed.paste is None
        # Backspace or an arrow is an answer; so is Enter, or what logs a form, where no text was typed since.
        ends_line = (
            (typed.is_enter or typed.key == "ctrl+s")
            and last is not None
            and last.at > self.painted_at
        )
        goes_on = typed.is_text or ends_line
        self.is_read = not soon or behind_paste or not goes_on
        return not self.is_read

    def said(self, width: int) -> str:
        """Say what waits, as one would type it, in so many columns: what is done with it is never cut."""
        if secret := self._secret:
            return waiting_words.UNSEEN.format(secret)
        room = width - len(self.words.format(""))
        return self.words.format(short_text(self.keys, room))

    @property
    def whole(self) -> str:
        """What waits, line by line."""
        return self._secret or whole_text(self.keys)

    @property
    def _secret(self) -> str:
        """How much waits where a passphrase is typed; else nothing."""
        is_secret = any(part.password for part in self.screen.query(Input))
        return counted(len(self.keys), "key") if is_secret else ""


class AsksFor(Protocol):
    """The `asking` of a screen that asks for one thing after the other in the same field."""

    @property
    def asks_for(self) -> Asked | None:
        """What is asked for now; None for nothing."""

    def ask_about_strays(self, meant_for: Asked) -> PendingQuestion:
        """Return the question for which lines wait that came to a field they were not pasted for."""


class Questions:
    """Those that stand, the newest last; what waits for one is taken up once it is answered, or dropped."""

    def __init__(
        self,
        app: App[Any],
        pace: Pace,
        to_do: deque[Typed],
        go_on: Callable[[], None],
        tell_dropped: Callable[[str], None],
    ) -> None:
        """Take up in front of the keys that are to do, whose work `go_on` begins again."""
        self._app, self._pace, self._to_do = app, pace, to_do
        self._go_on, self._tell_dropped = go_on, tell_dropped
        self._pending: list[PendingQuestion] = []
        self.words = ""
        """What is said of keys that wait; nothing while none do."""
        self.words_changed: Signal[str] = Signal(app, "waits")

    def put(
        self,
        screen: Screen[Any],
        question: PendingQuestion | None = None,
        words: str = waiting_words.TYPED_ON,
        *,
        of_value: bool = False,
    ) -> PendingQuestion:
        """Let no key answer that was typed before the question is painted; again, where it stands already.

        `words` is how it is said that such keys wait. `of_value` says that what was entered is in
        question: text that comes before one can have read that is the next line of a list, and no
        other value for this one.
        """
        if question is None or question not in self._pending:
            question = PendingQuestion(screen)
            self._pending.append(question)
        question.painted_at, question.is_read = None, False
        question.asked_at = self._pace.last_at if of_value else -math.inf
        self.reword(question, words)
        return question

    def reword(self, question: PendingQuestion | None, words: str) -> None:
        """Say in other words that keys wait: a question was taken back, and they wait on."""
        if question in self._pending:
            question.words = words
            self.tell()

    def tell(self) -> None:
        """Say what waits for as long as it does, in a row of its own."""
        width = self._app.size.width
        said = [question.said(width) for question in self._pending if question.keys]
        self.words = said[-1] if said else ""
        self.words_changed.publish(self.words)

    # --- keys that wait

    def take(self, typed: Typed, reads_s: float) -> bool:
        """Whether a key goes on with what waits for an answer; it waits with that.

        So it does where the question brought a form: nobody has read that so soon. A paste there is
        for the form, which takes of it what is its own.
        """
        here = [question for question in self._pending if question.screen is self._app.screen]
        if not here and typed.paste is None:
            here = [question for question in self._pending[-1:] if question.keys]
        if not here or typed.is_escape or not here[-1].is_continued_by(typed, reads_s):
            return False
        here[-1].keys.append(typed)
        self.tell()
        return True

    def add_line(self, question: PendingQuestion | None, line: str) -> bool:
        """Let a line wait, with its Enter, behind what waits for an answer; whether that is asked."""
        if question not in self._pending:
            return False
        question.keys += as_typed(line)
        self.tell()
        return True

    def put_first(self, question: PendingQuestion | None, typed: list[Typed]) -> bool:
        """Let keys wait before all that waits for an answer; whether that is asked."""
        if question not in self._pending:
            return False
        question.keys[:0] = typed
        self.tell()
        return True

    def take_lines(self, question: PendingQuestion | None) -> list[str]:
        """Take out the lines that wait for an answer; whoever asks keeps them."""
        if question not in self._pending:
            return []
        self._pending.remove(question)
        self.tell()
        lines = lines_of([one for one in question.keys if one.is_text or one.is_enter])
        return list(filter(None, map(str.strip, lines)))

    # --- what becomes of them

    def answer(self, question: PendingQuestion | None) -> None:
        """Take up what was typed before the question, before what was typed after it."""
        if question in self._pending:
            self._pending.remove(question)
            self._to_do.extendleft(reversed(question.keys))
            self.tell()
            self._go_on()

    def answer_at(self, question: PendingQuestion | None, at: Asked) -> None:
        """Take up what waited elsewhere at the field that is asked for now."""
        if question is not None:
            question.keys = list(dropwhile(lambda one: one.is_enter, question.keys))
            for paste in {id(one.paste): one.paste for one in question.keys if one.paste}.values():
                paste.fields.append(at)
            self.answer(question)

    def drop(self, question: PendingQuestion | None) -> None:
        """Drop what was typed before a question that is not answered, and say so."""
        if question in self._pending:
            self._pending.remove(question)
            self._drop_keys(question)

    def drop_told(self, screen: Screen[Any]) -> bool:
        """Drop what is said to wait, for a question of a screen that stands; whether anything did.

        So is what waits below it, where it is said that Esc drops it; what is not said waits on.
        """
        told = next((question for question in reversed(self._pending) if question.keys), None)
        if told is None or (told.screen is not screen and told.words != waiting_words.TYPED_ON):
            return False
        self._drop_keys(told)
        return True

    def _drop_keys(self, question: PendingQuestion) -> None:
        keys, question.keys = question.whole if question.keys else "", []
        self.tell()
        self._tell_dropped(keys)

    async def painted(self) -> None:
        """Let each new question be painted; what came before that waits for it."""
        for question in [one for one in self._pending if one.screen not in self._app.screen_stack]:
            self.drop(question)
        for question in [one for one in self._pending if one.painted_at is None]:
            if question.came_back and question.screen is not self._app.screen:
                continue  # what is typed meanwhile is for what covers it
            await self._app.screen.wait_for_refresh()
            question.painted_at = now = events.Event().time
            early = [typed for typed in self._to_do if typed.at <= now]
            if early and (question.keys or not early[0].is_escape):
                for _ in early:
                    self._to_do.popleft()
                question.keys += _that_wait(early, question.keys)
                self.tell()


def _that_wait(early: list[Typed], waiting: list[Typed]) -> list[Typed]:
    """Return the keys that wait behind others: lines and moves, or what changes a text before them.

    A key alone may be an answer: it is pressed again.
    """
    is_line = any(typed.is_text or typed.is_enter for typed in early)
    if waiting and waiting[-1].is_enter:  # one Enter more is no line
        is_line = any(typed.is_text for typed in early)
    if is_line or any(typed.is_move for typed in early):
        return early
    behind_text = waiting and waiting[-1].is_text
    return list(takewhile(lambda one: one.is_edit, early)) if behind_text else []

"""Keys in the order in which they came: the next is handed over once the one before has done its work.

The rule, as the help tells it:

- A key goes to what the keys before it made of the screen: to the form that they opened, to the
  field that they focused, to the screen below a dialog that they closed.
- A line break in what is pasted is an Enter.
- A question is answered only by a key that was typed after it was painted. What was typed before it
  waits, with what goes on behind it without a pause, and is taken up as if typed after the answer;
  closing what asks drops what waits, with a line that says what. In a box the first Escape only
  drops what waits, the next closes.
  An Escape that comes next after what led to a question leaves it, and what is behind goes to what
  it left.
- Figures typed where no field is are lines of a list whose field was left: they are not taken, nor is
  what goes on behind them without a pause, and it is said. A line of text that comes at once, such as
  ``R1C2 dead pixel``, ``l2.5``, two words or a long one, is one too; behind a letter that opens a field,
  such as l, words are typed. So are letters behind an Enter that closed a form nobody can have seen close.
- What comes at once behind a key that a form refuses, as it leads to another screen, was for that
  screen: the form takes none of it but Escape, and it is said.
- The lines of a paste go to the field that it began in. At another field they wait, until an Enter
  there lets them in: a number pasted for one thing is never logged as another unasked. A line of a form
  takes them as one, joined by a stroke; only a paste that begins in the first of several goes on to the next.
"""

from __future__ import annotations

import asyncio
import math
from collections import deque
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from textual import events
from textual.app import App
from textual.screen import Screen
from textual.widgets import Input

from commission_tui.screens.host.covered_keys import CoveredKeys
from commission_tui.screens.host.message_pumps import Rest
from commission_tui.screens.host.questions import AsksFor, PendingQuestion, Questions
from commission_tui.screens.host.typed_keys import (
    Asked,
    Pace,
    Paste,
    Typed,
    as_typed,
    lines_of,
    pasted,
    whole_text,
)
from commission_tui.screens.host.unclaimed_keys import UnclaimedKeys

_TOGETHER_S = 0.01
"""In which the rest of what a terminal pastes as keys has come."""
_SPELT = 12
"""In so many times as long the second letter of a word comes behind a form that was closed."""


class KeyQueue(App[None]):
    """Takes keys one at a time; see the module."""

    reads_s = 1.0
    """The least in which a person sees a question and begins to answer, after the key before it."""

    def __init__(self) -> None:
        super().__init__()
        self._to_do: deque[Typed] = deque()
        self._covered = CoveredKeys(self)
        self._busy = False
        self.pace = Pace()
        self.questions = Questions(self, self.pace, self._to_do, self._go_on, self._typed_on)
        self.unclaimed = UnclaimedKeys(self, self.pace)
        self._begun = False
        self._rest = Rest(self)
        self._carriage_return = False
        self._dropped_at = math.inf
        """When it was told of keys that were not taken, while that stands."""
        self.keeps_lines = False
        """Whether lines wait in what was kept last."""

    @property
    def takes_keys(self) -> bool:
        """Whether a key is still at work, or others wait behind it."""
        return self._busy

    def typed_ahead(self, screen: Screen[Any]) -> list[Typed]:
        """Return what came and is still to do on a screen."""
        is_shown = screen is self.screen
        return [
            typed for typed in self._to_do
            if (screen is typed.paste.screen if typed.paste and typed.paste.screen else is_shown)
        ]  # fmt: skip

    def keep_unfinished(self) -> None:
        """Keep what is typed and not logged, so that no crash loses it."""

    def type_next(self, line: str, at: Asked, question: PendingQuestion | None) -> None:
        """Take a line as if it had been pasted at a field, before all that is to do, or that waits."""
        typed = as_typed(line, Paste(question.screen if question else self.screen, [at]))
        if not self.questions.put_first(question, typed):
            self._to_do.extendleft(reversed(typed))
            self._go_on()

    def hand_on(self, event: events.Key) -> None:
        """Hand a key to what it left, before those behind it."""
        again = events.Key(event.key, event.character)  # what it has been to stopped it
        self._to_do.appendleft(Typed(again, event.time))
        self._go_on()

    def clear_notifications(self) -> None:
        """Clear what was told in passing."""
        super().clear_notifications()
        self._dropped_at = math.inf
        for screen in self.screen_stack:  # also below a dialog that is about to close
            for rack in screen.query("ToastRack"):  # else each leaves an empty row in it
                rack.remove_children()

    def went_on(self) -> None:
        """Clear what was told of keys that were not taken, where one had time to read it: one has gone on."""
        if self.pace.last_at - self._dropped_at >= self.reads_s:
            self.clear_notifications()

    def _typed_on(self, text: str) -> None:
        self._dropped(text, "typed on")

    def _dropped(self, text: str, why: str) -> None:
        if text:
            self.clear_notifications()
            self._dropped_at = events.Event().time
            told = f"Not taken, {why}: {text}"
            self.notify(told, markup=False, severity="warning", timeout=10)

    # --- taking keys

    async def on_event(self, event: events.Event) -> None:
        if isinstance(event, events.Key | events.Paste) and not event.is_forwarded:
            pieces = list(self._pieces(event))
            self._to_do.extend([] if self._covered.takes(pieces) else pieces)
            self._go_on()
        else:
            await super().on_event(event)
            if isinstance(event, events.Resize):
                self._dropped(self._covered.told(), "the window was too small")

    def _pieces(self, event: events.Key | events.Paste) -> Iterator[Typed]:
        """Yield what came as keys and lines; a line break is an Enter, however it is written."""
        before, self._carriage_return = self._carriage_return, False
        if isinstance(event, events.Paste):
            yield from pasted(event)
        elif event.key == "ctrl+j":  # the line feed of what a terminal pastes as keys
            if not before:
                yield Typed(events.Key("enter", "\r"), event.time)
        else:
            self._carriage_return = event.key == "enter"
            yield Typed(event, event.time)

    def _go_on(self) -> None:
        if self._to_do and not self._busy:
            self._busy = True
            self.run_worker(self._hand_over(), group="keys")

    async def _hand_over(self) -> None:
        """Hand over key after key, each to what the one before it left."""
        try:
            if not self._begun:  # the first screen is there before its first key
                await self._rest.reached()
                self._begun = True
            is_at_rest, is_list = True, len(self._to_do) > 1
            while self._to_do:
                if is_at_rest and self._is_to_keep(is_list):
                    self.keep_unfinished()
                is_list = False
                typed = self._to_do.popleft()
                await self._rest_of_word(typed)
                if self.questions.take(typed, self.reads_s):
                    continue
                if self.unclaimed.has(typed, self._to_do, self.reads_s):
                    await self._tell_unclaimed()
                    continue
                typed = self._in_one(typed)
                self.pace.note(typed, self.reads_s)
                if self._strays(typed):
                    await self._settled()
                elif self._has_a_place(typed):
                    is_at_rest = await self._handed(typed)
        finally:
            self._busy = False

    async def _rest_of_word(self, typed: Typed) -> None:
        """Let the letters come that a terminal pastes behind one which may be a command."""
        if typed.text.isalpha() and not isinstance(self.focused, Input):
            is_behind_form = self.pace.is_behind_form(typed, self.reads_s)
            for _ in range(_SPELT if is_behind_form else 1):
                await asyncio.sleep(_TOGETHER_S)

    async def _handed(self, typed: Typed) -> bool:
        """Hand over one key; whether it has done its work, for else the next goes on in the same field."""
        before, in_field = self.screen, isinstance(self.focused, Input)
        await super().on_event(typed.event)
        is_at_rest = not (typed.is_text and self._is_typed_on)
        if is_at_rest:
            await self._settled()
        if typed.is_escape:  # what it dropped does not come back
            self.keep_unfinished()
        if typed.is_enter and in_field and before not in self.screen_stack:
            self.pace.closed_at = typed.at
        return is_at_rest

    async def _settled(self) -> None:
        """Let a key do its work, and what it asks be seen."""
        await self._rest.reached()
        await self.questions.painted()

    def _is_to_keep(self, is_list: bool) -> bool:
        """Whether lines that are still to do are kept now: when a list comes, and before each Enter in it.

        Also before its last, or what was kept would hold a line that is logged by then.
        """
        if is_list:
            return any(typed.is_enter for typed in self._to_do)
        return self._to_do[0].is_enter and (len(self._to_do) > 1 or self.keeps_lines)

    async def _tell_unclaimed(self) -> None:
        """Say once what no field took: in one notice, which grows while more of it comes."""
        if not (self._to_do and self.unclaimed.goes_on(self._to_do[0], self.reads_s)):
            self._dropped(self.unclaimed.text, self.unclaimed.why)
            await self._rest.reached()  # the notice before it is gone

    @property
    def _is_typed_on(self) -> bool:
        """Whether more text follows for the same field, which takes it in order by itself."""
        return bool(self._to_do) and self._to_do[0].is_text and isinstance(self.focused, Input)

    def _in_one(self, typed: Typed) -> Typed:
        """Return a paste that begins in a field which takes it whole as one line of text."""
        paste, takes_whole = typed.paste, getattr(self.focused, "takes_whole", None)
        if paste is None or paste.screen or takes_whole is None or not takes_whole(typed.text):
            return typed
        rest = self._rest_of(typed)
        self._to_do.extendleft(rest[-1:] if rest[-1].is_enter else ())
        text = " / ".join(filter(None, map(str.strip, lines_of(rest))))
        return replace(typed, event=events.Paste(text))

    def _has_a_place(self, typed: Typed) -> bool:
        """Whether a line of a paste goes to a field of the screen in which the paste began."""
        paste = typed.paste
        if paste is None:
            return True
        if isinstance(self.focused, Input) and paste.screen in (None, self.screen):
            paste.screen = self.screen
            return True
        self._dropped(whole_text(self._rest_of(typed)), "no field here takes it")
        return False

    def _rest_of(self, typed: Typed) -> list[Typed]:
        """Take what is left of the paste of a line out of what is to do."""
        rest = [typed, *(t for t in self._to_do if t.paste is typed.paste)]
        others = [t for t in self._to_do if t.paste is not typed.paste]
        self._to_do.clear()
        self._to_do.extend(others)
        return rest

    def _strays(self, typed: Typed) -> bool:
        """Whether a line of a paste came to a field that the paste is not for; it waits there."""
        paste = typed.paste
        asking: AsksFor | None = getattr(self.screen, "asking", None)
        if paste is None or paste.screen not in (None, self.screen) or asking is None:
            return False
        if asking.asks_for is None or not isinstance(self.focused, Input):
            return False
        paste.fields = paste.fields or [asking.asks_for]
        if asking.asks_for in paste.fields:
            return False
        rest = self._rest_of(typed)
        if any(line.strip() for line in lines_of(rest)):  # else it was the blank end of it
            asking.ask_about_strays(paste.fields[0]).keys += rest
            self.questions.tell()
        return True

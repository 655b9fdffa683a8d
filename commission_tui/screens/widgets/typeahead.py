"""What is typed before the first screen is there, or before a screen's field has the focus, is not lost."""

from __future__ import annotations

from collections import deque
from typing import TYPE_CHECKING

from textual import events
from textual.app import App
from textual.widgets import Input

if TYPE_CHECKING:
    from textual.widget import Widget as _Base
else:
    # Not a widget: the styles of what it is mixed into follow the first base that is one.
    _Base = object

_APART_S = 0.02
_AT_MOST_S = 8.0


class TypeAhead(App[None]):
    """Holds keys until the first screen is there, then types them into it as a person would."""

    def __init__(self) -> None:
        super().__init__()
        self.hold_keys()

    @property
    def holds_keys(self) -> bool:
        return self._typed is not None

    def hold_keys(self) -> None:
        """Keep what is typed until `first_shown`."""
        self._typed: deque[events.Event] | None = deque()
        self._waits = True

    def on_load(self) -> None:
        # Whatever goes wrong with the first screen, the key that quits works.
        self.set_timer(_AT_MOST_S, self.first_shown)

    async def on_event(self, event: events.Event) -> None:
        typed = isinstance(event, events.Key | events.Paste) and not event.is_forwarded
        if self._typed is not None and typed:
            self._typed.append(event)
        else:
            await super().on_event(event)

    async def first_shown(self) -> None:
        """Say that the first screen is painted, or that nobody shall wait for it any longer."""
        if self._waits:
            self._waits = False
            await self._type_held()

    async def _type_held(self) -> None:
        """Type what was held: each key into what the one before it opened."""
        if self._typed:
            await super().on_event(self._typed.popleft())
            self.set_timer(_APART_S, self._type_held)
        else:
            self._typed = None


class EarlyKeys(_Base):
    """Mixed into a screen where whatever is typed is meant for its field."""

    _early = ""
    _early_enter = False

    def on_key(self, event: events.Key) -> None:
        """Take a key that no field has typed: a field stops those that it types."""
        if self.take(event):
            event.stop()

    def take(self, event: events.Key) -> bool:
        """Type a key into the field, or keep it until there is one; False when it is not text."""
        focused = self.screen.focused
        if event.is_printable and event.character is not None:
            if isinstance(focused, Input) and not self._early:
                _type(focused, event.character)
                return True
            self._early += event.character
            if focused is not None:
                self.query(Input).first().focus()
            return True
        if event.key == "enter" and self._early:
            self._early_enter = True
            return True
        return False

    def on_descendant_focus(self, event: events.DescendantFocus) -> None:
        """Type it, now that there is a field."""
        field = event.widget
        if not isinstance(field, Input) or not self._early:
            return
        typed, self._early = self._early, ""
        _type(field, typed)
        if self._early_enter:
            self._early_enter = False
            self.call_after_refresh(field.action_submit)


def _type(field: Input, text: str) -> None:
    """Put text where a field would have put it: over what is selected."""
    if field.selection.is_empty:
        field.insert_text_at_cursor(text)
    else:
        field.replace(text, *field.selection)

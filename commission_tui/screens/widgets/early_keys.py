"""What is typed before a screen's field has the focus, or while it has not, goes to that field."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual import events
from textual.widgets import Input

if TYPE_CHECKING:
    from textual.widget import Widget as _Base
else:
    # Not a widget: the styles of what it is mixed into follow the first base that is one.
    _Base = object


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
                focused.insert_text_at_cursor(event.character)
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
        field.insert_text_at_cursor(typed)
        if self._early_enter:
            self._early_enter = False
            self.call_after_refresh(field.action_submit)

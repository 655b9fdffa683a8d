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
        """Keep what is typed while no field has the focus; then give it to the field."""
        focused = self.screen.focused
        if isinstance(focused, Input):
            return
        if event.is_printable and event.character is not None:
            self._early += event.character
            event.stop()
            if focused is not None:
                self.query(Input).first().focus()
        elif event.key == "enter" and self._early:
            self._early_enter = True
            event.stop()

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

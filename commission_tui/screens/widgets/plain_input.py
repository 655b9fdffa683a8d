"""A text field that shows what was typed or pasted, whatever it was."""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar

from textual import events
from textual.binding import BindingType
from textual.widgets import Input

from commission_tui.screens.host.key_table import quiet
from commission_tui.text import JOINERS, visible

_OF_ALL = frozenset(
    {"enter", "tab", "up", "down", "escape", "ctrl+c", "super+c", "ctrl+x", "ctrl+v", "ctrl+z"}
)
"""Keys that change nothing here, or are for all that is selected."""


class PlainInput(Input, inherit_bindings=False):
    """One line of text; control characters are shown, not acted on, and a tab is a gap."""

    # Without the keys that scroll: they belong to the screen round the field.
    BINDINGS: ClassVar[list[BindingType]] = [
        *Input.BINDINGS,
        quiet("field.bring_back", "ctrl+z", "bring_back", "Bring back",
            "Bring back what typing replaced in a field"),
    ]  # fmt: skip
    DEFAULT_CSS = """
    PlainInput { height: 1; border: none; padding: 0 1; background: $boost; }
    PlainInput:focus { border: none; background: $primary-muted; }
    PlainInput:nocolor:focus { text-style: bold underline; }
    """

    def __init__(
        self,
        value: str = "",
        *,
        id: str | None = None,  # noqa: A002
        max_length: int = 4000,
        secret: bool = False,
        gives_way: bool = False,
    ) -> None:
        """Make a field; of one that gives way, what stands there is offered whenever one comes to it."""
        super().__init__(
            value,
            id=id,
            max_length=max_length,
            select_on_focus=False,
            compact=True,
            password=secret,
        )
        self.cursor_blink = False
        self._gives_way = gives_way
        self._offered = ""
        self._full: str | None = None
        """What stood here when one character more was too many."""
        self.takes_whole: Callable[[str], bool] | None = None
        """Whether a paste that begins here, by its first line, is one text with all its lines."""
        self.replaced = ""
        """What stood here and typing replaced."""

    def on_key(self, event: events.Key) -> None:
        """Take a joiner, of which Textual says that it cannot be printed: what it joins comes next.

        A letter replaces what is offered; every other key is for one character at its end.
        """
        if event.is_printable:
            self._note_replaced()
        elif self.is_offered and event.key not in _OF_ALL:
            self.cursor_position = len(self.value)
        if event.character and event.character in JOINERS:
            event.stop()
            event.prevent_default()
            self.insert_text_at_cursor(event.character)

    def on_paste(self, event: events.Paste) -> None:
        """Take the whole text: Textual takes it to the first character that breaks a line for Python."""
        self._note_replaced()
        event.prevent_default()
        event.stop()
        self.replace(event.text, *self.selection)

    def replace(self, text: str, start: int, end: int) -> None:
        """Put in a text as it is shown, which may be longer: the cursor then stands behind it."""
        start, end = sorted((start, end))
        before = self.value[:start]
        super().replace(self.validate_value(before + text)[len(before) :], start, end)

    def _note_replaced(self) -> None:
        if self.is_offered and not self.password:
            self.replaced = self.value

    @property
    def is_offered(self) -> bool:
        """Whether what stands here is selected without a person's doing: what is typed replaces it."""
        is_whole = self.selected_text == self.value == self._offered
        return is_whole and bool(self.value)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Leave the key to the screen, which takes back what was logged, while nothing was replaced."""
        if action == "bring_back":
            return bool(self.replaced)
        return super().check_action(action, parameters)

    def action_bring_back(self) -> None:
        """Exchange what is typed for what it replaced."""
        if self.replaced:
            self.value, self.replaced = self.replaced, self.value
            self.cursor_position = len(self.value)

    def empty(self) -> None:
        """Clear the field for something else to be typed; nothing comes back."""
        self.value = self.replaced = ""

    def on_focus(self, event: events.Focus) -> None:
        # Before Input's own handler, which selects.
        self.select_on_focus = (
            self._gives_way or self.password
        )  # nobody sees where a secret goes on
        if (
            self._gives_way and not event.from_app_focus
        ):  # else the terminal was left, not the field
            self._offered = "" if self.password else self.value

    def take_up(self, value: str) -> None:
        """Put back what was begun before, all of it selected: typing replaces it."""
        self.replaced = ""
        self.value = value
        self.offer()

    def offer(self) -> None:
        """Select what stands here: typing replaces it, every other key changes it at its end."""
        self._offered = self.value
        self.select_all()

    def action_delete_left_all(self) -> None:
        """Clear the whole field, wherever the cursor is."""
        self.clear()

    def action_copy(self) -> None:
        """Copy what is selected; a secret goes to no clipboard."""
        if not self.password:
            super().action_copy()

    def action_cut(self) -> None:
        if not self.password:
            super().action_cut()

    def restricted(self) -> None:
        """Say once that a text is too long: nothing of it is taken."""
        if self._full != self.value:
            self._full = self.value
            told = f"Not taken: this field holds {self.max_length} characters"
            self.notify(told, severity="warning")

    def validate_value(self, value: str) -> str:
        return visible(value.replace("\t", "  ")).replace("\n", " ")

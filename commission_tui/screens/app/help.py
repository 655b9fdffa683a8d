"""Help: every key of the screen one is on, from the bindings themselves."""

from __future__ import annotations

from collections.abc import Mapping
from textwrap import wrap
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import ActiveBinding, Binding, BindingType
from textual.containers import VerticalScroll

from commission_tui.screens.host.key_table import key, key_name, quiet
from commission_tui.screens.terminal.styled_text import Line
from commission_tui.screens.widgets.screen_frame import Dialog
from commission_tui.screens.widgets.text_lines import Painted

_KEYS_WIDTH = 17
_LEAST, _WIDE, _WIDE_FROM = 71, 91, 112
"""Room for text in the box of a small and of a large window, and from which width it is large."""


def key_lines(bindings: Mapping[str, ActiveBinding], width: int) -> list[Line]:
    """Return each key with what it does, in two columns; keys that do the same on one line."""
    names: dict[str, list[str]] = {}
    by_id: dict[str, Binding] = {}
    for name, active in bindings.items():
        binding = active.binding
        if binding.id and binding.description:
            names.setdefault(binding.id, []).append(key_name(name))
            by_id[binding.id] = binding
    return [
        line
        for name, binding in by_id.items()
        for line in _in_columns(", ".join(names[name]), binding, width)
    ]


def _in_columns(names: str, binding: Binding, width: int) -> list[Line]:
    """Return one key's line, and what follows of it under its second column."""
    word = binding.description
    first, *rest = wrap(f"{word}  {binding.tooltip}", max(20, width - _KEYS_WIDTH))
    head: Line = (
        (f"{names:<{_KEYS_WIDTH - 1}} ", "key"),
        (word, "strong"),
        (first.removeprefix(word), "muted"),
    )
    return [head, *(((" " * _KEYS_WIDTH, ""), (text, "muted")) for text in rest)]


class HelpDialog(Dialog[None]):
    """Lists the keys that work right now."""

    BINDINGS: ClassVar[list[BindingType]] = [
        key("help.close", "escape,q", "close", "Close", "Back to where you were"),
        quiet("help.down", "down,j", "scroll_lines(1)", "Down", "Scroll down"),
        quiet("help.up", "up,k", "scroll_lines(-1)", "Up", "Scroll up"),
        key("help.page_down", "pagedown", "scroll(1)", "Page down", "Scroll a page down"),
        key("help.page_up", "pageup", "scroll(-1)", "Page up", "Scroll a page up"),
    ]  # fmt: skip

    def __init__(self, text: str, bindings: Mapping[str, ActiveBinding]) -> None:
        super().__init__()
        self._text = text
        self._bindings_here = dict(bindings)

    def compose_box(self) -> ComposeResult:
        with VerticalScroll(id="help-scroll", can_focus=False):
            yield Painted(id="help-text")

    def on_mount(self) -> None:
        self.show_title((("Keys here", "title"),))
        lines: list[Line] = [((self._text, ""),), (("", ""),)] if self._text else []
        # The box is as wide as its style says; what is inside is laid out only after this.
        width = _WIDE if self.app.size.width >= _WIDE_FROM else _LEAST
        self.query_one("#help-text", Painted).show(*lines, *key_lines(self._bindings_here, width))

    async def action_help(self) -> None:
        """Close again: the key that opens it also leads back."""
        self.dismiss(None)

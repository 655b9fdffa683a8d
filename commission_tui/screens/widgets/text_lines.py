"""From lines with roles to what Textual paints; users' text is never markup."""

from __future__ import annotations

from collections.abc import Sequence
from typing import cast

from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from commission_tui.screens.host.app_protocol import Host
from commission_tui.screens.terminal.colours import DARK_GROUNDS
from commission_tui.screens.terminal.styled_text import Line
from commission_tui.text import visible

STYLES = {
    "": "",
    "strong": "bold",
    "muted": "$foreground 80%",
    "pass": "$success",
    "fail": "bold $error",
    "marginal": "$warning",
    "caution": "bold reverse $warning",
    "caution-text": "$warning",
    "error": "bold $error",
    "here": "bold reverse $accent",
    "done": "$foreground on $success 30%",
    "key": "bold $accent",
    "edge": "$foreground 50%",
    "cabinet": "on $panel",
    "cabinet-other": "on $panel 45%",
    "title": "bold $primary",
    "chain": "on $panel",
    "chain-other": "on $panel 45%",
    "chain-first": "bold $accent",
    **{ground: f"$on-ground on ${ground}" for ground in DARK_GROUNDS.variables},
}


def content_of(lines: Sequence[Line]) -> Content:
    """Join lines into one text with styles."""
    parts: list[tuple[str, str] | str] = []
    for number, line in enumerate(lines):
        if number:
            parts.append("\n")
        parts += [(visible(text), STYLES[role]) if role else visible(text) for text, role in line]
    return Content.assemble(*parts)


def spelt(lines: Sequence[Line], widget: Widget) -> tuple[Line, ...]:
    """Return lines as the terminal that a widget is on can show them."""
    host = cast("Host", widget.app)
    if not host.ascii_only:
        return tuple(lines)
    return tuple(tuple((host.spelt(text), role) for text, role in line) for line in lines)


class Painted(Static):
    """Text made of lines with roles."""

    def __init__(self, *, id: str | None = None, classes: str | None = None) -> None:  # noqa: A002
        super().__init__(Content(""), id=id, classes=classes, markup=False)
        self._lines: tuple[Line, ...] = ()

    def show(self, *lines: Line) -> None:
        """Paint lines, unless they are there already; only what may grow is laid out anew."""
        if lines != self._lines:
            self._lines = lines
            self.update(content_of(spelt(lines, self)), layout=self.styles.auto_dimensions)

    @property
    def plain(self) -> str:
        """What is shown, without styles."""
        shown = self.visual
        return shown.plain if isinstance(shown, Content) else str(shown)

"""A pad to sign on with the mouse or the trackpad; where there is none, the typed name stands."""

from __future__ import annotations

from typing import ClassVar

from textual import events
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.content import Content
from textual.geometry import Offset
from textual.widget import Widget

from commission_tui.screens.handover.signature_strokes import Drawing, Stroke, rows
from commission_tui.screens.host.key_table import key
from commission_tui.screens.widgets.screen_frame import Dialog, too_small
from commission_tui.screens.widgets.text_lines import Painted
from commission_tui.text import quoted


class Pad(Widget):
    """The surface: twice as wide as high to the eye, since a cell is twice as high as wide."""

    ALLOW_SELECT = False
    DEFAULT_CSS = "Pad { width: 56; height: 14; background: $background; margin: 0 1; }"

    def __init__(self, *, ascii_only: bool) -> None:
        super().__init__()
        self.drawing = Drawing()
        self._ascii = ascii_only
        self._down = False

    def render(self) -> Content:
        width, height = self.size
        lines = rows(self.drawing.strokes, width, height, ascii_only=self._ascii)
        base = height * 3 // 4
        if 0 <= base < len(lines) and not lines[base].strip():
            lines[base] = ("_" if self._ascii else "\u2500") * width
        return Content("\n".join(lines))

    def on_mouse_down(self, event: events.MouseDown) -> None:
        self._down = True
        self.capture_mouse()
        self.drawing.begin(*self._at(event))
        self.refresh()

    def on_mouse_move(self, event: events.MouseMove) -> None:
        if self._down:
            self.drawing.go_on(*self._at(event))
            self.refresh()

    def on_mouse_up(self) -> None:
        self._down = False
        self.release_mouse()

    def _at(self, event: events.MouseEvent) -> tuple[float, float]:
        at = Offset(event.x, event.y)
        width, height = self.size
        return (at.x + 0.5) / max(width, 1), (at.y + 0.5) / max(height, 1)


class SignaturePad(Dialog[tuple[Stroke, ...] | None]):
    """Closes with the strokes; with no stroke the typed name is the signature, with None nobody signs."""

    BOX = "box"
    HELP_TEXT = (
        "Draw with the mouse or the trackpad, the button held down. What is drawn is kept as "
        "strokes and printed in the document; without a drawing the typed name is the "
        "signature. Esc does not sign."
    )

    BINDINGS: ClassVar[list[BindingType]] = [
        key("pad.take", "enter", "take", "Sign with this", "Log the signature as drawn"),
        key("pad.undo", "u", "undo", "Last stroke off", "Take back one stroke"),
        key("pad.clear", "c", "clear", "Clear", "Begin again"),
        key("pad.close", "escape", "close", "Do not sign", "Close; nothing is signed"),
    ]  # fmt: skip

    def __init__(self, name: str, *, ascii_only: bool) -> None:
        super().__init__()
        self._name = name
        self._pad = Pad(ascii_only=ascii_only)
        self._typed = ""
        """What is no key here: somebody may type on without having seen that this asks."""

    def compose_box(self) -> ComposeResult:
        yield Painted(classes="box-notes")
        yield self._pad

    def on_mount(self) -> None:
        self.show_title(((f"{self._name} signs", "title"),))
        self._say(
            "Draw with the mouse or the trackpad, the button held down; Enter without a drawing "
            "signs with the typed name.",
            "muted",
        )

    def _say(self, words: str, role: str) -> None:
        self.query_one(".box-notes", Painted).show(((words, role),))

    def on_key(self, event: events.Key) -> None:
        """Keep what is typed on, so that its Enter is no signature."""
        if event.is_printable and event.character is not None:
            self._typed += event.character
            self._say(f"Not taken, nothing is typed here: {quoted(self._typed)}.", "caution-text")

    def action_take(self) -> None:
        if too_small(self):
            return
        if self._typed and not self._pad.drawing.strokes:
            self._say(
                f"Not signed, nothing is typed here: {quoted(self._typed)}. Enter again signs with "
                f"{self._name}'s typed name.",
                "caution-text",
            )
            self._typed = ""
            return
        self.dismiss(self._pad.drawing.done())

    def action_undo(self) -> None:
        self._pad.drawing.undo()
        self._pad.refresh()

    def action_clear(self) -> None:
        self._pad.drawing.clear()
        self._pad.refresh()

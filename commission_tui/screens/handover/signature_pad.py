"""A pad to sign on with the mouse or the trackpad; where there is none, the typed name stands."""

from __future__ import annotations

from typing import ClassVar

from textual import events
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.content import Content
from textual.geometry import Offset
from textual.widget import Widget

from commission_tui.screens.handover.signature_strokes import Drawing, Stroke, rows
from commission_tui.screens.widgets.key_line import KeyLine
from commission_tui.screens.widgets.screen_frame import Dialog, too_small
from commission_tui.screens.widgets.text_lines import Painted


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
    """Closes with the strokes, or with none: then the typed name is the signature."""

    HELP_TEXT = (
        "Draw with the mouse or the trackpad, the button held down. What is drawn is kept as "
        "strokes and printed in the document; without a drawing the typed name is the "
        "signature."
    )

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding(
            "enter", "take", "Sign with this", id="pad.take", tooltip="Log the signature as drawn"
        ),
        Binding("u", "undo", "Last stroke off", id="pad.undo", tooltip="Take back one stroke"),
        Binding("c", "clear", "Clear", id="pad.clear", tooltip="Begin again"),
        Binding(
            "escape",
            "typed",
            "Name alone",
            id="pad.typed",
            tooltip="Sign with the typed name alone",
        ),
    ]

    def __init__(self, name: str, *, ascii_only: bool) -> None:
        super().__init__()
        self._name = name
        self._pad = Pad(ascii_only=ascii_only)

    def compose_box(self) -> ComposeResult:
        with Vertical(classes="box"):
            yield Painted(classes="box-title")
            yield Painted(classes="box-notes")
            yield self._pad
            yield KeyLine()

    def on_mount(self) -> None:
        self.query_one(".box-title", Painted).show(((f"{self._name} signs", "title"),))
        self.query_one(".box-notes", Painted).show(
            (("Draw with the mouse or the trackpad, the button held down.", "muted"),)
        )

    def action_take(self) -> None:
        if not too_small(self):
            self.dismiss(self._pad.drawing.done())

    def action_undo(self) -> None:
        self._pad.drawing.undo()
        self._pad.refresh()

    def action_clear(self) -> None:
        self._pad.drawing.clear()
        self._pad.refresh()

    def action_typed(self) -> None:
        self.dismiss(None)

"""A pad to sign on with the mouse or the trackpad: strokes, and the characters of a terminal that show them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import ClassVar

from textual import events
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.content import Content
from textual.geometry import Offset
from textual.widget import Widget

from commission_tui.screens.host.key_table import key
from commission_tui.screens.widgets.screen_frame import Dialog
from commission_tui.screens.widgets.text_lines import Painted
from commission_tui.text import quoted

BOX = 10_000
"""Strokes are kept in a box of this many steps across and down, whatever the terminal's size."""
MOST_POINTS, MOST_STROKES = 2000, 200
Stroke = tuple[tuple[int, int], ...]
_DOTS_ACROSS, _DOTS_DOWN = 2, 4
_DOT = ((0x01, 0x08), (0x02, 0x10), (0x04, 0x20), (0x40, 0x80))
"""Bits of the Braille patterns (Unicode block U+2800), by row and column of the dot."""


class Drawing:
    """Strokes while they are drawn."""

    def __init__(self) -> None:
        self.strokes: list[list[tuple[int, int]]] = []

    def begin(self, x: float, y: float) -> None:
        """Put the pen down at fractions of the width and height."""
        if len(self.strokes) < MOST_STROKES:
            self.strokes.append([_kept(x, y)])

    def go_on(self, x: float, y: float) -> None:
        if not self.strokes or len(self.strokes[-1]) >= MOST_POINTS:
            return
        point = _kept(x, y)
        if point != self.strokes[-1][-1]:
            self.strokes[-1].append(point)

    def undo(self) -> None:
        if self.strokes:
            self.strokes.pop()

    def clear(self) -> None:
        self.strokes.clear()

    def done(self) -> tuple[Stroke, ...]:
        """Return the strokes; none when nothing was drawn."""
        return tuple(tuple(stroke) for stroke in self.strokes)


def _kept(x: float, y: float) -> tuple[int, int]:
    return tuple(round(min(max(part, 0.0), 1.0) * BOX) for part in (x, y))  # type: ignore[return-value]


def rows(strokes: Sequence[Sequence[tuple[int, int]]], width: int, height: int) -> list[str]:
    """Return lines of Braille patterns whose dots show strokes."""
    bits = [[0] * width for _ in range(height)]
    for x, y in _dots(strokes, width * _DOTS_ACROSS, height * _DOTS_DOWN):
        bits[y // _DOTS_DOWN][x // _DOTS_ACROSS] |= _DOT[y % _DOTS_DOWN][x % _DOTS_ACROSS]
    return ["".join(chr(0x2800 + cell) if cell else " " for cell in row) for row in bits]


def _dots(
    strokes: Sequence[Sequence[tuple[int, int]]], width: int, height: int
) -> Iterator[tuple[int, int]]:
    """Yield every dot that a stroke passes, on a raster of width by height."""
    for stroke in strokes:
        at = [(x / BOX * (width - 1), y / BOX * (height - 1)) for x, y in stroke]
        yield round(at[0][0]), round(at[0][1])
        for (x0, y0), (x1, y1) in pairwise(at):
            steps = max(1, round(max(abs(x1 - x0), abs(y1 - y0)) * 2))
            for step in range(steps + 1):
                part = step / steps
                yield round(x0 + (x1 - x0) * part), round(y0 + (y1 - y0) * part)


class Pad(Widget):
    """The surface: twice as wide as high to the eye, since a cell is twice as high as wide."""

    ALLOW_SELECT = False
    DEFAULT_CSS = "Pad { width: 56; height: 14; background: $background; margin: 0 1; }"

    def __init__(self) -> None:
        super().__init__()
        self.drawing = Drawing()
        self._down = False

    def render(self) -> Content:
        width, height = self.size
        lines = rows(self.drawing.strokes, width, height)
        base = height * 3 // 4
        if 0 <= base < len(lines) and not lines[base].strip():
            lines[base] = "\u2500" * width
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
        "strokes and printed in the document; without a drawing the typed name is the signature."
    )

    BINDINGS: ClassVar[list[BindingType]] = [
        key("pad.take", "enter", "take", "Sign with this", "Log the signature as drawn"),
        key("pad.undo", "u", "undo", "Last stroke off", "Take back one stroke"),
        key("pad.clear", "c", "clear", "Clear", "Begin again"),
        key("pad.close", "escape", "close", "Do not sign", "Close; nothing is signed"),
    ]  # fmt: skip

    def __init__(self, name: str) -> None:
        super().__init__()
        self._name = name
        self._pad = Pad()
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
        if self._typed and not self._pad.drawing.strokes:
            self._say(
                f"Not signed, nothing is typed here: {quoted(self._typed)}. Enter again signs with "
                f"{self._name}'s typed name.",
                "caution-text",
            )
            self._typed = ""
            self._early = self.host.questions.put(self, self._early)
            return
        self.dismiss(self._pad.drawing.done())

    def action_close(self) -> None:
        if not self.host.questions.drop_told(self):
            super().action_close()

    def action_undo(self) -> None:
        self._pad.drawing.undo()
        self._pad.refresh()

    def action_clear(self) -> None:
        self._pad.drawing.clear()
        self._pad.refresh()

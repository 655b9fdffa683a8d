"""The last line of a screen: the keys that work now, each with its word; a click presses one.

While keys wait for an answer, a row above it says which: it has its own room, and hides nothing.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NamedTuple, cast

from textual import events
from textual.content import Content
from textual.screen import Screen
from textual.widget import Widget

if TYPE_CHECKING:
    from commission_tui.screens.host.key_queue import KeyQueue

_KEY = "bold $footer-key-foreground on $footer-key-background"
_WORD = "$footer-description-foreground on $footer-description-background"


class _Key(NamedTuple):
    key: str
    shown: str
    word: str
    tooltip: str
    works: bool

    @property
    def width(self) -> int:
        return len(self.shown) + len(self.word) + 2


class KeyLine(Widget):
    """One widget, not one for each key: keys change with every focus, and a line is soon painted.

    `tests/benchmarks/bench_screens` needs it: a footer made of widgets is composed three times until the
    first key is answered.
    """

    ALLOW_SELECT = False

    def __init__(self, *, palette: bool = False) -> None:
        super().__init__()
        self._palette = palette
        self._keys: tuple[_Key, ...] = ()
        self._last: tuple[_Key, ...] = ()
        self._waits = ""

    def on_mount(self) -> None:
        queue = cast("KeyQueue", self.app)
        queue.questions.words_changed.subscribe(self, self._say_what_waits)
        self._say_what_waits(queue.questions.words)
        self.screen.bindings_updated_signal.subscribe(self, self._changed)

    def on_unmount(self) -> None:
        self.screen.bindings_updated_signal.unsubscribe(self)

    def _say_what_waits(self, waits: str) -> None:
        if waits != self._waits:
            self._waits = waits
            self.styles.height = 2 if waits else 1
            self.refresh()

    def _changed(self, screen: Screen[Any]) -> None:
        if self.app.app_focus and self.is_attached and screen is self.screen:
            self.call_after_refresh(self._look)

    def _look(self) -> None:
        """Take up the keys that work now: each action once, and that of the palette at the end."""
        if not self.is_attached:  # closed meanwhile
            return
        named: dict[str, _Key] = {}
        active = self.screen.active_bindings
        for _, binding, works, tooltip in active.values():
            if binding.show:
                shown = self.app.get_key_display(binding)
                made = _Key(binding.key, shown, binding.description, tooltip, works)
                named.setdefault(binding.action, made)
        palette = active.get(self.app.COMMAND_PALETTE_BINDING) if self._palette else None
        last: tuple[_Key, ...] = ()
        if palette is not None:
            shown = self.app.get_key_display(palette.binding)
            last = (_Key(palette.binding.key, shown, palette.binding.description, "", True),)
        if (tuple(named.values()), last) != (self._keys, self._last):
            self._keys, self._last = tuple(named.values()), last
            self.refresh()

    def render(self) -> Content:
        left, last = _text(self._keys), _text(self._last)
        room = max(0, self.size.width - last.cell_length)
        keys = Content.assemble(left.truncate(room, pad=True), last)
        if not self._waits:
            return keys
        waits = Content.styled(self._waits, "bold $warning").truncate(self.size.width, pad=True)
        return Content.assemble(waits, "\n", keys)

    def _at(self, x: int) -> _Key | None:
        """Return the key that stands in a column."""
        end = 0
        last = self.size.width - sum(key.width for key in self._last)
        for key in self._keys if x < last else self._last:
            end += key.width
            if x < end or x >= last:
                return key
        return None

    def _is_keys(self, event: events.MouseEvent) -> bool:
        return event.y == self.size.height - 1

    def on_mouse_move(self, event: events.MouseMove) -> None:
        key = self._at(event.x) if self._is_keys(event) else None
        self.tooltip = key.tooltip if key else None

    def on_mouse_down(self, event: events.MouseDown) -> None:
        key = self._at(event.x) if self._is_keys(event) else None
        if key is not None and key.works:
            self.app.simulate_key(key.key)


def _text(keys: tuple[_Key, ...]) -> Content:
    """Return keys with their words, a space after each."""
    parts: list[str | tuple[str, str]] = []
    for key in keys:
        dim = "" if key.works else " dim"
        parts += [(key.shown, _KEY + dim), (f" {key.word}", _WORD + dim), " "]
    return Content.assemble(*parts)

"""A list to go up and down in: by arrows or j and k, g and G, Enter opens."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import ClassVar, Generic, TypeVar

from textual.binding import BindingType
from textual.widgets import OptionList
from textual.widgets.option_list import Option

from commission_tui.screens.host.key_table import key, quiet
from commission_tui.screens.terminal.styled_text import Line
from commission_tui.screens.widgets.text_lines import content_of, spelt

T = TypeVar("T")
_FEW = 8
"""Items put in place one by one: a mark in a list of thousands is no new list."""


class LineList(OptionList, Generic[T]):
    """Lines with roles, each for something that can be opened; what people typed is never markup."""

    BINDINGS: ClassVar[list[BindingType]] = [
        key("list.open", "enter", "select", "Open", "Open the selected line"),
        quiet("list.down", "down,j", "cursor_down", "Down", "Next line"),
        quiet("list.up", "up,k", "cursor_up", "Up", "Line before"),
        quiet("list.top", "home,g", "first", "Top", "First line"),
        quiet("list.bottom", "end,G", "last", "Bottom", "Last line"),
        quiet("list.page_down", "pagedown", "page_down", "Page down", "A page further"),
        quiet("list.page_up", "pageup", "page_up", "Page up", "A page back"),
    ]  # fmt: skip

    def __init__(self, *, id: str | None = None) -> None:  # noqa: A002
        super().__init__(id=id, markup=False, compact=True)
        # A list that is sorted or filtered shows the same lines again.
        self._content = lru_cache(maxsize=4096)(content_of)
        self._shown: list[tuple[tuple[Line, ...], bool]] = []
        self.values: list[T | None] = []

    @property
    def chosen(self) -> T | None:
        """What the line under the cursor stands for; None where it cannot be opened."""
        at = self.highlighted
        return self.values[at] if at is not None and at < len(self.values) else None

    def show(self, items: Sequence[tuple[tuple[Line, ...], T | None]], at: T | None = None) -> None:
        """Show items, each its lines and what it stands for; None is a line that cannot be opened.

        The cursor goes to `at`, else it stays on what it is on, or at its place where that is gone;
        in a new list it is on the first that opens.
        """
        kept, wanted = self.highlighted, self.chosen if at is None else at
        before = self._shown
        self.values = [value for _, value in items]
        self._shown = [(spelt(lines, self), v is not None) for lines, v in items]
        differ = self._differing(before)
        if differ is None:
            self.set_options(
                Option(self._content(lines), disabled=not opens) for lines, opens in self._shown
            )
        else:
            for number in differ:
                self.replace_option_prompt_at_index(number, content_of(self._shown[number][0]))
        if wanted is not None and wanted in self.values:
            kept = self.values.index(wanted)
        elif kept is None or at is not None:
            kept = next((n for n, value in enumerate(self.values) if value is not None), 0)
        self.highlighted = min(kept, len(self._shown) - 1) if self._shown else None

    def go_to(self, value: T | None) -> None:
        """Put the cursor on what a line stands for, where there is such a line."""
        if value is not None and value in self.values:
            self.highlighted = self.values.index(value)

    def _differing(self, before: Sequence[tuple[tuple[Line, ...], bool]]) -> list[int] | None:
        """Return the few items that say something else than before; None to list all anew."""
        if [opens for _, opens in before] != [opens for _, opens in self._shown]:
            return None
        both = enumerate(zip(before, self._shown, strict=True))
        found = [n for n, (old, new) in both if old != new]
        return found if len(found) <= _FEW else None


class ChoiceList(OptionList, can_focus=False):
    """A list under a line that is typed in, and that keeps the keys."""

    def __init__(self, *, id: str) -> None:  # noqa: A002
        super().__init__(id=id, markup=False, compact=True)

    def move(self, by: int) -> None:
        """Go down or up by so many lines; from no line, down to the first."""
        if self.option_count:
            at = -1 if self.highlighted is None else self.highlighted
            self.highlighted = max(0, min(self.option_count - 1, at + by))

    def page(self, by: int) -> None:
        """Go down or up by a page; from no line, down to the first."""
        if self.highlighted is None:
            self.move(by)
        elif by > 0:
            self.action_page_down()  # type: ignore[no-untyped-call]
        else:
            self.action_page_up()  # type: ignore[no-untyped-call]

"""A picture made of characters, which scrolls where it is larger than its place."""

from __future__ import annotations

from functools import lru_cache

from rich.segment import Segment
from rich.style import Style
from textual.geometry import Size
from textual.scroll_view import ScrollView
from textual.strip import Strip

from commission_tui.screens.terminal.picture_view import Cells


class PictureBox(ScrollView, inherit_bindings=False):
    """Shows a picture, in the middle where there is room beside it.

    Its dialog scrolls it, and turns to the next picture where this one ends.
    """

    DEFAULT_CSS = """
    PictureBox { height: 1fr; background: $background; scrollbar-size: 1 1; }
    PictureBox:focus { background: $background; }
    """

    def __init__(self, *, id: str | None = None) -> None:  # noqa: A002
        super().__init__(id=id)
        self._cells = Cells(0, ())
        self._style = lru_cache(maxsize=4096)(_style)

    @property
    def columns(self) -> int:
        """How wide the picture is that is shown; 0 for none."""
        return self._cells.columns

    def show(self, cells: Cells) -> None:
        self._cells = cells
        self.virtual_size = Size(cells.columns, len(cells.rows))
        self.refresh()

    def render_line(self, y: int) -> Strip:
        left, top = self.scroll_offset
        width = self.scrollable_content_region.width
        ground = self.rich_style
        at = y + top
        if at >= len(self._cells.rows):
            return Strip.blank(width, ground)
        row = self._cells.rows[at]
        segments = [Segment(text, self._style(over, under)) for text, over, under in row]
        beside = max(0, (width - self._cells.columns) // 2)
        strip = Strip([Segment(" " * beside, ground), *segments])
        return strip.crop_extend(left, left + width, ground)


def _style(over: str, under: str) -> Style:
    return Style(color=over, bgcolor=under)

"""The wall, drawn to scale by one widget: strips kept by row, two cabinets redrawn as one moves."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from rich.segment import Segment
from rich.style import Style
from textual.geometry import Region, Size
from textual.message import Message
from textual.scroll_view import ScrollView
from textual.strip import Strip
from textual.style import Style as TextualStyle

from commission_tui.screens.geometry import Box, Plan, fitting_width, plan
from commission_tui.screens.wall_view import Look
from commission_tui.screens.widgets.painted import STYLES
from commission_tui.wall.location import Cell
from commission_tui.wall.model import Wall

_MARGIN = 4
"""Characters on the left for the row's name; one row on top for the columns' names."""


class WallMap(ScrollView):
    """Shows a look for each cabinet and a cursor."""

    DEFAULT_CSS = """
    WallMap { overflow: auto auto; scrollbar-size: 1 1; background: $background; }
    """
    can_focus = False

    @dataclass
    class CursorMoved(Message):
        """The cursor is on another cabinet."""

        cell: Cell

    def __init__(self, *, id: str | None = None) -> None:  # noqa: A002
        super().__init__(id=id)
        self._wall: Wall | None = None
        self._plan: Plan | None = None
        self._looks: Mapping[Cell, Look] = {}
        self._border = "|"
        self._width = 0
        self._rear = False
        self._zoom: int | None = None
        self._names_fit = False
        self._strips: dict[int, Strip] = {}
        self._styles: dict[tuple[str, bool, str], Style] = {}
        self.cursor = Cell(1, 1)

    # --- what to show

    def show(self, wall: Wall, looks: Mapping[Cell, Look], border: str, *, rear: bool) -> None:
        """Draw a wall anew."""
        self._wall, self._looks, self._border, self._rear = wall, looks, border, rear
        if self.cursor not in wall.cabinets:
            self.cursor = next(iter(wall.cabinets))
        self._lay_out()

    def zoom(self, by: int) -> None:
        """Make cabinets wider or narrower; 0 fits the whole wall again."""
        self._zoom = None if by == 0 else max(1, min(14, self._width + by))
        self._lay_out()

    def _lay_out(self) -> None:
        if self._wall is None:
            return
        room = self.scrollable_size
        fitted = fitting_width(self._wall, room.width - _MARGIN, room.height - 1)
        self._width = self._zoom or fitted
        self._plan = plan(self._wall, self._width, rear=self._rear)
        longest = max(len(str(cell)) for cell in self._wall.cabinets)
        self._names_fit = longest < min(box.width for box in self._plan.boxes.values())
        self.virtual_size = Size(self._plan.width + _MARGIN, self._plan.height + 1)
        self._strips.clear()
        self._styles.clear()
        self._show_cursor()
        self.refresh()

    def on_resize(self) -> None:
        self._lay_out()

    def notify_style_update(self) -> None:
        super().notify_style_update()
        self._strips.clear()
        self._styles.clear()

    def move_to(self, cell: Cell) -> None:
        """Put the cursor on a cabinet; only the two cabinets concerned are redrawn."""
        if self._plan is None or cell not in self._plan.boxes or cell == self.cursor:
            return
        before, self.cursor = self.cursor, cell
        for changed in (before, cell):
            box = self._plan.boxes[changed]
            for y in range(box.top, box.top + box.height):
                self._strips.pop(y, None)
            self.refresh(self._region(box), Region(0, 0, self.size.width, 1))
        self._show_cursor()
        self.post_message(self.CursorMoved(cell))

    def _region(self, box: Box) -> Region:
        left = box.left + _MARGIN - round(self.scroll_x)
        # The row's name on the left changes with the cursor, so the region begins there.
        return Region(0, box.top + 1 - round(self.scroll_y), max(1, left + box.width), box.height)

    def _show_cursor(self) -> None:
        if self._plan is None:
            return
        box = self._plan.boxes[self.cursor]
        region = Region(box.left, box.top, box.width + _MARGIN, box.height + 1)
        self.scroll_to_region(region, animate=False)

    # --- painting

    def render_line(self, y: int) -> Strip:
        if self._plan is None:
            return Strip.blank(self.size.width)
        width = self.scrollable_content_region.width
        left = round(self.scroll_x)
        if y == 0:
            return self._column_names(left, width)
        row = y - 1 + round(self.scroll_y)
        if row >= self._plan.height:
            return Strip.blank(width, self._style("", False))
        body = self._strip(row).crop(left, left + width - _MARGIN)
        return Strip([self._row_name(row), *body]).adjust_cell_length(width, self._style("", False))

    def _strip(self, row: int) -> Strip:
        kept = self._strips.get(row)
        if kept is None:
            kept = self._strips[row] = self._painted(row)
        return kept

    def _painted(self, row: int) -> Strip:
        segments: list[Segment] = []
        at = 0
        assert self._plan is not None  # noqa: S101 (render_line has seen to it)
        for box in self._plan.by_row.get(row, ()):
            if box.left > at:
                segments.append(Segment(" " * (box.left - at), self._style("", False)))
            segments += self._segments(box, row - box.top)
            at = max(at, box.left + box.width)
        return Strip(segments).extend_cell_length(self._plan.width, self._style("", False))

    def _segments(self, box: Box, line: int) -> list[Segment]:
        look = self._looks.get(box.cell, Look(" "))
        here = box.cell == self.cursor
        odd = sum(box.cell) % 2 if look.ground is None else look.ground
        ground = "cabinet" if odd else "cabinet-other"
        text = Segment(self._text(box, look, line), self._style(look.role, here, ground))
        if box.width == 1:
            return [text]
        return [Segment(self._border, self._style("edge", here, ground)), text]

    def _text(self, box: Box, look: Look, line: int) -> str:
        if box.width == 1:
            return look.sign if line == 0 else " "
        room = box.width - 1
        text = ""
        if line == 0:
            wide = look.single if box.height == 1 and look.single else look.text
            text = next((t for t in (wide, look.short) if t and len(t) <= room), look.sign)
        elif line == 1:
            text = look.below or (str(box.cell) if self._names_fit else "")
            text = text if len(text) <= room else look.below_short
        return (text if len(text) <= room else "").ljust(room)

    def _style(self, role: str, cursor: bool, ground: str = "") -> Style:
        key = (role, cursor, ground)
        kept = self._styles.get(key)
        if kept is None:
            base = self.visual_style
            for rule in (STYLES[ground], STYLES[role]):
                base += TextualStyle.parse(rule) if rule else TextualStyle()
            kept = base.rich_style
            if cursor:
                kept += Style(reverse=True, bold=True)
            self._styles[key] = kept
        return kept

    def _row_name(self, row: int) -> Segment:
        assert self._plan is not None  # noqa: S101
        boxes = self._plan.by_row.get(row, ())
        first = next((b for b in boxes if b.top == row), None)
        name = f"R{first.cell.row}" if first else ""
        here = any(b.cell.row == self.cursor.row for b in boxes)
        return Segment(name.ljust(_MARGIN), self._style("key" if here else "muted", False))

    def _column_names(self, left: int, width: int) -> Strip:
        assert self._plan is not None  # noqa: S101
        text = [" "] * (self._plan.width + _MARGIN)
        end = -1
        for box in sorted(self._plan.boxes.values(), key=lambda b: (b.left, b.cell.row)):
            name = f"C{box.cell.column}"
            if box.left > end and len(name) + 1 <= max(box.width, 4):
                left_edge = box.left + (box.width > 1)
                text[left_edge : left_edge + len(name)] = name
                end = left_edge + len(name)
        shown = "".join(text)[left : left + width - _MARGIN]
        return Strip(
            [Segment((" " * _MARGIN + shown).ljust(width)[:width], self._style("muted", False))]
        )

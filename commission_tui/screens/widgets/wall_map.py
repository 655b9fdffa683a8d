"""The wall, drawn to scale by one widget: rows kept as strips, the cursor laid over them."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from functools import lru_cache

from rich.segment import Segment
from rich.style import Style
from textual import events
from textual.geometry import Region, Size
from textual.message import Message
from textual.scroll_view import ScrollView
from textual.strip import Strip
from textual.style import Style as TextualStyle

from commission_tui.screens.layers.wall_geometry import (
    BLANK,
    Box,
    DrawnPlan,
    Look,
    drawn_plan,
    gravest,
    row_text,
    scales,
)
from commission_tui.screens.terminal.styled_text import EDGE, MARK
from commission_tui.screens.terminal.terminal_size import CHARACTER_ASPECT, terminal_aspect
from commission_tui.screens.widgets.text_lines import STYLES
from commission_tui.wall.model.location import Cell
from commission_tui.wall.model.wall_model import Wall

_MARGIN = 4
"""Characters on the left for the row's name; one row on top for the columns' names."""


class WallMap(ScrollView):
    """Shows a look for each cabinet, those that are marked, and a cursor."""

    DEFAULT_CSS = """
    WallMap { overflow: auto auto; scrollbar-size: 1 1; background: $background; }
    """
    can_focus = False

    @dataclass
    class Clicked(Message):
        """A cabinet was clicked."""

        cell: Cell
        again: bool
        """Whether the cursor was there already."""

    def __init__(self, *, id: str | None = None) -> None:  # noqa: A002
        super().__init__(id=id)
        self._wall: Wall | None = None
        self._plan: DrawnPlan | None = None
        self._looks: Mapping[Cell, Look] = {}
        self._marked: Collection[Cell] = frozenset()
        self._rear = False
        self._step = 0
        self._steps = 1
        self._aspect = CHARACTER_ASPECT
        self._names_fit = False
        self._names: dict[int, tuple[int, str]] = {}
        # A row of a large wall asks for 125 of them.
        self._style = lru_cache(maxsize=None)(self._style_of)
        self._rows: dict[int, Strip] = {}
        """Rows without the cursor, which moves over them; `bench_screens` asks for it."""
        self.cursor = Cell(1, 1)

    # --- what to show

    def show(self, wall: Wall, looks: Mapping[Cell, Look], *, rear: bool) -> None:
        """Draw a wall anew."""
        self._wall, self._looks, self._rear = wall, looks, rear
        if self.cursor not in wall.cabinets:
            self.cursor = next(iter(wall.cabinets))
        self._lay_out()

    def mark(self, cells: Collection[Cell]) -> None:
        """Show which cabinets are marked; only the rows of those that changed are painted again."""
        changed = set(cells) ^ set(self._marked)
        self._marked = frozenset(cells)
        if self._plan is None:
            return
        self._rows.clear()
        for cell in changed & self._plan.boxes.keys():
            self.refresh(self._region(self._plan.boxes[cell]))

    @property
    def crowd(self) -> int:
        """For how many cabinets a character may stand."""
        return self._plan.crowd if self._plan else 1

    @property
    def can_zoom_in(self) -> bool:
        return self._step + 1 < self._steps

    def zoom(self, by: int) -> None:
        """Draw cabinets larger or smaller; 0 fits the whole wall again."""
        self._step = 0 if by == 0 else max(0, min(self._steps - 1, self._step + by))
        self._lay_out()

    def _lay_out(self) -> None:
        if self._wall is None:
            return
        room = self.scrollable_size
        width = max(1, room.width - _MARGIN)
        height = max(1, room.height - 1)
        sizes = scales(self._wall, width, height, self._aspect)
        self._rows.clear()
        self._steps = len(sizes)
        self._step = min(self._step, self._steps - 1)
        self._plan = drawn_plan(self._wall, sizes[self._step], rear=self._rear)
        longest = max(len(str(cell)) for cell in self._wall.cabinets)
        self._names_fit = longest < self._plan.least_width
        self._names = self._column_names(self._plan)
        self.virtual_size = Size(self._plan.width + _MARGIN, self._plan.height + 1)
        self._show_cursor()
        self.refresh()

    def on_resize(self) -> None:
        if not self.app.is_headless:
            self._aspect = terminal_aspect()
        self._lay_out()

    def notify_style_update(self) -> None:
        super().notify_style_update()
        self._style.cache_clear()
        self._rows.clear()

    def move_to(self, cell: Cell) -> None:
        """Put the cursor on a cabinet; what differs is painted again."""
        if self._plan is not None and cell in self._plan.boxes and cell != self.cursor:
            before, self.cursor = self.cursor, cell
            regions = [self._region(self._plan.boxes[c]) for c in (before, cell)]
            self.refresh(*regions, *self._names_of(before, cell))
            self._show_cursor()

    def _names_of(self, before: Cell, now: Cell) -> list[Region]:
        """Return where the names stand of the row and column that the cursor left and came to."""
        found = []
        for cell in (before, now):
            if before.row != now.row and self._plan is not None:
                top = self._plan.boxes[cell].top + 1 - round(self.scroll_y)
                found.append(Region(0, top, _MARGIN, 1))
            if before.column != now.column:
                at, name = self._names.get(cell.column, (0, ""))
                found.append(Region(at + _MARGIN - round(self.scroll_x), 0, len(name), 1))
        return found

    def _region(self, box: Box) -> Region:
        left = box.left + _MARGIN - round(self.scroll_x)
        return Region(left, box.top + 1 - round(self.scroll_y), box.width, box.height)

    def _show_cursor(self) -> None:
        if self._plan is None or not (
            self.show_vertical_scrollbar or self.show_horizontal_scrollbar
        ):
            return
        box = self._plan.boxes[self.cursor]
        region = Region(box.left, box.top, box.width + _MARGIN, box.height + 1)
        self.scroll_to_region(region, animate=False)

    def on_click(self, event: events.Click) -> None:
        """Select the cabinet under the mouse."""
        at = event.get_content_offset(self)
        if self._plan is None or at is None or at.y < 1:
            return
        x, y = at.x - _MARGIN + round(self.scroll_x), at.y - 1 + round(self.scroll_y)
        cell = self._plan.at(x, y)
        if cell is not None:
            again = cell == self.cursor
            self.move_to(cell)
            self.post_message(self.Clicked(cell, again))

    # --- painting

    def _style_of(self, *roles: str) -> Style:
        """Return the style of roles laid over each other, the last on top."""
        base = self.visual_style
        for role in roles:
            base += TextualStyle.parse(STYLES[role])
        return base.rich_style

    def render_line(self, y: int) -> Strip:
        if self._plan is None:
            return Strip.blank(self.size.width, self._style(""))
        width, left = self.scrollable_content_region.width, round(self.scroll_x)
        if y == 0:
            return self._names_line(left, width)
        row = y - 1 + round(self.scroll_y)
        if row >= self._plan.height:
            return Strip.blank(width, self._style(""))
        body = self._with_cursor(self._plan, row).crop(left, left + width - _MARGIN)
        line = Strip([self._row_name(self._plan, row), *body])
        return line.adjust_cell_length(width, self._style(""))

    def _with_cursor(self, drawn: DrawnPlan, row: int) -> Strip:
        if row not in self._rows:
            self._rows[row] = self._painted(drawn, row)
        painted = self._rows[row]
        box = drawn.boxes[self.cursor]
        if not box.top <= row < box.top + box.height:
            return painted
        right = box.left + box.width
        here = self._cursor(box, row - box.top, painted)
        return Strip.join([painted.crop(0, box.left), here, painted.crop(right)])

    def _cursor(self, box: Box, line: int, below: Strip) -> Strip:
        if self._plan is not None and self._plan.is_crowded:
            sign = below.crop(box.left, box.left + 1).text or " "
            return Strip([Segment(sign, self._style("here"))], 1)
        return Strip(self._segments(box, line, cursor=True), box.width)

    def _painted(self, drawn: DrawnPlan, row: int) -> Strip:
        boxes = drawn.by_row.get(row, ())
        segments = self._crowd(boxes) if drawn.is_crowded else self._apart(boxes, row)
        return Strip(Segment.simplify(segments)).extend_cell_length(drawn.width, self._style(""))

    def _apart(self, boxes: tuple[Box, ...], row: int) -> list[Segment]:
        segments: list[Segment] = []
        at = 0
        for box in boxes:
            if box.left > at:
                segments.append(Segment(" " * (box.left - at), self._style("")))
            segments += self._segments(box, row - box.top)
            at = max(at, box.left + box.width)
        return segments

    def _crowd(self, boxes: tuple[Box, ...]) -> list[Segment]:
        """Paint characters that stand for several cabinets each: the gravest look of them."""
        held: dict[int, list[Cell]] = {}
        for box in boxes:
            for x in range(box.left, box.left + box.width):
                held.setdefault(x, []).append(box.cell)
        segments: list[Segment] = []
        for x in range(max(held, default=-1) + 1):
            cells = held.get(x, [])
            look = gravest([self._looks.get(cell, BLANK) for cell in cells] or [BLANK])
            marked = any(cell in self._marked for cell in cells)
            sign = MARK if marked else look.sign
            ground = look.ground or ("cabinet-other" if cells else "")
            segments.append(Segment(sign, self._style(ground, look.role)))
        return segments

    def _segments(self, box: Box, line: int, *, cursor: bool = False) -> list[Segment]:
        look = self._looks.get(box.cell, BLANK)
        marked = box.cell in self._marked
        ground = look.ground or box.ground
        style = self._style(*(("here",) if cursor else (ground, look.role)))
        if box.width == 1:
            sign = MARK if marked else look.sign
            return [Segment(sign if line == 0 else " ", style)]
        name = str(box.cell) if self._names_fit else ""
        text = row_text(look, name, line, box.width - 1, box.height)
        edge = style if cursor else self._style(ground, "key" if marked else "edge")
        return [Segment(MARK if marked else EDGE, edge), Segment(text, style)]

    # --- names of rows and columns

    def _row_name(self, drawn: DrawnPlan, row: int) -> Segment:
        boxes = drawn.by_row.get(row, ())
        at_cursor = drawn.boxes[self.cursor].top == row
        first = next((b for b in boxes if b.top == row), None)
        number = self.cursor.row if at_cursor else first.cell.row if first else None
        name = f"R{number}" if number is not None else ""
        return Segment(name.ljust(_MARGIN), self._style("key" if at_cursor else "muted"))

    def _column_names(self, drawn: DrawnPlan) -> dict[int, tuple[int, str]]:
        """Return where each column's name stands, of those that have room."""
        found: dict[int, tuple[int, str]] = {}
        end = -1
        for box in sorted(drawn.boxes.values(), key=lambda b: (b.left, b.cell.row)):
            column, name = box.cell.column, f"C{box.cell.column}"
            left = box.left + (box.width > 1)
            if column not in found and left > end and left + len(name) <= drawn.width + 1:
                found[column] = left, name
                end = left + len(name)
        return found

    def _names_line(self, left: int, width: int) -> Strip:
        """Return the columns' names; the one of the cursor stands out."""
        muted, key = self._style("muted"), self._style("key")
        segments, at = [Segment(" " * _MARGIN, muted)], 0
        for column, (start, name) in self._names.items():
            style = key if column == self.cursor.column else muted
            segments += [Segment(" " * (start - at), muted), Segment(name, style)]
            at = start + len(name)
        shown = Strip(segments)
        if left:
            shown = Strip.join([shown.crop(0, _MARGIN), shown.crop(_MARGIN + left)])
        return shown.adjust_cell_length(width, self._style(""))

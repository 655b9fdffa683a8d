"""The wall, drawn to scale by one widget: rows kept as strips, the cursor laid over them."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass

from rich.segment import Segment
from textual import events
from textual.geometry import Region, Size
from textual.message import Message
from textual.scroll_view import ScrollView
from textual.strip import Strip

from commission_tui.screens.geometry import (
    CHARACTER_ASPECT,
    Box,
    Plan,
    plan,
    scales,
)
from commission_tui.screens.look import Look, gravest, row_text
from commission_tui.screens.terminal_size import terminal_aspect
from commission_tui.screens.widgets.quick_lines import RoleStyles
from commission_tui.wall.location import Cell
from commission_tui.wall.model import Wall

_MARGIN = 4
"""Characters on the left for the row's name; one row on top for the columns' names."""
_BLANK = Look(" ")


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
        self._plan: Plan | None = None
        self._looks: Mapping[Cell, Look] = {}
        self._marked: Collection[Cell] = frozenset()
        self._edges = ("|", "*")
        self._rear = False
        self._step = 0
        self._steps = 1
        self._aspect = CHARACTER_ASPECT
        self._names_fit = False
        self._strips: dict[int, Strip] = {}
        self._names: dict[int, tuple[int, str]] = {}
        self._roles = RoleStyles(self)
        self.cursor = Cell(1, 1)

    # --- what to show

    def show(
        self, wall: Wall, looks: Mapping[Cell, Look], border: str, *, rear: bool, mark: str = "*"
    ) -> None:
        """Draw a wall anew."""
        self._wall, self._looks, self._rear = wall, looks, rear
        self._edges = (border, mark)
        if self.cursor not in wall.cabinets:
            self.cursor = next(iter(wall.cabinets))
        self._lay_out()

    def mark(self, cells: Collection[Cell]) -> None:
        """Show which cabinets are marked; only the rows of those that changed are painted again."""
        changed = set(cells) ^ set(self._marked)
        self._marked = frozenset(cells)
        if self._plan is None:
            return
        for cell in changed & self._plan.boxes.keys():
            box = self._plan.boxes[cell]
            for y in range(box.top, box.top + box.height):
                self._strips.pop(y, None)
            self.refresh(self._region(box))

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
        width, height = max(1, room.width - _MARGIN), max(1, room.height - 1)
        sizes = scales(self._wall, width, height, self._aspect)
        self._steps = len(sizes)
        self._step = min(self._step, self._steps - 1)
        self._plan = plan(self._wall, sizes[self._step], rear=self._rear)
        longest = max(len(str(cell)) for cell in self._wall.cabinets)
        self._names_fit = longest < self._plan.least_width
        self._names = self._column_names(self._plan)
        self.virtual_size = Size(self._plan.width + _MARGIN, self._plan.height + 1)
        self._strips.clear()
        self._roles.clear()
        self._show_cursor()
        self.refresh()

    def on_resize(self) -> None:
        if not self.app.is_headless:
            self._aspect = terminal_aspect()
        self._lay_out()

    def notify_style_update(self) -> None:
        super().notify_style_update()
        self._strips.clear()
        self._roles.clear()

    def move_to(self, cell: Cell) -> None:
        """Put the cursor on a cabinet; only the two cabinets and their names are sent again."""
        if self._plan is None or cell not in self._plan.boxes or cell == self.cursor:
            return
        before, self.cursor = self.cursor, cell
        for changed in (before, cell):
            self.refresh(self._region(self._plan.boxes[changed]))
        self._refresh_names(before, cell)
        self._show_cursor()

    def _refresh_names(self, before: Cell, now: Cell) -> None:
        """Send again the names of the row and column that the cursor left and of those it came to."""
        if before.row != now.row:
            for cell in (before, now):
                top = self._plan.boxes[cell].top if self._plan else 0
                self.refresh(Region(0, top + 1 - round(self.scroll_y), _MARGIN, 1))
        if before.column != now.column:
            for cell in (before, now):
                at, name = self._names.get(cell.column, (0, ""))
                left = at + _MARGIN - round(self.scroll_x)
                self.refresh(Region(left, 0, len(name), 1))

    def _region(self, box: Box) -> Region:
        left = box.left + _MARGIN - round(self.scroll_x)
        return Region(left, box.top + 1 - round(self.scroll_y), box.width, box.height)

    def _show_cursor(self) -> None:
        if self._plan is None:
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

    def render_line(self, y: int) -> Strip:
        if self._plan is None:
            return Strip.blank(self.size.width)
        width = self.scrollable_content_region.width
        left = round(self.scroll_x)
        if y == 0:
            return self._names_line(left, width)
        row = y - 1 + round(self.scroll_y)
        if row >= self._plan.height:
            return Strip.blank(width, self._roles.style(""))
        body = self._with_cursor(self._plan, row).crop(left, left + width - _MARGIN)
        line = Strip([self._row_name(self._plan, row), *body])
        return line.adjust_cell_length(width, self._roles.style(""))

    def _with_cursor(self, drawn: Plan, row: int) -> Strip:
        kept = self._strips.get(row)
        if kept is None:
            kept = self._strips[row] = self._painted(drawn, row)
        box = drawn.boxes[self.cursor]
        if not box.top <= row < box.top + box.height:
            return kept
        right = box.left + box.width
        here = self._cursor(box, row - box.top, kept)
        return Strip.join([kept.crop(0, box.left), here, kept.crop(right)])

    def _cursor(self, box: Box, line: int, below: Strip) -> Strip:
        if self._plan is not None and self._plan.is_crowded:
            sign = below.crop(box.left, box.left + 1).text or " "
            return Strip([Segment(sign, self._roles.style("", cursor=True))], 1)
        return Strip(self._segments(box, line, cursor=True), box.width)

    def _painted(self, drawn: Plan, row: int) -> Strip:
        boxes = drawn.by_row.get(row, ())
        segments = self._crowd(boxes) if drawn.is_crowded else self._apart(boxes, row)
        return Strip(Segment.simplify(segments)).extend_cell_length(
            drawn.width, self._roles.style("")
        )

    def _apart(self, boxes: tuple[Box, ...], row: int) -> list[Segment]:
        segments: list[Segment] = []
        at = 0
        for box in boxes:
            if box.left > at:
                segments.append(Segment(" " * (box.left - at), self._roles.style("")))
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
            look = gravest([self._looks.get(cell, _BLANK) for cell in cells] or [_BLANK])
            marked = any(cell in self._marked for cell in cells)
            sign = self._edges[1] if marked else look.sign
            ground = look.ground or ("cabinet-other" if cells else "")
            segments.append(Segment(sign, self._roles.style(ground, look.role)))
        return segments

    def _segments(self, box: Box, line: int, *, cursor: bool = False) -> list[Segment]:
        look = self._looks.get(box.cell, _BLANK)
        marked = box.cell in self._marked
        ground = look.ground or ("cabinet" if sum(box.cell) % 2 else "cabinet-other")
        style = self._roles.style(ground, look.role, cursor=cursor)
        if box.width == 1:
            sign = self._edges[1] if marked else look.sign
            return [Segment(sign if line == 0 else " ", style)]
        name = str(box.cell) if self._names_fit else ""
        text = row_text(look, name, line, box.width - 1, box.height)
        edge = "key" if marked else "edge"
        return [
            Segment(self._edges[marked], self._roles.style(ground, edge, cursor=cursor)),
            Segment(text, style),
        ]

    # --- names of rows and columns

    def _row_name(self, drawn: Plan, row: int) -> Segment:
        boxes = drawn.by_row.get(row, ())
        at_cursor = drawn.boxes[self.cursor].top == row
        first = next((b for b in boxes if b.top == row), None)
        number = self.cursor.row if at_cursor else first.cell.row if first else None
        name = f"R{number}" if number is not None else ""
        return Segment(name.ljust(_MARGIN), self._roles.style("key" if at_cursor else "muted"))

    def _column_names(self, drawn: Plan) -> dict[int, tuple[int, str]]:
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
        segments = [Segment(" " * _MARGIN, self._roles.style(""))]
        at = left
        for column, (start, name) in sorted(self._names.items(), key=lambda item: item[1][0]):
            if start < left:
                continue
            role = "key" if column == self.cursor.column else "muted"
            segments.append(Segment(" " * (start - at), self._roles.style("")))
            segments.append(Segment(name, self._roles.style(role)))
            at = start + len(name)
        return Strip(segments).adjust_cell_length(width, self._roles.style(""))

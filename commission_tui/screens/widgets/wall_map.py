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

from commission_tui.screens.layers.cell_style import Look, gravest, row_text
from commission_tui.screens.layers.wall_geometry import CHARACTER_ASPECT, Box, Plan, plan, scales
from commission_tui.screens.terminal.styled_text import Line
from commission_tui.screens.terminal.terminal_size import terminal_aspect
from commission_tui.screens.widgets.diff_lines import (
    KeptRows,
    RoleStyles,
    differing,
    line_strip,
    plain_text,
)
from commission_tui.screens.widgets.text_lines import spelt
from commission_tui.wall.model.location import Cell
from commission_tui.wall.model.wall_model import Wall

_MARGIN = 4
"""Characters on the left for the row's name; one row on top for the columns' names."""
_BLANK = Look(" ")


class WallMap(KeptRows, ScrollView):
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
        self._header: Strip | None = None
        self._caption: tuple[Line, ...] = ()
        self._caption_rows = 0
        self._room_of: tuple[Size, bool, bool] | None = None
        self._kept_room = Size(0, 0)
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

    @property
    def _room(self) -> Size:
        """The room inside the scrollbars; asked for each row, and slow to work out."""
        of = self.outer_size, self.show_vertical_scrollbar, self.show_horizontal_scrollbar
        if of != self._room_of:
            self._room_of, self._kept_room = of, self.scrollable_content_region.size
        return self._kept_room

    def _lay_out(self) -> None:
        if self._wall is None:
            return
        room = self.scrollable_size
        width = max(1, room.width - _MARGIN)
        height = max(1, room.height - 1 - self._caption_rows)
        sizes = scales(self._wall, width, height, self._aspect)
        self._steps = len(sizes)
        self._step = min(self._step, self._steps - 1)
        self._plan = plan(self._wall, sizes[self._step], rear=self._rear)
        longest = max(len(str(cell)) for cell in self._wall.cabinets)
        self._names_fit = longest < self._plan.least_width
        self._names = self._column_names(self._plan)
        below = 1 + self._caption_rows
        self.virtual_size = Size(self._plan.width + _MARGIN, self._plan.height + below)
        self._forget()
        self._show_cursor()
        self.refresh()

    def on_resize(self) -> None:
        if not self.app.is_headless:
            self._aspect = terminal_aspect()
        self._lay_out()

    def notify_style_update(self) -> None:
        super().notify_style_update()
        self._forget()

    def _forget(self) -> None:
        self._strips.clear()
        self._roles.clear()
        self._header = None

    def move_to(self, cell: Cell, caption: tuple[Line, ...] | None = None) -> None:
        """Put the cursor on a cabinet; what differs is sent again, in one go with the caption."""
        regions = [] if caption is None else self._captioned(caption)
        if self._plan is not None and cell in self._plan.boxes and cell != self.cursor:
            before, self.cursor = self.cursor, cell
            regions += [self._region(self._plan.boxes[c]) for c in (before, cell)]
            regions += self._names_of(before, cell)
        if regions:
            self.refresh(*regions)
            self._show_cursor()

    def reserve(self, rows: int) -> None:
        """Keep rows below the drawing for the caption."""
        if rows != self._caption_rows:
            self._caption_rows = rows
            self._lay_out()

    def _captioned(self, lines: tuple[Line, ...]) -> list[Region]:
        """Take a caption; return where it differs from the one before."""
        before, self._caption = self._caption, spelt(lines, self)
        top = self._room.height - self._caption_rows
        return [region.translate((0, top)) for region in differing(before, lines)]

    @property
    def caption(self) -> str:
        """What the caption says."""
        return plain_text(self._caption)

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
        below = 1 + self._caption_rows
        region = Region(box.left, box.top, box.width + _MARGIN, box.height + below)
        self.scroll_to_region(region, animate=False)

    def on_click(self, event: events.Click) -> None:
        """Select the cabinet under the mouse."""
        at = event.get_content_offset(self)
        last = self._room.height - self._caption_rows
        if self._plan is None or at is None or not 1 <= at.y < last:
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
        width, height = self._room
        left = round(self.scroll_x)
        below = y - height + self._caption_rows
        if below >= 0:
            return line_strip(self._caption, below, width, self._roles)
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
            return Strip([Segment(sign, self._roles.style("here"))], 1)
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
        style = self._roles.style(*(("here",) if cursor else (ground, look.role)))
        if box.width == 1:
            sign = self._edges[1] if marked else look.sign
            return [Segment(sign if line == 0 else " ", style)]
        name = str(box.cell) if self._names_fit else ""
        text = row_text(look, name, line, box.width - 1, box.height)
        edge = style if cursor else self._roles.style(ground, "key" if marked else "edge")
        return [Segment(self._edges[marked], edge), Segment(text, style)]

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
        """Return the columns' names; the one of the cursor stands out."""
        if self._header is None:
            muted = self._roles.style("muted")
            segments, at = [Segment(" " * _MARGIN, muted)], 0
            for start, name in self._names.values():
                segments += [Segment(" " * (start - at), muted), Segment(name, muted)]
                at = start + len(name)
            self._header = Strip(segments).simplify()
        start, name = self._names.get(self.cursor.column, (0, ""))
        here = Strip([Segment(name, self._roles.style("key"))])
        whole = self._header
        at = start + _MARGIN
        joined = [whole.crop(0, at), here, whole.crop(at + len(name))] if name else [whole]
        shown = Strip.join(joined)
        if left:
            shown = Strip.join([shown.crop(0, _MARGIN), shown.crop(_MARGIN + left)])
        return shown.adjust_cell_length(width, self._roles.style(""))

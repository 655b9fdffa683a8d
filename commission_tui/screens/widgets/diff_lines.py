"""Lines that are painted again row by row, only where they changed: for what follows every key."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any, Self

from rich.segment import Segment
from rich.style import Style
from textual.color import Color
from textual.geometry import Region
from textual.strip import Strip
from textual.style import Style as TextualStyle
from textual.widget import Widget

from commission_tui.screens.terminal.colours import grounds, rule
from commission_tui.screens.terminal.styled_text import Line, Part, visible
from commission_tui.screens.widgets.text_lines import STYLES, Painted, spelt


class RoleStyles:
    """A widget's styles by role, worked out once a theme."""

    def __init__(self, widget: Widget) -> None:
        self._widget = widget
        self._kept: dict[tuple[str, ...], Style] = {}

    def clear(self) -> None:
        self._kept.clear()

    def style(self, *roles: str) -> Style:
        """Return the style of roles laid over each other, the last on top."""
        kept = self._kept.get(roles)
        if kept is None:
            kept = self._kept[roles] = self._made(roles)
        return kept

    def _made(self, roles: tuple[str, ...]) -> Style:
        base = self._widget.visual_style
        theme = self._widget.app.current_theme
        of = grounds(theme.name, dark=theme.dark)
        for role in roles:
            text = STYLES[role] if role in STYLES else rule(role, of)
            if text:
                base += TextualStyle.parse(text)
        return base.rich_style


_WORD = re.compile(r"\S+\s*|\s+")


def wrapped(line: Line, width: int) -> list[Line]:
    """Break a line between its parts, or between the words of a long part, so that each row fits."""
    rows: list[list[Part]] = [[]]
    used = 0
    for text, role in line:
        pieces = [text] if len(text) <= width // 3 else _WORD.findall(text)
        for piece in pieces:
            if used and used + len(piece.rstrip()) > width:
                rows.append([])
                used = 0
            shown = piece if used else piece.lstrip()
            if shown:
                rows[-1].append((shown, role))
                used += len(shown)
    return [tuple(row) for row in rows]


class KeptRows(Widget):
    """A widget that keeps its rows as they go to the terminal, filters and all.

    It has no border, and no padding above. A key on a wall of 10,000 cabinets changes a few characters; the library would go through every
    row between the first and the last of them.
    """

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self._kept_rows: dict[int, Strip] = {}
        self._ground: tuple[Style, Color] | None = None

    def refresh(
        self,
        *regions: Region,
        repaint: bool = True,
        layout: bool = False,
        recompose: bool = False,
    ) -> Self:
        if regions:
            for region in regions:
                for y in region.line_range:
                    self._kept_rows.pop(y, None)
        else:
            self._kept_rows.clear()
            self._ground = None
        return super().refresh(*regions, repaint=repaint, layout=layout, recompose=recompose)

    def notify_style_update(self) -> None:
        super().notify_style_update()
        self._kept_rows.clear()
        self._ground = None

    def render_lines(self, crop: Region) -> list[Strip]:
        rows = [self._kept_row(y) for y in crop.line_range]
        if rows and crop.column_span != (0, self.outer_size.width):
            return [row.crop(*crop.column_span) for row in rows]
        return rows

    def _kept_row(self, y: int) -> Strip:
        kept = self._kept_rows.get(y)
        if kept is None:
            if self._ground is None:
                self._ground = self.visual_style.rich_style, self.background_colors[1]
            blank, background = self._ground
            row = Strip([Segment(" " * self.styles.padding.left, blank), *self.render_line(y)])
            kept = row.adjust_cell_length(self.outer_size.width, blank)
            for line_filter in self.get_line_filters():
                kept = kept.apply_filter(line_filter, background)
            self._kept_rows[y] = kept
        return kept


def differing(old: Sequence[Line], new: Sequence[Line]) -> list[Region]:
    """Return where lines differ from those before: of each row from its first change on."""
    regions = []
    for n in range(max(len(old), len(new))):
        one = old[n] if n < len(old) else ()
        other = new[n] if n < len(new) else ()
        if one != other:
            start, end = _changed(one, other)
            regions.append(Region(start, n, end - start, 1))
    return regions


def _changed(old: Line, new: Line) -> tuple[int, int]:
    start = 0
    for one, other in zip(old, new, strict=False):
        if one != other:
            break
        start += len(visible(one[0]))
    return start, max(sum(len(visible(text)) for text, _ in line) for line in (old, new))


def line_strip(lines: Sequence[Line], n: int, width: int, roles: RoleStyles) -> Strip:
    """Return one of several lines as it is painted."""
    line = lines[n] if n < len(lines) else ()
    segments = [Segment(visible(text), roles.style(role)) for text, role in line]
    return Strip(segments).adjust_cell_length(width, roles.style(""))


def plain_text(lines: Sequence[Line]) -> str:
    return "\n".join("".join(visible(text) for text, _ in line) for line in lines)


class QuickLines(KeptRows, Painted):
    """A fixed number of rows; `show` paints again only what differs."""

    def __init__(self, *, id: str | None = None, classes: str | None = None) -> None:  # noqa: A002
        super().__init__(id=id, classes=classes)
        self._lines: tuple[Line, ...] = ()
        self._roles = RoleStyles(self)

    def show(self, *lines: Line) -> None:
        before, self._lines = self._lines, spelt(lines, self)
        regions = differing(before, self._lines)
        if regions:
            self.refresh(*regions)

    def notify_style_update(self) -> None:
        super().notify_style_update()
        self._roles.clear()

    def render_line(self, y: int) -> Strip:
        return line_strip(self._lines, y, self.size.width, self._roles)

    @property
    def plain(self) -> str:
        return plain_text(self._lines)

"""Lines that are painted again row by row, only where they changed: for what follows every key."""

from __future__ import annotations

import re

from rich.segment import Segment
from rich.style import Style
from textual.geometry import Region
from textual.strip import Strip
from textual.style import Style as TextualStyle
from textual.widget import Widget

from commission_tui.screens.colours import grounds, rule
from commission_tui.screens.widgets.painted import STYLES, Painted
from commission_tui.screens.words import Line, Part, visible


class RoleStyles:
    """A widget's styles by role, worked out once a theme."""

    def __init__(self, widget: Widget) -> None:
        self._widget = widget
        self._kept: dict[tuple[str, ...], Style] = {}

    def clear(self) -> None:
        self._kept.clear()

    def style(self, *roles: str, cursor: bool = False) -> Style:
        """Return the style of roles laid over each other, the last on top."""
        key = (*roles, "cursor") if cursor else roles
        kept = self._kept.get(key)
        if kept is None:
            kept = self._kept[key] = self._made(roles, cursor)
        return kept

    def _made(self, roles: tuple[str, ...], cursor: bool) -> Style:
        base = self._widget.visual_style
        theme = self._widget.app.current_theme
        of = grounds(theme.name, dark=theme.dark)
        for role in roles:
            text = STYLES[role] if role in STYLES else rule(role, of)
            if text:
                base += TextualStyle.parse(text)
        made = base.rich_style
        return made + Style(reverse=True, bold=True) if cursor else made


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


class QuickLines(Painted):
    """A fixed number of rows; `show` paints again only the rows that differ."""

    def __init__(self, *, id: str | None = None, classes: str | None = None) -> None:  # noqa: A002
        super().__init__(id=id, classes=classes)
        self._lines: tuple[Line, ...] = ()
        self._roles = RoleStyles(self)

    def show(self, *lines: Line) -> None:
        before, self._lines = self._lines, lines
        count = max(len(before), len(lines))
        changed = [n for n in range(count) if before[n : n + 1] != lines[n : n + 1]]
        width = self.size.width
        for n in changed:
            self.refresh(Region(0, n, width, 1))

    def notify_style_update(self) -> None:
        super().notify_style_update()
        self._roles.clear()

    def render_line(self, y: int) -> Strip:
        width = self.size.width
        line = self._lines[y] if y < len(self._lines) else ()
        segments = [Segment(visible(text), self._roles.style(role)) for text, role in line]
        return Strip(segments).adjust_cell_length(width, self._roles.style(""))

    @property
    def plain(self) -> str:
        return "\n".join("".join(visible(text) for text, _ in line) for line in self._lines)

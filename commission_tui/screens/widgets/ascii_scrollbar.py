"""A scroll bar for terminals and fonts that lack drawn characters."""

from __future__ import annotations

from textual.scrollbar import ScrollBarRender


class AsciiScrollBarRender(ScrollBarRender):
    """The same bar without the part-blocks at its ends."""

    VERTICAL_BARS = [" ", " ", " ", " ", " ", " ", " ", " "]  # noqa: RUF012
    HORIZONTAL_BARS = [" ", " ", " ", " ", " ", " ", " ", " "]  # noqa: RUF012

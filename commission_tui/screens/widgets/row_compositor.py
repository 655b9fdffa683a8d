"""Puts a screen together row by row, for screens on which a key changes a few rows far apart."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from textual._compositor import ChopsUpdate, Compositor
from textual.geometry import Region
from textual.strip import Strip
from textual.widget import Widget

if TYPE_CHECKING:
    Row = dict[int, Strip | None]

Placed = tuple[Widget, Region, Region]
"""A widget, where it lies, and what of that is to be seen."""


class RowCompositor(Compositor):
    """Asks for the rows that are to be sent again alone, and only who is seen in them.

    The library asks every widget for every row between the first and the last of them.
    """

    def render_partial_update(self) -> ChopsUpdate | None:
        regions = self._dirty_regions.copy()
        self._dirty_regions.clear()
        spans = list(self._regions_to_spans(regions))
        if not spans:
            return None
        placed = [
            (widget, region, shown)
            for widget, (region, clip) in self.visible_widgets.items()
            if (shown := region.intersection(clip))
        ]
        height = self.size.height
        rows: list[Row] = [{}] * height
        ends: list[list[int]] = [[]] * height
        for y in {y for y, _, _ in spans if y < height}:
            cuts = self.cuts[y]
            rows[y], ends[y] = self._row(y, cuts, placed), cuts[1:]
        return ChopsUpdate(rows, spans, ends)

    @staticmethod
    def _row(y: int, cuts: Sequence[int], placed: Sequence[Placed]) -> Row:
        """Return a row in pieces from cut to cut; who lies in front is asked first."""
        row: Row = dict.fromkeys(cuts[:-1])
        missing = len(row)
        for widget, region, shown in placed:
            if not shown.y <= y < shown.y + shown.height:
                continue
            within = [cut for cut in cuts if shown.x <= cut <= shown.x + shown.width]
            if all(row.get(cut) is not None for cut in within[:-1]):
                continue
            crop = Region(shown.x - region.x, y - region.y, shown.width, 1)
            strips = widget.render_lines(crop)[0].divide([cut - shown.x for cut in within[1:]])
            for cut, strip in zip(within, strips, strict=False):
                if row.get(cut) is None:
                    row[cut] = strip
                    missing -= 1
            if missing <= 0:
                break
        return row

"""What a diagnosis goes by: the design, what was seen of it, and what else was looked at."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from commission_tui.wall.mapping.cables.darkness import Feed
from commission_tui.wall.mapping.cables.routes import Node, Routes
from commission_tui.wall.mapping.layout import Layout, Start


@dataclass(frozen=True, slots=True)
class Evidence:
    """One table of tiles, with all that it is held against."""

    layout: Layout
    routes: Routes
    start: Start
    seen: Sequence[int]
    """What each cabinet shows: a tile, or a code below nought."""
    feeds: Sequence[Feed]
    """What may have failed that more than one cabinet hangs on."""
    confirmed: frozenset[int]
    """Cabinets that were looked at twice."""
    links: Mapping[Node, bool]
    """Whether the link lights that were looked at are lit."""

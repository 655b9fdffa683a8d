"""What a diagnosis goes by: the design, what was seen of it, and what feeds just what is dark."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from commission_tui.wall.mapping.cables.routes import Node, Routes
from commission_tui.wall.mapping.layout import DARK, UNKNOWN, Layout, Start
from commission_tui.wall.review.redundancy import FailureKind, graph_of

_KINDS: dict[FailureKind, str] = {
    "circuit": "circuit-off", "supply": "supply-dead", "processor": "processor-dead",
    "converter": "converter-dead", "trunk": "trunk-dead", "switch": "switch-dead",
    "source": "source-dead",
}  # fmt: skip
FEED_KINDS = frozenset(_KINDS.values())
_SAYS: dict[str, str] = {
    "circuit-off": "what is dark is what circuit {name} feeds",
    "supply-dead": "what is dark is what supply {name} feeds",
}
_HANDLING: dict[str, str] = {
    "circuit-off": "look at the breaker of {name} before any cable; why it opened is for a "
    "competent person to find before it is closed",
    "supply-dead": "have a competent person look at supply {name}",
}


@dataclass(frozen=True, slots=True)
class Feed:
    """Something that ports or cabinets hang on, and what goes dark without it."""

    kind: str
    name: str
    ports: frozenset[Node]
    cabinets: frozenset[int]
    dark: frozenset[int]
    """What goes dark without it where all else is well, cut off cabinets too."""

    @property
    def says(self) -> str:
        default = f"what is dark is what {self.kind.removesuffix('-dead')} {{name}} feeds"
        return _SAYS.get(self.kind, default).format(name=self.name)

    @property
    def handling(self) -> str:
        default = f"look at {self.kind.removesuffix('-dead')} {{name}}: its power, its lamps"
        return _HANDLING.get(self.kind, default + ", its cables").format(name=self.name)

    def is_dark(self, seen: Sequence[int]) -> bool:
        """Say whether no cabinet of it is seen lit, and one is seen dark."""
        looked = [seen[i] for i in self.cabinets if seen[i] > UNKNOWN]
        return bool(looked) and all(shown == DARK for shown in looked)


def feeds_of(layout: Layout) -> Iterator[Feed]:
    """Yield what the wall file names that more than one cabinet hangs on, ports left out."""
    graph = graph_of(layout.wall)
    for part in graph.parts.values():
        if part.kind not in _KINDS:
            continue
        ports, cells = graph.lost_with(part.name)
        cabinets = {layout.index[cell] for cell in cells}
        for chain in layout.wall.chains:
            if chain.port in ports and chain.backup_port in (None, *ports):
                cabinets |= {layout.index[cell] for cell in chain.cells}
        if cabinets:
            nodes = frozenset(-port for port in ports)
            dark = frozenset(layout.index[cell] for cell in graph.dark_after(part.name))
            yield Feed(_KINDS[part.kind], part.name, nodes, frozenset(cabinets), dark)


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

"""Where to look next: the look whose answer tells most, and the few that prove a correction."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from commission_tui.wall.mapping.layout import DARK, Layout
from commission_tui.wall.mapping.next_look.single_faults import SingleFault
from commission_tui.wall.model.location import Cell

LookKind = Literal["cabinet", "chain number", "link light", "breaker", "cable"]
_PROOFS = 3
_LEAST_BITS = 0.05
_SURE = 0.93
"""How likely a fault must be for its correction to be tried before another look."""


@dataclass(frozen=True, slots=True)
class NextLook:
    """One thing to look at."""

    kind: LookKind
    at: str
    """A cabinet, the name of a circuit, or what the cable to follow leads from."""
    bits: float = 0.0
    """How much its answer is expected to tell."""

    def as_dict(self) -> dict[str, str]:
        return {"kind": self.kind, "at": self.at}


def best_look(
    layout: Layout,
    faults: Sequence[SingleFault],
    looked: Collection[int],
    answered: Collection[str] = (),
) -> NextLook | None:
    """Return the look that is expected to tell most between faults; None when none tells anything."""
    total = sum(fault.weight for fault in faults)
    if _surest(faults) >= _SURE * total:
        return None
    weights: dict[tuple[LookKind, int | str], dict[int, float]] = {}

    def add(kind: LookKind, at: int | str, fault: SingleFault, answer: int = 1) -> None:
        by_answer = weights.setdefault((kind, at), {})
        by_answer[answer] = by_answer.get(answer, 0.0) + fault.weight

    for fault in faults:
        for cabinet, tile in fault.changes.items():
            if cabinet not in looked:
                add("cabinet", cabinet, fault, tile)
    for fault in faults:
        if fault.feed is not None and fault.kind == "circuit-off" and fault.feed not in answered:
            add("breaker", fault.feed, fault)
    edited = [fault for fault in faults if fault.edit is not None]
    # A chain number tells cables from entries where both show the same tile.
    shown = (i for i in sorted(looked) if any(f.changes.get(i, DARK) >= 0 for f in edited))
    cell = next(shown, None)
    for fault in edited if cell is not None and layout.name(cell) not in answered else ():
        add("chain number", cell or 0, fault)
    for fault in faults:
        if fault.crossed is not None:
            add("cable", fault.crossed, fault)
    looks = [
        NextLook(kind, at if isinstance(at, str) else layout.name(at), _bits(by_answer, total))
        for (kind, at), by_answer in weights.items()
    ]
    best = max(looks, key=lambda look: look.bits, default=None)
    return best if best is not None and best.bits > _LEAST_BITS else None


def _surest(faults: Sequence[SingleFault]) -> float:
    """Return the weight of the likeliest thing to do; what shows the same is mended the same way.

    Whether a cable that nothing passes is out or leads elsewhere is seen where it is mended.
    """
    weights: dict[tuple[object, ...], float] = {}
    for fault in faults:
        key = frozenset(fault.changes.items()), fault.edit is None, fault.feed
        weights[key] = weights.get(key, 0.0) + fault.weight
    return max(weights.values(), default=0.0)


def _bits(by_answer: Mapping[int, float], total: float) -> float:
    """Return the entropy of an answer, in bits; what no fault changes is one answer more."""
    weights = [*by_answer.values(), max(0.0, total - sum(by_answer.values()))]
    return -sum(w / total * math.log2(w / total) for w in weights if w > 0)


def proofs(layout: Layout, changed: Iterable[int]) -> tuple[Cell, ...]:
    """Return the two or three cabinets that prove a correction: the ends of what moved."""
    places = sorted(
        (layout.wall.chain_place(cell) or (0, 0), cell)
        for cell in map(layout.cells.__getitem__, changed)
    )
    runs: list[list[Cell]] = []
    last = (0, 0)
    for (port, k), cell in places:
        if runs and last == (port, k - 1):
            runs[-1].append(cell)
        else:
            runs.append([cell])
        last = port, k
    firsts = [run[0] for run in runs]
    lasts = [run[-1] for run in runs if len(run) > 1]
    if len(runs) > _PROOFS:
        firsts = [firsts[0], firsts[len(firsts) // 2]]
        lasts = [runs[-1][-1]]
    return tuple(dict.fromkeys([*firsts, *lasts]))[:_PROOFS]

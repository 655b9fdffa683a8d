"""Where to look next: the look whose answer tells most, and the few that prove a correction."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from commission_tui.wall.mapping.layout import Layout
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
    answers: dict[int, dict[int, float]] = {}
    for fault in faults:
        for cabinet, tile in fault.changes.items():
            if cabinet not in looked:
                weights = answers.setdefault(cabinet, {})
                weights[tile] = weights.get(tile, 0.0) + fault.weight
    looks = [
        NextLook("cabinet", str(layout.cells[cabinet]), _bits(weights, total))
        for cabinet, weights in answers.items()
    ]
    feeds: dict[str, float] = {}
    for fault in faults:
        if fault.feed is not None and fault.kind == "circuit-off":
            feeds[fault.feed] = feeds.get(fault.feed, 0.0) + fault.weight
    looks += [
        NextLook("breaker", name, _bits({1: weight}, total))
        for name, weight in feeds.items()
        if name not in answered
    ]
    looks.append(_chain_number(layout, faults, looked, total, answered))
    looks += [
        NextLook("cable", layout.name(start), _bits({1: fault.weight}, total))
        for fault in faults
        if (start := fault.crossed) is not None
    ]
    best = max(looks, key=lambda look: look.bits)
    return best if best.bits > _LEAST_BITS else None


def _surest(faults: Sequence[SingleFault]) -> float:
    """Return the weight of the likeliest thing to do; what shows the same is mended the same way.

    Whether a cable that nothing passes is out or leads elsewhere is seen where it is mended.
    """
    weights: dict[tuple[object, ...], float] = {}
    for fault in faults:
        key = frozenset(fault.changes.items()), fault.edit is None, fault.feed
        weights[key] = weights.get(key, 0.0) + fault.weight
    return max(weights.values(), default=0.0)


def _chain_number(
    layout: Layout,
    faults: Sequence[SingleFault],
    looked: Collection[int],
    total: float,
    answered: Collection[str],
) -> NextLook:
    """Return the chain number that tells cables from entries where both show the same."""
    cell = next(
        (
            i
            for i in sorted(looked)
            if faults and any(f.changes.get(i, -1) >= 0 and f.edit for f in faults)
        ),
        None,
    )
    if cell is None or str(layout.cells[cell]) in answered:
        return NextLook("chain number", "", 0.0)
    entries = sum(fault.weight for fault in faults if fault.edit is not None)
    return NextLook("chain number", str(layout.cells[cell]), _bits({1: entries}, total))


def _bits(by_answer: Mapping[int, float], total: float) -> float:
    """Return the entropy of an answer, in bits; what no fault changes is one answer more."""
    weights = [*by_answer.values(), max(0.0, total - sum(by_answer.values()))]
    return -sum(w / total * math.log2(w / total) for w in weights if w > 0)


def proofs(layout: Layout, changed: Iterable[int]) -> tuple[Cell, ...]:
    """Return the two or three cabinets that prove a correction: the ends of what moved."""
    places = []
    for i in changed:
        cell = layout.cells[i]
        place = layout.wall.chain_place(cell) or (0, 0)
        places.append((place, cell))
    places.sort()
    runs: list[list[tuple[tuple[int, int], Cell]]] = []
    for (port, k), cell in places:
        if runs and runs[-1][-1][0] == (port, k - 1):
            runs[-1].append(((port, k), cell))
        else:
            runs.append([((port, k), cell)])
    firsts = [run[0][1] for run in runs]
    lasts = [run[-1][1] for run in runs if len(run) > 1]
    if len(runs) > _PROOFS:
        firsts = [firsts[0], firsts[len(firsts) // 2]]
        lasts = [runs[-1][-1][1]]
    return tuple(dict.fromkeys([*firsts, *lasts]))[:_PROOFS]

"""What is dark, told by what may feed it: circuits and shared parts, a supply in common, joined heads."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from itertools import takewhile

from commission_tui.wall.mapping.cables.cable_faults import CableFault, Namer
from commission_tui.wall.mapping.cables.evidence import Feed
from commission_tui.wall.mapping.cables.routes import cable
from commission_tui.wall.mapping.layout import DARK


def faults_of(namer: Namer, feeds: Iterable[Feed], seen: Sequence[int]) -> list[CableFault]:
    """Return what is wrong, worst first in the order in which to put it right."""
    found = _fed([*namer.differences(), *namer.dimmed()], feeds, seen)
    return _joined_heads(namer, _side_by_side(namer, found, seen))


def _fed(faults: list[CableFault], feeds: Iterable[Feed], seen: Sequence[int]) -> list[CableFault]:
    """Put what a circuit or a shared part explains in place of the breaks that it looks like."""
    found: list[CableFault] = []
    dark = [feed for feed in feeds if feed.is_dark(seen)]
    while dark:
        best = max(dark, key=lambda feed: len(_explained(feed, faults)))
        gone = _explained(best, faults)
        least = 1 if best.kind in ("circuit-off", "supply-dead") else 2
        if len(gone) < least:
            break
        faults = [fault for fault in faults if fault not in gone]
        into = tuple(pair for fault in gone for pair in (*fault.into, *fault.carried))
        alone = gone[0] if len(gone) == 1 and len(into) == 1 else None
        handling = [best.handling, *((f"if it is well: {alone.handling[0]}",) if alone else ())]
        found.append(
            CableFault(
                best.kind, best.name, best.says, handling=tuple(handling), carried=into,
                as_well=into if alone else (),
                suspects=tuple(dict.fromkeys(name for fault in gone for name in fault.suspects)),
                dark=best.cabinets.union(*(fault.dark for fault in gone)),
            )
        )  # fmt: skip
        dark.remove(best)
    return found + faults


def _explained(feed: Feed, faults: list[CableFault]) -> list[CableFault]:
    """Return the faults at whose dark side stands what the feed feeds."""
    gone = []
    for fault in faults:
        if fault.kind == "card-dead" and fault.dark <= feed.cabinets:
            gone.append(fault)
        elif fault.kind in ("chain-open", "port-dead"):
            ((a, b),) = fault.into
            if b in feed.cabinets or a in feed.ports or a in fault.dark & feed.cabinets:
                gone.append(fault)
    return gone


def _side_by_side(
    namer: Namer, faults: Sequence[CableFault], seen: Sequence[int]
) -> list[CableFault]:
    """Put a supply in common in place of what is dark side by side, though data passes it.

    Cards do not fail together; cabinets on one breaker, or on one lead that is looped from
    cabinet to cabinet, do, whatever the wall file says of the circuits.
    """
    beside = namer.layout.beside
    left = [(fault, dark) for fault in faults if (dark := _darkened(namer, fault, seen))]
    found: list[CableFault] = []
    while left:
        fault, dark = left.pop(0)
        group, cabinets = [fault], set(dark)
        while near := [
            item for item in left if any(n in cabinets for i in item[1] for n in beside[i])
        ]:
            left = [item for item in left if item not in near]
            group += [one for one, _ in near]
            cabinets.update(*(more for _, more in near))
        if sum(one.kind == "card-dead" for one in group) > 1:
            found.append(_supplied(namer, group, cabinets))
            faults = [one for one in faults if one not in group]
    return found + [_not_alone(namer, fault, seen) for fault in faults]


def _darkened(namer: Namer, fault: CableFault, seen: Sequence[int]) -> frozenset[int]:
    """Return what is dark by a dead card, or behind a cable that is out."""
    if fault.kind != "chain-open" or fault.dark:
        return fault.dark if fault.kind == "card-dead" else frozenset()
    ((before, first),) = fault.into
    behind = namer.routes.beyond(before, namer.routes.step(before, first))
    return frozenset(takewhile(lambda node: node >= 0 and seen[node] == DARK, behind))


def _supplied(namer: Namer, group: Sequence[CableFault], cabinets: set[int]) -> CableFault:
    names = namer.layout.names(cabinets)
    says = (
        f"{names} are dark side by side, and no data cable explains it: most likely a supply "
        "that they share is off (a breaker, a power lead looped from cabinet to cabinet, or "
        "circuits wired otherwise than the wall file says)"
    )
    handling = (
        f"look which breaker and which power lead feed {names} before any card; mains: why a "
        "breaker opened, and every lead, is for a licensed electrician",
        "where their supply is well, they are dark each by itself: look at the lamps of their "
        "cards; fit a spare card in one of them",
    )
    return CableFault(
        "supply-shared", names, says, handling=handling,
        suspects=tuple(namer.layout.name(i) for i in sorted(cabinets)),
        carried=tuple(pair for fault in group for pair in (*fault.into, *fault.carried)),
        dark=frozenset(cabinets),
    )  # fmt: skip


def _not_alone(namer: Namer, fault: CableFault, seen: Sequence[int]) -> CableFault:
    """Return a dead card as it is told: alone only where none beside it is dark."""
    near = (n for i in fault.dark for n in namer.layout.beside[i])
    if fault.kind != "card-dead" or all(seen[n] != DARK for n in near):
        return fault
    return replace(fault, says=fault.says.replace("alone is dark", "is dark though data passes"))


def _joined_heads(namer: Namer, faults: list[CableFault]) -> list[CableFault]:
    """Take two chains that are dark from a place on for one exchange that joined their heads."""
    kinds = ("chain-open", "port-dead")
    opens = [fault for fault in faults if fault.kind in kinds and not fault.dark]
    at = namer.routes.at
    if len(opens) != 2 or len({at[fault.into[0][0]][0] for fault in opens}) != 2:
        return faults
    (a, b), (c, d) = (fault.into[0] for fault in opens)
    if b < 0 or d < 0:
        return faults
    joined = replace(
        namer.heads(a, b, c, d),
        says=f"dark from {namer.layout.name(b)} and from {namer.layout.name(d)} on: plugs of the two ports may be "
        f"exchanged, so that their chains lead into each other at {namer.layout.name(a)}",
        handling=(
            "where the cables are as drawn, each of the two has a fault of its own: try another "
            f"jumper before {namer.layout.name(b)} and before {namer.layout.name(d)}, then spare cards there",
        ),
        out=(cable(a, c), cable(b, d)),
        into=((a, b), (c, d)),
        suspects=tuple(name for fault in opens for name in fault.suspects),
    )
    return [joined, *(fault for fault in faults if fault not in opens)]

"""The same causes in another order.

Cables and entries act on one table from two sides, so that most causes can be told, and put right,
in more than one order. The order decides by which name a place goes (a chain on exchanged home runs
has two ports, an entry under a plan drawn from behind two cabinets), and whether a correction still
fits: what is put right first must be what lies outermost, whether in the cables or in the entries.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from commission_tui.wall.mapping.configuration.plan_causes import PATTERN_KINDS, cabled_as
from commission_tui.wall.mapping.layout import (
    Edit,
    Layout,
    Start,
    Strand,
    StrandPlace,
    after,
    first_change,
    places_of,
)
from commission_tui.wall.mapping.moves import is_cabling, loses

_EXCHANGES = frozenset({"ports-swapped", "outputs-swapped"})
_INNERMOST_ENTRIES = ("pattern", "entry", "plan", "cable", "exchange")
_OUTERMOST_ENTRIES = ("pattern", "plan", "exchange", "cable", "entry")
_OUTERMOST_PATTERNS = ("entry", "pattern", "plan", "exchange", "cable")


def from_entries(layout: Layout, start: Start, edits: Sequence[Edit]) -> tuple[Edit, ...]:
    """Tell the causes so that cables are put right before plans, and plans before entries.

    A cause in the cables that was in truth an entry is then still the outermost, so that its
    configuration edit finds the entries as it expects them.
    """
    return _in_layers(layout, start, edits, _INNERMOST_ENTRIES) or tuple(edits)


def other_orders(layout: Layout, start: Start, edits: Sequence[Edit]) -> Iterable[tuple[Edit, ...]]:
    """Yield the causes as found, with entries outermost, and with entries before any pattern."""
    for layers in (_OUTERMOST_ENTRIES, _OUTERMOST_PATTERNS):
        if order := _in_layers(layout, start, edits, layers):
            yield order
    yield tuple(edits)


@dataclass(frozen=True, slots=True)
class _Step:
    """One cause as what it does to any strands: where each side's items come from."""

    edit: Edit
    layer: str
    chains: Mapping[int, int] = field(default_factory=dict)
    """For an exchange: the strand whose cables each touched strand takes over."""
    ways: Mapping[int, Strand] = field(default_factory=dict)
    """For another cause in the cables: the chain as cabled, by the strand it was designed for."""
    sources: Mapping[int, tuple[StrandPlace, ...]] = field(default_factory=dict)
    """For a cause in the entries: the place from which each of a strand's places has its tile."""


def _in_layers(
    layout: Layout, start: Start, edits: Sequence[Edit], layers: Sequence[str]
) -> tuple[Edit, ...] | None:
    """Return the causes layer by layer, or None where that would give another table."""
    if len(edits) < 2:
        return None
    steps = _steps(start, edits)
    if steps is None:
        return None
    if layers.index("entry") < layers.index("pattern"):
        steps = _before_patterns(steps)
    ordered = sorted(steps, key=lambda step: layers.index(step.layer))
    strands, on = start.strands, list(range(len(start.strands)))
    order = []
    for step in ordered:
        edit = _replayed(layout, start, step, strands, on)
        if edit is None:
            return None
        order.append(edit)
        strands = after(strands, [edit])
    return tuple(order) if strands == after(start.strands, edits) else None


def _before_patterns(steps: Sequence[_Step]) -> list[_Step]:
    """Return the steps with single entries at the places that patterns then bring where they are."""
    origin: dict[StrandPlace, StrandPlace] = {}
    moved = []
    for step in steps:
        if step.layer == "pattern":
            dealt = {
                (i, k): origin.get(source, source)
                for i, way in step.sources.items()
                for k, source in enumerate(way)
            }
            origin |= dealt
        moved.append(_moved(step, origin) if step.layer == "entry" else step)
    return moved


def _moved(step: _Step, origin: Mapping[StrandPlace, StrandPlace]) -> _Step:
    """Return a step that changes one entry as it acts on the places from which a pattern deals."""
    changed = [
        ((i, k), source)
        for i, way in step.sources.items()
        for k, source in enumerate(way)
        if source != (i, k)
    ]
    if len(changed) != 1:
        return step
    (place, source) = (origin.get(at, at) for at in changed[0])
    way = [(place[0], k) for k in range(len(step.sources.get(place[0], ())))]
    if place[1] < len(way):
        way[place[1]] = source
    return replace(step, sources={place[0]: tuple(way)})


def _steps(start: Start, edits: Sequence[Edit]) -> list[_Step] | None:
    strands, on = start.strands, list(range(len(start.strands)))
    steps = []
    for edit in edits:
        before = edit.before(strands)
        cables = is_cabling(edit, before) or loses(edit, before)
        step = _cable_step(edit, before, on) if cables else _entry_step(edit, strands)
        if step is None:
            return None
        steps.append(step)
        strands = after(strands, [edit])
    return steps


def _cable_step(edit: Edit, before: Mapping[int, Strand], on: list[int]) -> _Step | None:
    """Return a cause in the cables; `on` says which chain each port is on, and is kept up."""
    if any(new.mapped != before[i].mapped for i, new in edit.strands.items()):
        return None
    if edit.kind not in _EXCHANGES:
        return _Step(edit, "cable", ways={on[i]: new for i, new in edit.strands.items()})
    at = {strand.cabled: i for i, strand in before.items()}
    chains = {i: at[new.cabled] for i, new in edit.strands.items() if new.cabled in at}
    if len(chains) != len(before):
        return None
    _exchange(on, chains)
    return _Step(edit, "exchange", chains)


def _exchange(on: list[int], chains: Mapping[int, int]) -> None:
    for i, chain in {i: on[other] for i, other in chains.items()}.items():
        on[i] = chain


def _entry_step(edit: Edit, strands: Sequence[Strand]) -> _Step | None:
    if edit.again is not None and edit.kind not in PATTERN_KINDS:
        return _Step(edit, "plan")
    layer = "pattern" if edit.kind in PATTERN_KINDS else "entry"
    elsewhere: dict[int, StrandPlace] | None = None
    sources = {}
    for i, new in edit.strands.items():
        own = {tile: (i, k) for k, tile in enumerate(strands[i].mapped)}
        if not own.keys() >= set(new.mapped):
            elsewhere = elsewhere or places_of(strand.mapped for strand in strands)
            own = elsewhere | own
        if any(tile not in own or tile < 0 for tile in new.mapped):
            return None
        sources[i] = tuple(own[tile] for tile in new.mapped)
    return _Step(edit, layer, sources=sources)


def _replayed(
    layout: Layout, start: Start, step: _Step, strands: Sequence[Strand], on: list[int]
) -> Edit | None:
    """Return the cause as it acts on other strands, its place named as it then goes."""
    edit = step.edit
    if step.layer == "plan" and edit.again is not None:
        now = edit.again(strands)
        return replace(edit, strands={i: s for i, s in enumerate(now) if s != strands[i]})
    if step.layer == "exchange":
        _exchange(on, step.chains)
        new = {i: cabled_as(strands[i], strands[other]) for i, other in step.chains.items()}
        return replace(edit, strands=new)
    if step.layer == "cable":
        return _on_port(edit, step, strands, on)
    try:
        mapped = {i: [strands[j].mapped[k] for j, k in way] for i, way in step.sources.items()}
    except IndexError:
        return None
    new = {i: strands[i]._replace(mapped=tuple(tiles)) for i, tiles in mapped.items()}
    where = _entry_name(layout, start, edit, strands, new)
    says = edit.says.replace(edit.where, where)
    return replace(edit, where=where, says=says, strands=new)


def _on_port(edit: Edit, step: _Step, strands: Sequence[Strand], on: list[int]) -> Edit:
    """Return a cause in the cables of some chains on whatever ports these now are."""
    port_on = {chain: i for i, chain in enumerate(on)}
    new, ports = {}, {}
    for chain, strand in step.ways.items():
        i = port_on[chain]
        new[i] = cabled_as(strands[i], strand)
        ports[strand.port] = strands[i].port

    def other(match: re.Match[str]) -> str:
        return f"P{ports.get(int(match[1]), int(match[1]))}"

    where, says = (re.sub(r"\bP(\d+)\b", other, text) for text in (edit.where, edit.says))
    if edit.kind == "port-boundary-slipped":
        where = " and ".join(f"P{port}" for port in sorted(ports.values()))
    far = max(new) - min(new) > 1  # chains that do not border on each other hardly slip
    return replace(edit, where=where, says=says, strands=new, is_rare=edit.is_rare or far)


def _entry_name(
    layout: Layout, start: Start, edit: Edit, strands: Sequence[Strand], new: Mapping[int, Strand]
) -> str:
    """Return the cabinet by which an edited place goes, or the name it had."""
    (number, changed), *_ = new.items()
    old = strands[number]
    k = first_change(old.mapped, changed.mapped)
    if re.match(r"P\d+$", edit.where):
        return edit.where
    if edit.kind == "cabinet-missing-in-configuration" and k < len(old.mapped):
        tile = old.mapped[k]
        entry = start.entry_of[tile] if tile >= 0 else -1
        return layout.name(entry) if entry >= 0 else f"P{old.port}.{k + 1}"
    if edit.kind == "duplicate-assignment" and k < len(old.cabled):
        return layout.name(old.cabled[k])
    return edit.where

"""What goes dark when one thing fails, and how to try it: before anything is unplugged.

The link graph joins sources, processors, converters, trunks and switches to ports, ports to chains
(from both ends where a backup port closes the loop) and circuits and supplies to what they power.
A card without power passes no data, so a failed circuit also cuts the chains that run through it.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence, Set
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from commission_tui.errors import InputError, did_you_mean
from commission_tui.wall.model.location import Cell
from commission_tui.wall.model.wall_model import ResolvedChain, Wall

FailureKind = Literal[
    "source", "processor", "converter", "trunk", "switch", "port", "circuit", "supply",
    "jumper", "cabinet",
]  # fmt: skip


_MOST_DARK = 25_000_000
"""Cabinets that all failures of cabinets and jumpers together may darken, each counted as often."""


@dataclass(frozen=True, slots=True)
class LinkPart:
    """A thing that carries signal or power towards the cabinets.

    A port is named ``P3``; a circuit bears its name from the wall file.
    """

    name: str
    kind: FailureKind
    fed_by: tuple[str, ...] = ()
    """Where its signal comes from; one that works is enough."""
    powered_by: tuple[str, ...] = ()
    """Circuits or supplies; one that works is enough."""


@dataclass(frozen=True, slots=True)
class SingleFailure:
    """One failure and the cabinets that it leaves dark."""

    kind: FailureKind
    name: str
    dark: tuple[Cell, ...]
    beyond_agreed: bool | None
    """None as long as nobody agreed on a number."""


class LinkGraph:
    """The parts of a wall and what each cabinet needs of them."""

    def __init__(self, wall: Wall, parts: Iterable[LinkPart] = ()) -> None:
        """Complete the given parts with the ports, circuits and processor of the wall file.

        Parameters
        ----------
        parts
            Signal path beyond the wall file: converters, trunks, a second processor; a port given
            here replaces the one that the processor of the wall file feeds.

        Raises
        ------
        InputError
            When a part is named twice, or feeds from something that is not there.
        """
        self.wall = wall
        given: dict[str, LinkPart] = {}
        for part in parts:
            if part.name in given:
                raise InputError(f"part {part.name}: found twice, expected each name once")
            given[part.name] = part
        self.parts = self._completed(given)
        self.power = {cell: circuit.name for circuit in wall.circuits for cell in circuit.cells}
        self._check()
        self._chain_of = {cell: chain for chain in wall.chains for cell in chain.cells}
        self._at = {cell: at for chain in wall.chains for at, cell in enumerate(chain.cells)}
        self._needing = self._chains_needing()
        self._all = self._working(None)
        self._whole = self._dark(self._all, wall.chains)
        self._reach = {
            chain.port: tuple(map(len, self._lit(chain, self._all))) for chain in wall.chains
        }

    def _completed(self, given: Mapping[str, LinkPart]) -> dict[str, LinkPart]:
        wall = self.wall
        parts: dict[str, LinkPart] = {}
        for circuit in wall.circuits:
            parts[circuit.name] = LinkPart(circuit.name, "circuit")
        processor = wall.file.processor.name
        ports = {chain.port for chain in wall.chains}
        ports |= {chain.backup_port for chain in wall.chains if chain.backup_port}
        for port in sorted(ports):
            parts[f"P{port}"] = LinkPart(f"P{port}", "port", (processor,))
        parts.update(given)
        if any(processor in part.fed_by for part in parts.values()):
            parts.setdefault(processor, LinkPart(processor, "processor"))
        return parts

    def _chains_needing(self) -> dict[str, dict[int, ResolvedChain]]:
        """Return part to the chains that hang on it, by their ports or by what powers a cabinet."""
        found: dict[str, dict[int, ResolvedChain]] = {}
        for chain in self.wall.chains:
            ports = {f"P{port}" for port in (chain.port, chain.backup_port) if port}
            powers = {self.power[cell] for cell in chain.cells if cell in self.power}
            for name in ports | powers:
                found.setdefault(name, {})[chain.port] = chain
        return found

    def _check(self) -> None:
        for part in self.parts.values():
            for name in part.fed_by + part.powered_by:
                if name not in self.parts:
                    found = f"'{name}'{did_you_mean(name, self.parts)}"
                    raise InputError(f"{part.name}: found {found}, expected a part that is listed")

    def failures(self, agreed_cabinets: int | None = None) -> list[SingleFailure]:
        """Return every single failure that darkens a cabinet, the worst first.

        Raises
        ------
        InputError
            When chains are so long that each failure, with what it darkens, is more than is to be read.
        """
        lengths = [len(chain.cells) for chain in self.wall.chains]
        if sum(length * length for length in lengths) > _MOST_DARK:
            raise InputError(
                f"chains: found up to {max(lengths)} cabinets on one port, expected fewer to list "
                "what each failure darkens"
            )
        tried: list[_Try] = [(part.kind, part.name, part.name) for part in self.parts.values()]
        for chain in self.wall.chains:
            tried += [_jumper(link) for link in pairwise(chain.cells)]
            tried += [("cabinet", str(cell), cell) for cell in chain.cells]
        found = [
            SingleFailure(kind, name, dark, _is_more(len(dark), agreed_cabinets))
            for kind, name, failed in tried
            if (dark := self.dark_after(failed))
        ]
        return sorted(found, key=lambda failure: -len(failure.dark))

    def dark_after(self, failed: str | Cell | tuple[Cell, Cell]) -> tuple[Cell, ...]:
        """Return the cabinets that go dark when a part, a cabinet or a jumper fails."""
        if isinstance(failed, str):
            working = self._working(failed)
            chains: dict[int, ResolvedChain] = {}
            for name in self._all - working:
                chains |= self._needing.get(name, {})
            return tuple(sorted(self._dark(working, chains.values()) - self._whole))
        cells = [failed] if isinstance(failed, Cell) else list(failed)
        chain = self._chain_of.get(cells[0])
        if chain is None or self._chain_of.get(cells[-1]) is not chain:
            return ()
        return self._dark_in(chain, sorted(self._at[cell] for cell in cells))

    def _dark_in(self, chain: ResolvedChain, at: Sequence[int]) -> tuple[Cell, ...]:
        """Return what goes dark between the ends of a chain when a cabinet or a jumper fails."""
        if at[-1] - at[0] > 1:
            return ()
        forwards, backwards = self._reach[chain.port]
        count = len(chain.cells)
        # A jumper's first cabinet is still reached from its own side, a failed cabinet from none.
        before = min(forwards, at[-1])
        after = count - min(backwards, count - 1 - at[0])
        return tuple(sorted(set(chain.cells[before:after]) - self._whole))

    def lost_with(self, part: str) -> tuple[frozenset[int], frozenset[Cell]]:
        """Return the ports that stop, and the cabinets without power, when a part fails."""
        whole, working = self._all, self._working(part)
        ports = {name for name in whole - working if self.parts[name].kind == "port"}
        cells = {cell for cell, circuit in self.power.items() if circuit not in working}
        numbers = (re.fullmatch(r"P(\d+)", name) for name in ports)
        return frozenset(int(match[1]) for match in numbers if match), frozenset(cells)

    def _dark(self, working: Set[str], chains: Iterable[ResolvedChain]) -> set[Cell]:
        """Return the cabinets of chains that nothing reaches."""
        dark: set[Cell] = set()
        for chain in chains:
            dark |= set(chain.cells).difference(*self._lit(chain, working))
        return dark

    def _lit(self, chain: ResolvedChain, working: Set[str]) -> tuple[set[Cell], set[Cell]]:
        """Return the cabinets that are reached from the first end of a chain, and from its last."""
        forwards = self._reached(chain.cells, f"P{chain.port}", working)
        if not chain.backup_port:
            return forwards, set()
        return forwards, self._reached(chain.cells[::-1], f"P{chain.backup_port}", working)

    def _working(self, failed: str | None) -> set[str]:
        """Return the parts that work, starting from those that need nothing."""
        working: set[str] = set()
        waiting = {name: part for name, part in self.parts.items() if name != failed}
        while True:
            new = {
                name
                for name, part in waiting.items()
                if (not part.fed_by or working.intersection(part.fed_by))
                and (not part.powered_by or working.intersection(part.powered_by))
            }
            if not new:
                return working
            working |= new
            for name in new:
                del waiting[name]

    def _reached(self, way: Sequence[Cell], port: str, working: Set[str]) -> set[Cell]:
        """Return the cabinets that one end's data reaches, up to the first without power."""
        reached: set[Cell] = set()
        if port not in working:
            return reached
        for cell in way:
            if cell in self.power and self.power[cell] not in working:
                break
            reached.add(cell)
        return reached


_Try = tuple[FailureKind, str, str | Cell | tuple[Cell, Cell]]
"""A kind of thing, its name, and what fails."""


def _jumper(link: tuple[Cell, Cell]) -> _Try:
    return "jumper", f"{link[0]} to {link[1]}", link


def _is_more(dark: int, agreed: int | None) -> bool | None:
    return None if agreed is None else dark > agreed


def graph_of(wall: Wall) -> LinkGraph:
    """Return the link graph of a wall file: its ports, circuits, processor and signal parts.

    Raises
    ------
    InputError
        When a signal part is named twice, or hangs on something that is not there.
    """
    return LinkGraph(
        wall,
        [LinkPart(p.name, p.kind, p.fed_by, p.powered_by) for p in wall.file.signal_parts],
    )


@dataclass(frozen=True, slots=True)
class FailoverStep:
    """One thing to unplug, what should be seen, and how long it takes."""

    starts_s: int
    lasts_s: int
    kind: FailureKind
    name: str
    do: str
    expect: str
    expected_dark: tuple[Cell, ...]
    longest_gap_ms: int | None
    put_back: str


GAP_MS, PROCESSOR_GAP_MS = 500, 5000
"""Common practice, no published source; the contract's figures go first."""
_TRIALS: Mapping[FailureKind, tuple[int, str]] = {
    "port": (60, "at the processor pull the plug of {name}"),
    "jumper": (180, "open the jumper from {name}; work at height only as local rules allow"),
    "processor": (240, "switch {name} off"),
    "converter": (120, "take the power from converter {name}"),
    "trunk": (120, "pull trunk {name}"),
    "switch": (120, "switch {name} off"),
    "supply": (180, "have a competent person disconnect supply {name}, as local codes require"),
    "circuit": (240, "have a competent person open circuit {name}, as local codes require"),
    "source": (90, "switch source {name} off"),
}
"""In their order, how many seconds each takes and what to do: unplug, watch, photograph, put back;
common practice, no published source."""


def failover_script(graph: LinkGraph) -> tuple[FailoverStep, ...]:
    """Return the failover test in order: ports, one jumper a chain, then everything shared.

    The numbered pattern stays on; each step ends with the wall as it was.
    """
    steps: list[FailoverStep] = []
    starts_s = 0
    for kind, name, failed in _tries(graph):
        dark = graph.dark_after(failed)
        lasts_s, do = _TRIALS[kind]
        gap_ms = PROCESSOR_GAP_MS if kind == "processor" else GAP_MS
        steps.append(
            FailoverStep(
                starts_s,
                lasts_s,
                kind,
                name,
                do.format(name=name),
                _expectation(graph.wall, dark, gap_ms),
                dark,
                gap_ms if len(dark) < len(graph.wall.cabinets) else None,
                "put it back; no full-white flash, no restart, every number as before",
            )
        )
        starts_s += lasts_s
    return tuple(steps)


def _tries(graph: LinkGraph) -> Iterable[_Try]:
    backups = {f"P{c.backup_port}" for c in graph.wall.chains if c.backup_port}
    for kind in _TRIALS:
        if kind == "jumper":
            for chain in graph.wall.chains:
                if len(chain.cells) > 1:
                    middle = len(chain.cells) // 2
                    yield _jumper((chain.cells[middle - 1], chain.cells[middle]))
            continue
        for part in graph.parts.values():
            if part.kind == kind and part.name not in backups:
                yield kind, part.name, part.name


def _expectation(wall: Wall, dark: Sequence[Cell], gap_ms: int) -> str:
    if not dark:
        return f"every cabinet keeps its own number; a gap of at most {gap_ms} ms"
    if len(dark) == len(wall.cabinets):
        return "the whole wall dark"
    return f"dark: {cells_as_runs(dark)}; every other cabinet keeps its own number"


def cells_as_runs(cells: Iterable[Cell]) -> str:
    """Write cabinets row by row, neighbours joined: ``R1C1 to R1C6, R2C3``."""
    runs: list[list[Cell]] = []
    for cell in sorted(cells):
        if runs and runs[-1][-1] == Cell(cell.row, cell.column - 1):
            runs[-1].append(cell)
        else:
            runs.append([cell])
    return ", ".join(str(r[0]) if len(r) == 1 else f"{r[0]} to {r[-1]}" for r in runs)

"""A wall of sockets, jumpers, cards, breakers and configuration entries, and hands that disturb it.

It knows nothing of the solver: what shows follows from the data that leaves each port and is passed
on from socket to socket; a card shows the tile that stands at its place in its port's list. What is
put right is put right from the explanation's ``--json`` alone, as a hand would do it. Common
practice, no published source.
"""

from __future__ import annotations

import random
from collections import deque
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

from commission_tui.wall.mapping.observed.observation import Observation
from commission_tui.wall.model.location import Cell
from commission_tui.wall.model.wall_model import Wall

Unit = str
"""A cabinet (``R1C4``) or a port (``P1``)."""
Socket = tuple[Unit, str]
"""``("P1", "out")``; a cabinet has ``in`` and ``out``."""


@dataclass
class Plugged:
    """A wall as plugged, powered and configured; as designed until a hand disturbs it."""

    wall: Wall
    both_ways: bool = True
    """Cards take data at either socket; else only at ``in``."""
    other_end: dict[Socket, Socket] = field(default_factory=dict)
    entries: dict[int, list[Unit | None]] = field(default_factory=dict)
    dead_cards: set[Unit] = field(default_factory=set)
    dead_faces: set[Unit] = field(default_factory=set)
    """Cabinets that stay dark and pass the data on."""
    breakers_off: set[str] = field(default_factory=set)
    dead_ports: set[Unit] = field(default_factory=set)

    def __post_init__(self) -> None:
        for chain in self.wall.chains:
            names = [str(cell) for cell in chain.cells]
            self.entries[chain.port] = list(names)
            last: Socket = (f"P{chain.port}", "out")
            for name in names:
                self.join(last, (name, "in"))
                last = (name, "out")
            if chain.backup_port:
                self.join(last, (f"P{chain.backup_port}", "out"))

    def copy(self) -> Plugged:
        """Return another wall in the same state."""
        other = Plugged(self.wall, self.both_ways)
        other.become(self)
        return other

    def become(self, other: Plugged) -> None:
        """Take over another wall's state."""
        self.other_end = dict(other.other_end)
        self.entries = {port: list(tiles) for port, tiles in other.entries.items()}
        self.dead_cards, self.dead_faces = set(other.dead_cards), set(other.dead_faces)
        self.breakers_off, self.dead_ports = set(other.breakers_off), set(other.dead_ports)

    # --- sockets

    def join(self, one: Socket, other: Socket) -> None:
        if one in self.other_end or other in self.other_end:
            raise ValueError(f"a socket of {one} and {other} is taken")
        self.other_end[one] = other
        self.other_end[other] = one

    def pull(self, socket: Socket) -> None:
        """Take away the cable that is plugged in at a socket, if there is one."""
        other = self.other_end.pop(socket, None)
        if other is not None:
            self.other_end.pop(other, None)

    def cables(self) -> list[tuple[Socket, Socket]]:
        return sorted((a, b) for a, b in self.other_end.items() if a <= b)

    def sockets(self, unit: Unit) -> list[Socket]:
        return [(unit, "out")] if unit.startswith("P") else [(unit, "out"), (unit, "in")]

    # --- what shows

    def look(self) -> dict[Cell, Observation]:
        """Return what every cabinet shows: main ports first, backups where none of them reaches."""
        shown: dict[Unit, Unit | None] = {}
        self._flow([(f"P{c.port}", self.entries[c.port]) for c in self.wall.chains], shown)
        backups = [
            (f"P{c.backup_port}", self.entries[c.port][::-1])
            for c in self.wall.chains
            if c.backup_port
        ]
        self._flow(backups, shown)
        return {cell: self._reading(cell, shown.get(str(cell))) for cell in self.wall.cabinets}

    def _flow(
        self, ports: list[tuple[Unit, list[Unit | None]]], shown: dict[Unit, Unit | None]
    ) -> None:
        """Pass the data on card by card; a card keeps to the port that reaches it first."""
        waiting = deque(((port, "out"), tiles, 0) for port, tiles in ports)
        while waiting:
            socket, tiles, place = waiting.popleft()
            if socket[0] in self.dead_ports:
                continue
            into = self.other_end.get(socket)
            if into is None or into[0].startswith("P") or place >= len(tiles):
                continue
            unit, side = into
            if unit in shown or self._is_dead(unit) or (side == "out" and not self.both_ways):
                continue
            shown[unit] = tiles[place]
            onward = (unit, "out" if side == "in" else "in")
            waiting.append((onward, tiles, place + 1))

    def _is_dead(self, unit: Unit) -> bool:
        circuit = self.wall.circuit_of(Cell.parse(unit))
        return unit in self.dead_cards or (
            circuit is not None and circuit.name in self.breakers_off
        )

    def _reading(self, cell: Cell, tile: Unit | None) -> Observation:
        if tile is None or str(cell) in self.dead_faces:
            return Observation("dark")
        return Observation(Cell.parse(tile))

    def chain_number(self, unit: Unit) -> str:
        """Return what the processor's chain pattern shows in a cabinet: its port and place."""
        numbered = Plugged(self.wall, self.both_ways)
        numbered.become(self)
        for port, tiles in numbered.entries.items():
            numbered.entries[port] = [f"P{port}.{place + 1}" for place in range(len(tiles))]
        shown: dict[Unit, Unit | None] = {}
        numbered._flow([(f"P{port}", tiles) for port, tiles in numbered.entries.items()], shown)
        return shown.get(unit) or "none"

    def far_end(self, unit: Unit) -> str:
        """Return the cabinet and socket, or the port, to which the cable at an output leads."""
        far, side = self.other_end.get((unit, "out"), ("none", ""))
        return f"{far} {side}put" if far.startswith("R") else far

    def is_right(self) -> bool:
        return all(reading == Observation(cell) for cell, reading in self.look().items())

    # --- putting right

    def do(self, told: Mapping[str, Any]) -> bool:
        """Do what an explanation says; return whether every cable to be taken out was there."""
        found = True
        jumpers = told.get("jumpers") or {"remove": [], "add": []}
        for one, other in jumpers["remove"]:
            cable = self._cable(one, other)
            if cable is None:
                found = found and one == other  # a loop that may be there
            else:
                self.pull(cable)
        for one, other in jumpers["add"]:
            self._put_in(one, other)
        for change in told.get("configuration") or ():
            tiles = self.entries[change["port"]]
            tiles.extend([None] * (change["place"] - len(tiles)))
            tiles[change["place"] - 1] = change["becomes"]
        for one, other in told["check"]["jumpers"]:
            self._put_in(one, other)
        for place in told["check"]["configuration"]:
            tiles = self.entries[place["port"]]
            tiles[place["place"] - 1 : place["place"]] = [place["bears"]]
        for cause in told["causes"]:
            self._repair(cause["where"], cause.get("suspects", ()))
        return found

    def _cable(self, one: Unit, other: Unit) -> Socket | None:
        for socket in self.sockets(one):
            if (end := self.other_end.get(socket)) is not None and end[0] == other:
                return socket
        return None

    def _put_in(self, one: Unit, other: Unit) -> None:
        """Plug a cable into the sockets that the drawing shows, pulling out what is in them."""
        if self._cable(one, other) is not None:
            return
        start = (one, "out")
        into: Socket = (other, "out" if other.startswith("P") else "in")
        for socket in (start, into):
            self.pull(socket)
        self.join(start, into)

    def _repair(self, where: str, suspects: Any) -> None:
        for name in (where, *suspects):
            self.dead_cards.discard(name)
            self.dead_faces.discard(name)
            self.dead_ports.discard(name)
            self.breakers_off.discard(name)


# --- hands


Act = Callable[[Plugged, random.Random], str | None]
"""Disturbs a wall and says what it did, or returns None where it cannot be done."""


def exchange_two_plugs(site: Plugged, rng: random.Random) -> str | None:
    """Cut two cables and join their ends the other way."""
    cables = site.cables()
    if len(cables) < 2:
        return None
    (a, b), (c, d) = rng.sample(cables, 2)
    if site.both_ways and rng.random() < 0.5:
        c, d = d, c
    a, b = _by_flow(a, b)
    if not site.both_ways:
        c, d = _by_flow(c, d)
    site.pull(a)
    site.pull(c)
    site.join(a, d)
    site.join(c, b)
    return f"exchange {a[0]}-{b[0]} with {c[0]}-{d[0]}"


def _by_flow(a: Socket, b: Socket) -> tuple[Socket, Socket]:
    return (a, b) if a[1] == "out" else (b, a)


def jumper_out(site: Plugged, rng: random.Random) -> str | None:
    cables = site.cables()
    if not cables:
        return None
    a, b = rng.choice(cables)
    site.pull(a)
    return f"out {a[0]}-{b[0]}"


def entries_exchanged(site: Plugged, rng: random.Random) -> str | None:
    one, two = _entry(site, rng), _entry(site, rng)
    if one == two:
        return None
    first, second = site.entries[one[0]], site.entries[two[0]]
    first[one[1]], second[two[1]] = second[two[1]], first[one[1]]
    return f"entries {one} and {two}"


def entry_left_out(site: Plugged, rng: random.Random) -> str | None:
    port, k = _entry(site, rng)
    del site.entries[port][k]
    return f"entry {port}.{k + 1} left out"


def entry_given_twice(site: Plugged, rng: random.Random) -> str | None:
    port, k = _entry(site, rng)
    tiles = site.entries[port]
    tiles.insert(k, tiles[k])
    tiles.pop()
    return f"entry {port}.{k + 1} twice"


def _entry(site: Plugged, rng: random.Random) -> tuple[int, int]:
    port = rng.choice(sorted(site.entries))
    return port, rng.randrange(len(site.entries[port]))


def card_dead(site: Plugged, rng: random.Random) -> str | None:
    unit = str(rng.choice(list(site.wall.cabinets)))
    (site.dead_cards if rng.random() < 0.5 else site.dead_faces).add(unit)
    return f"dead {unit}"


def breaker_off(site: Plugged, rng: random.Random) -> str | None:
    if not site.wall.circuits:
        return None
    name = rng.choice([circuit.name for circuit in site.wall.circuits])
    site.breakers_off.add(name)
    return f"breaker {name}"


def port_dead(site: Plugged, rng: random.Random) -> str | None:
    port = f"P{rng.choice(sorted(site.entries))}"
    site.dead_ports.add(port)
    return f"port {port}"


SLIPS: tuple[Act, ...] = (entries_exchanged, entry_left_out, entry_given_twice)
DEATHS: tuple[Act, ...] = (card_dead, breaker_off)
SINGLE: tuple[Act, ...] = (
    exchange_two_plugs, jumper_out, *SLIPS, *DEATHS, port_dead,
)  # fmt: skip


def disturb(site: Plugged, rng: random.Random, acts: int) -> list[str] | None:
    """Commit some acts, exchanges for the most part; None when one changes nothing that shows."""
    said: list[str] = []
    slips = deaths = 0
    for _ in range(acts):
        act: Act = exchange_two_plugs
        draw = rng.random()
        if draw < 0.2 and slips < 2:
            act, slips = rng.choice(SLIPS), slips + 1
        elif draw < 0.35 and deaths < 1:
            act, deaths = rng.choice(DEATHS), deaths + 1
        elif draw < 0.45:
            act = jumper_out
        before = site.look()
        what = act(site, rng)
        if what is None or site.look() == before:
            return None
        said.append(what)
    return said

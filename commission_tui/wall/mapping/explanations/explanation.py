"""What a diagnosis says: causes, with how to put them right, and the look that tells them apart."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from commission_tui.wall.mapping.moves import MOVES_AT_ONCE, ConfigurationEdit, Move
from commission_tui.wall.mapping.next_look import NextLook
from commission_tui.wall.mapping.observed.observation import Dimness
from commission_tui.wall.model.location import Cell

_MOST_ASKED = 12
"""Cables and places that a person is asked to hold against the drawing."""


@dataclass(frozen=True, slots=True)
class Jumpers:
    """Cables to take out and to put in, by the names of their two ends: ``R1C4``, ``P1``."""

    remove: tuple[tuple[str, str], ...] = ()
    add: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class EntryChange:
    """A place in a port's list (from 1), the cabinet whose tile it bears, and whose it should."""

    port: int
    place: int
    was: str | None
    becomes: str | None


@dataclass(frozen=True, slots=True)
class EntryPlace:
    """A place in a port's list (from 1) and the cabinet whose tile it should bear."""

    port: int
    place: int
    bears: str


@dataclass(frozen=True, slots=True)
class Check:
    """What to hold against the drawing as well: it shows the same, or nobody looked there."""

    jumpers: tuple[tuple[str, str], ...] = ()
    places: tuple[EntryPlace, ...] = ()
    alike: tuple[tuple[str, str], ...] = ()
    """Cables without which, instead of those told, the wall would show the very same."""
    twins: tuple[EntryPlace, ...] = ()
    """Entries that would show the same as plugs that are told: theirs, where the plugs are right."""

    @property
    def text(self) -> str:
        """Say it in one line; nothing where all was looked at, or so little that looks tell sooner."""
        asked = [*_runs(self.jumpers)]
        for port in dict.fromkeys(place.port for place in self.places):
            entries = [f"{p.bears} at place {p.place}" for p in self.places if p.port == port]
            asked.append(f"in the processor port {port} has {', '.join(entries)}")
        asked = asked if self.count <= _MOST_ASKED else []
        if self.alike:
            same = " and ".join(_runs(self.alike))
            asked.append(f"{same} (with others exchanged the wall shows the same)")
        return f"look whether it is as drawn: {'; '.join(asked)}" if asked else ""

    @property
    def count(self) -> int:
        return len(self.jumpers) + len(self.places)

    def as_dict(self) -> dict[str, Any]:
        return {
            "jumpers": self.jumpers + self.alike,
            "configuration": self.places + self.twins,
        }


def _runs(cables: Iterable[tuple[str, str]]) -> list[str]:
    """Name cables, those that follow each other as one run that names its second cabinet too."""
    runs: list[list[str]] = []
    for a, b in cables:
        if runs and runs[-1][-1] == a:
            runs[-1].append(b)
        else:
            runs.append([a, b])
    return [_run(*run) for run in runs]


def _run(start: str, first: str, *rest: str) -> str:
    if start.startswith("P"):
        start = f"port {start[1:]}"
    cable = f"a cable leads from {start} to {first}"
    if len(rest) < 2:
        return " and ".join([cable, *(f"one from there to {last}" for last in rest)])
    return f"{cable}, and so on cabinet by cabinet to {rest[-1]}"


@dataclass(frozen=True, slots=True)
class Cause:
    """One thing that went wrong, with both ways to put it right where both exist."""

    kind: str
    where: str
    says: str
    moves: tuple[Move, ...]
    """All plug moves; never more than `MOVES_AT_ONCE` are to be done before the next look."""
    handling: tuple[str, ...]
    """What to do by hand other than with plugs."""
    configuration_edit: ConfigurationEdit | None
    cost: int
    changes: tuple[Cell, ...]
    """The cabinets whose picture changes when this cause, and only it, is put right."""
    proved_by: tuple[Cell, ...] = ()
    """The two or three of them that prove it: the ends of what moved."""
    jumpers: Jumpers = Jumpers()
    suspects: tuple[str, ...] = ()
    """Parts that may be what is broken, in the order in which to look."""

    def as_dict(self) -> dict[str, Any]:
        texts = [move.text for move in self.moves[:MOVES_AT_ONCE]]
        edit = self.configuration_edit
        return {
            "kind": self.kind,
            "where": self.where,
            "says": self.says,
            "moves": [*texts, *self.handling],
            "moves_after_the_next_look": max(0, len(self.moves) - MOVES_AT_ONCE),
            "configuration_edit": edit.text if edit else None,
            "jumpers": self.jumpers,
            "suspects": self.suspects,
        }


@dataclass(frozen=True, slots=True)
class Explanation:
    """One set of causes, in the order in which to put them right."""

    causes: tuple[Cause, ...]
    unexplained: tuple[Cell, ...]
    cost: int
    score: int
    twins: tuple[tuple[Cause, ...], ...]
    """Other sets of causes that give the same table: as many, or from another way to begin."""
    shows: Mapping[Cell, Cell | Dimness | None]
    """The table that these causes give; None where nothing is predicted."""
    jumpers: Jumpers = Jumpers()
    """All that is to be done to the cables, taken together."""
    configuration: tuple[EntryChange, ...] = ()
    """All that is to be done to the entries, taken together."""
    check: Check = Check()
    """What may be wrong as well, or instead, where nobody looked."""
    certain: tuple[str, ...] = ()
    """What is certain all the same of what is not explained, part by part."""

    @property
    def explained(self) -> bool:
        """Whether nothing that was seen is left over."""
        return not self.unexplained

    @property
    def deeds(self) -> tuple[object, ...]:
        """What is done by it, whatever is thought of what nobody looked at."""
        cables = (
            frozenset(map(frozenset, ends)) for ends in (self.jumpers.remove, self.jumpers.add)
        )
        says = frozenset(cause.says for cause in self.causes)
        return says, *cables, self.configuration

    @property
    def look_after(self) -> tuple[Cell, ...]:
        """The two or three cabinets a cause to look at once everything is put right."""
        return tuple(sorted({cell for cause in self.causes for cell in cause.proved_by}))

    def as_dict(self) -> dict[str, Any]:
        return {
            "explained": self.explained,
            "causes": self.causes,
            "jumpers": self.jumpers,
            "configuration": self.configuration,
            "check": self.check,
            "unexplained": self.unexplained,
            "certain": self.certain,
            "cost": self.cost,
            "twins": self.twins,
            "look_after": self.look_after,
        }


@dataclass(frozen=True, slots=True)
class Diagnosis:
    """Up to three explanations, best first, and the look that would tell them apart."""

    explanations: tuple[Explanation, ...]
    next_look: str | None
    look: NextLook | None = None
    """The same for a program, where it tells single faults apart."""
    goes_to: NextLook | None = None
    """Where `next_look` sends a person, whatever it tells apart."""

    def as_dict(self) -> dict[str, Any]:
        return {
            "explanations": self.explanations,
            "next_look": self.next_look,
            "look": self.look,
        }

"""What else is looked at than tiles: breakers, link lights, chain numbers, and where cables lead."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import NamedTuple

from commission_tui.errors import InputError, did_you_mean
from commission_tui.text import quoted
from commission_tui.wall.mapping.layout import Layout
from commission_tui.wall.model.location import Cell
from commission_tui.wall.model.wall_model import Wall

_LOOK = re.compile(
    r"(?P<circuit>circuit \S.*)|(?P<port>P\d{1,4}) cable|(?P<cell>R[1-9]\d{0,3}C[1-9]\d{0,3}) (?P<kind>chain|link|cable)",
    re.IGNORECASE,
)
_STARTS = re.compile(
    r"(?P<look>circuit|(?:(?:P\d{1,4}|R[1-9]\d{0,3}C[1-9]\d{0,3}) )?(?:chain|link|cable))\b[ :,]*(?P<rest>.*)",
    re.IGNORECASE,
)
_SEEN_OF = {
    "circuit": ("on|off", "on or off"),
    "link": ("on|off", "on or off"),
    "chain": (r"P[1-9]\d{0,3}\.[1-9]\d{0,4}|none", "such as P1.5"),
    "cable": (
        r"(?P<cell>R[1-9]\d{0,3}C[1-9]\d{0,3}) (?P<side>input|output)|P\d{1,4}|none",
        "where it leads, such as R3C7 input, P2 or none",
    ),
}
"""What may be seen of each, and how that is said."""


class Answer(NamedTuple):
    """What was looked at besides a tile, such as ``R1C5 cable``, and what was seen."""

    look: str
    seen: str


Followed = tuple[int, bool]
"""Where a cable leads, a cabinet or a port below nought, and whether to the input there."""


class Answers:
    """What was looked at besides tiles, by cabinets of a wall and ports below nought."""

    def __init__(self, layout: Layout, answers: Mapping[str, str]) -> None:
        """Take what was looked at, such as ``R1C5 cable``, and what was seen; see `answer_of`."""

        def node(name: str) -> int:
            return -int(name[1:]) if name.startswith("P") else layout.index[Cell.parse(name)]

        self.breakers: dict[str, str] = {}
        """Circuits to on or off."""
        self.links: dict[int, bool] = {}
        """Whether the link light of a cabinet is lit."""
        self.chains: dict[int, str] = {}
        """The chain number that the processor shows on a cabinet."""
        self.cables: dict[int, Followed | None] = {}
        """Where the cable leads from an output; None where there was none."""
        for what, seen in answers.items():
            name, _, kind = what.rpartition(" ")
            if what.startswith("circuit "):
                self.breakers[what.removeprefix("circuit ")] = seen
            elif kind == "link":
                self.links[node(name)] = seen == "on"
            elif kind == "chain":
                self.chains[node(name)] = seen
            else:
                far, _, side = seen.partition(" ")
                self.cables[node(name)] = None if far == "none" else (node(far), side == "input")


def answer_of(wall: Wall, look: str, seen: str) -> Answer | None:
    """Return a look that is none at a tile, in the words that the diagnosis knows; None for others.

    Raises
    ------
    InputError
        When it names what is not of this wall, or what cannot be seen there. The text begins with
        ``position`` or ``seen``, whichever is wrong.
    """
    match = _LOOK.fullmatch(" ".join(look.split()))
    if match is None:
        return None
    if match["circuit"] is not None:
        kind, what = "circuit", f"circuit {_circuit(wall, match['circuit'].split(' ', 1)[1])}"
    elif match["port"] is not None:
        kind, what = "cable", f"{_port(wall, 'position', match['port'])} cable"
    else:
        kind = match["kind"].lower()
        what = f"{_cabinet(wall, 'position', match['cell'])} {kind}"
    form, expected = _SEEN_OF[kind]
    found = re.fullmatch(form, " ".join(seen.split()), re.IGNORECASE)
    if found is None:
        raise InputError(f"seen: found {quoted(seen) if seen else 'nothing'}, expected {expected}")
    if kind == "cable" and found["cell"] is not None:
        return Answer(what, f"{_cabinet(wall, 'seen', found['cell'])} {found['side'].lower()}")
    if kind == "cable" and found[0][0] in "pP":
        return Answer(what, _port(wall, "seen", found[0]))
    return Answer(what, found[0].upper() if found[0][0] in "pP" else found[0].lower())


def typed_answer(wall: Wall, at: Cell, text: str, *, from_behind: bool = False) -> Answer | None:
    """Return what was typed of a look that is none at a tile, ``R1C5 cable R2C7 input``; else None.

    Without a cabinet, ``cable R2C7 input`` speaks of the one `at` which it was typed.

    Raises
    ------
    InputError
        When it names what is not of this wall, or what cannot be seen there.
    """
    match = _STARTS.fullmatch(" ".join(text.split()))
    if match is None:
        return None
    look, rest = match["look"], match["rest"]
    if look.lower() == "circuit":
        name, _, seen = rest.rpartition(" ")
        look, rest = f"circuit {name.rstrip(' :,')}", seen
        if not name:
            raise InputError(f"entry: found {quoted(text)}, expected such as circuit C2 off")
    if from_behind:
        look, rest = _turned(wall, look), _turned(wall, rest)
    if " " not in look:
        look = f"{at} {look}"
    return answer_of(wall, look, rest)


def answers_from_rear(wall: Wall, answers: Mapping[str, str]) -> dict[str, str]:
    """Turn answers whose cabinets were counted from behind into such counted from the front."""
    return {_turned(wall, look): _turned(wall, seen) for look, seen in answers.items()}


def _turned(wall: Wall, text: str) -> str:
    def front(match: re.Match[str]) -> str:
        column = wall.columns + 1 - int(match[2])
        return f"R{match[1]}C{column}" if column > 0 else match[0]

    return re.sub(r"\bR(\d{1,4})C([1-9]\d{0,3})\b", front, text, flags=re.IGNORECASE)


def _circuit(wall: Wall, name: str) -> str:
    known = {circuit.name.casefold(): circuit.name for circuit in wall.circuits}
    if name.casefold() not in known:
        hint = did_you_mean(name, known.values())
        raise InputError(f"position: found {quoted(name)}, expected a circuit of this wall{hint}")
    return known[name.casefold()]


def _port(wall: Wall, column: str, name: str) -> str:
    ports = [chain.port for chain in wall.chains]
    ports += [chain.backup_port for chain in wall.chains if chain.backup_port]
    if int(name[1:]) not in ports:
        raise InputError(f"{column}: found {name.upper()}, expected a port that this wall uses")
    return f"P{int(name[1:])}"


def _cabinet(wall: Wall, column: str, name: str) -> Cell:
    cell = Cell.parse(name)
    if cell not in wall.cabinets:
        last = f"R1C1 to R{wall.rows}C{wall.columns}"
        raise InputError(f"{column}: found {cell}, expected a cabinet of this wall ({last})")
    return cell

"""How often what is said puts a wall right that was disturbed by hand (``plugs.py``).

One evening: some acts on a random wall, a look, and then only what the explanations say.
"""

from __future__ import annotations

import random
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from itertools import pairwise

from commission_tui.cli.output import jsonable
from commission_tui.wall.mapping.configuration.search import CAUSE
from commission_tui.wall.mapping.diagnosis import diagnose
from commission_tui.wall.mapping.explanations.explanation import Diagnosis, Explanation
from commission_tui.wall.mapping.observed.observation import Observation
from commission_tui.wall.model.location import Cell
from commission_tui.wall.model.wall_file import parse_wall
from commission_tui.wall.model.wall_model import Wall
from tests.wall.mapping.referee.generator import hidden
from tests.wall.mapping.referee.plugs import SINGLE, Plugged, disturb
from tests.wall.mapping.walls import HEAD, SERPENTINE

Table = Mapping[Cell, Observation]


def evening_wall(rng: random.Random, most: int = 160, *, looped: bool = False) -> Wall:
    """Make a wall of two to eight ports with circuits, with or without backup ports."""
    while True:
        columns, rows = rng.randrange(4, 21), rng.randrange(2, 13)
        across, down = rng.choice([1, 1, 2, 3]), rng.choice([1, 2, 3, 4])
        fits = 12 <= columns * rows <= most and across <= columns // 3 and down <= rows
        if fits and 2 <= across * down <= 8:
            break
    text = HEAD + f'[grid]\ncolumns = {columns}\nrows = {rows}\ntype = "F500"\n'
    blocks = [
        (top + 1, bottom, left + 1, right)
        for top, bottom in _cuts(rows, down)
        for left, right in _cuts(columns, across)
    ]
    corner = rng.choice(["top left", "bottom right", "top right"])
    pattern = rng.choice([SERPENTINE.split(", from")[0], "columns, serpentine"])
    for port, (top, bottom, left, right) in enumerate(blocks, start=1):
        text += f'[[chains]]\nport = {port}\nblock = "R{top}C{left}:R{bottom}C{right}"\n'
        text += f'pattern = "{pattern}, from {corner}"\n'
        text += f"backup_port = {port + len(blocks)}\n" if looped else ""
    wide = rng.randrange(2, 5)
    for number, (left, right) in enumerate(_cuts(columns, max(1, columns // wide)), start=1):
        text += f'[[circuits]]\nname = "C{number}"\nphase = "L{number % 3 + 1}"\nvoltage_v = 230\n'
        text += f'breaker_a = 16\ncabinets = ["R1C{left + 1}:R{rows}C{right}"]\n'
    return parse_wall(text)


def _cuts(length: int, parts: int) -> list[tuple[int, int]]:
    return list(pairwise(round(length * i / parts) for i in range(parts + 1)))


@dataclass
class Tally:
    """How many walls were right after what was said was done."""

    evenings: int = 0
    first: int = 0
    """By the first explanation, done a second time where something was dark."""
    as_a_person: int = 0
    """By one who looks where asked to first, and at what proves it afterwards, three times at most."""
    missed: list[str] = field(default_factory=list)
    as_likely: int = 0
    """Of those missed by the first explanation: that it shows the very same table with no more acts."""
    held: list[int] = field(default_factory=list)
    """Of those put right: cables that were to be held against the drawing, beside the moves."""


def by_the_first(site: Plugged, table: Table) -> bool:
    """Do what the first explanation says; where something was dark, look and do it once more."""
    return _by(diagnose(site.wall, table).explanations[0], site, table)


def _by(first: Explanation, site: Plugged, table: Table) -> bool:
    was_dark = any(reading.seen == "dark" for reading in site.look().values())
    site.do(jsonable(first))
    if was_dark and not site.is_right():
        site.do(jsonable(diagnose(site.wall, _again(site, table)).explanations[0]))
    return site.is_right()


def _again(site: Plugged, table: Table) -> Table:
    """Look again at what was looked at, and wherever it is or was dark."""
    now = site.look()
    dark = {cell for cell, reading in now.items() if reading.seen == "dark"}
    looked = {cell for cell, reading in table.items() if reading.seen is not None}
    return {cell: now[cell] if cell in looked | dark else Observation() for cell in now}


def as_a_person(site: Plugged, table: Table, rounds: int = 3) -> bool:
    """Look first where the tool asks to, do what it says, look at what proves it; three times."""
    for _ in range(rounds):
        table = _looked_where_asked(site, table, diagnose(site.wall, table))
        found = diagnose(site.wall, table)
        site.do(jsonable(found.explanations[0]))
        if site.is_right():
            return True
        table = {**_again(site, table), **_proved(site, found)}
    return False


def _looked_where_asked(site: Plugged, table: Table, found: Diagnosis) -> Table:
    now = site.look()
    asked: list[Cell] = []
    if found.next_look and found.next_look.startswith("look "):
        words = found.next_look.replace(":", " ").replace(",", " ").split()
        asked += [cell for cell in now if str(cell) in words[:8]]
    return {**table, **{cell: replace(now[cell], confirmed=True) for cell in asked}}


def _proved(site: Plugged, found: Diagnosis) -> Table:
    now = site.look()
    return {cell: now[cell] for cell in found.explanations[0].look_after}


def measure(
    evenings: int,
    acts: int,
    seed: int,
    share_hidden: float = 0.0,
    *,
    looped: bool = False,
    person: bool = True,
) -> Tally:
    """Spend some evenings; acts are exchanges of plugs for the most part (``plugs.disturb``)."""
    rng, tally = random.Random(seed), Tally()  # noqa: S311
    while tally.evenings < evenings:
        wall = evening_wall(rng, looped=looped)
        site = Plugged(wall, looped or rng.random() < 0.7)
        said = disturb(site, rng, acts)
        if said is None:
            continue
        table: Table = site.look()
        if share_hidden:
            table = hidden(dict(table), rng, share_hidden)
        if all(reading.seen in (None, cell) for cell, reading in table.items()):
            continue  # nothing that was looked at is wrong
        tally.evenings += 1
        first = diagnose(wall, table).explanations[0]
        right = _by(first, site.copy(), table)
        tally.first += right
        if not right:
            tally.as_likely += first.score <= CAUSE * acts and shows(wall, first, table)
        elif cables := len(first.check.jumpers) + len(first.check.alike):
            tally.held.append(cables)
        tally.as_a_person += right if not person else as_a_person(site.copy(), table)
        if not right:
            both = "both ways" if site.both_ways else "one way"
            tally.missed.append(f"{both}: {'; '.join(said)}")
    return tally


def shows(wall: Wall, told: Explanation, table: Table) -> bool:
    """Do to a wall as designed what an explanation says was done; say whether that is the table."""
    return any(
        all(reading.seen in (None, now[cell].seen) for cell, reading in table.items())
        for passes in (True, False)
        if (now := imagined(wall, told, dead_cards_pass=passes).look())
    )


def imagined(wall: Wall, told: Explanation, *, dead_cards_pass: bool) -> Plugged:
    """Return the wall as an explanation has it."""
    site = Plugged(wall)
    for one, other in told.jumpers.add:
        for socket in site.sockets(one):
            if site.other_end.get(socket, ("", ""))[0] == other:
                site.pull(socket)
    for ends in told.jumpers.remove:
        free = [[s for s in site.sockets(unit) if s not in site.other_end] for unit in ends]
        if all(free) and free[0][0] != free[1][-1]:
            site.join(free[0][0], free[1][-1])
    for change in told.configuration:
        tiles = site.entries[change.port]
        tiles.extend([None] * (change.place - len(tiles)))
        tiles[change.place - 1] = change.was
    for cause in told.causes:
        if cause.kind == "card-dead":
            (site.dead_faces if dead_cards_pass else site.dead_cards).add(cause.where)
        elif cause.kind == "circuit-off":
            site.breakers_off.add(cause.where)
        elif cause.kind == "port-dead":
            site.dead_ports.add(cause.where)
    return site


def looks_to_find(site: Plugged, rng: random.Random, most: int = 20) -> int | None:
    """Return the looks until the tool asks for no more and the first explanation is right.

    The wrong cabinet that someone noticed is what it begins with. None when what is said is wrong.
    A cable that is to be seen to and leads elsewhere is one look more.
    """
    now = site.look()
    noticed = rng.choice([cell for cell, reading in now.items() if reading.seen != cell])
    table: dict[Cell, Observation] = dict.fromkeys(now, Observation()) | {noticed: now[noticed]}
    answers: dict[str, str] = {}
    for looks in range(most + 1):
        found = diagnose(site.wall, table, answers=answers)
        look = found.look
        if look is None and not found.explanations[0].causes:
            again = _looked_where_asked(site, table, found)
            if again == table:
                return None
            table = dict(again)
            continue
        if look is None and (elsewhere := _leads_elsewhere(site, found, answers)):
            answers |= elsewhere
            continue
        if look is None:
            trial = site.copy()
            trial.do(jsonable(found.explanations[0]))
            return looks if trial.is_right() else None
        if look.kind == "breaker":
            answers[f"circuit {look.at}"] = "off" if look.at in site.breakers_off else "on"
        elif look.kind == "cable":
            answers[f"{look.at} cable"] = site.far_end(look.at)
        elif look.kind == "chain number":
            answers[f"{look.at} chain"] = site.chain_number(look.at)
        else:
            table[Cell.parse(look.at)] = now[Cell.parse(look.at)]
    return None


def _leads_elsewhere(site: Plugged, found: Diagnosis, answers: Mapping[str, str]) -> dict[str, str]:
    """Return where the cable of an open chain leads, if not where it is said to, nor to nothing."""
    told = jsonable(found.explanations[0])["causes"]
    if len(told) == 1 and told[0]["kind"] in ("chain-open", "port-dead"):
        ((start, end),) = told[0]["jumpers"]["add"]
        far = site.far_end(start)
        if f"{start} cable" not in answers and far not in ("none", f"{end} input"):
            return {f"{start} cable": far}
    return {}


def hundred_cabinets(rng: random.Random) -> Wall:
    """Make a wall of 100 cabinets on four to ten ports, with five circuits."""
    down = rng.choice([2, 5, 10])
    across = rng.choice([1, 2]) if down < 10 else 1
    text = HEAD + '[grid]\ncolumns = 10\nrows = 10\ntype = "F500"\n'
    blocks = [(t, b, left, r) for t, b in _cuts(10, down) for left, r in _cuts(10, across)]
    for port, (top, bottom, left, right) in enumerate(blocks, start=1):
        text += f'[[chains]]\nport = {port}\nblock = "R{top + 1}C{left + 1}:R{bottom}C{right}"\n'
        text += f'pattern = "{SERPENTINE}"\n'
    for number, (left, right) in enumerate(_cuts(10, 5), start=1):
        text += f'[[circuits]]\nname = "C{number}"\nphase = "L{number % 3 + 1}"\nvoltage_v = 230\n'
        text += f'breaker_a = 16\ncabinets = ["R1C{left + 1}:R10C{right}"]\n'
    return parse_wall(text)


def count_looks(faults: int, seed: int) -> tuple[list[int], list[str]]:
    """Return the looks that single faults of every kind took, and those that were not found."""
    rng = random.Random(seed)  # noqa: S311
    taken: list[int] = []
    missed: list[str] = []
    while len(taken) + len(missed) < faults:
        site = Plugged(hundred_cabinets(rng), rng.random() < 0.7)
        act = rng.choice(SINGLE)
        said = act(site, rng)
        if said is None or site.is_right():
            continue
        looks = looks_to_find(site, rng)
        if looks is None:
            missed.append(said)
        else:
            taken.append(looks)
    return taken, missed

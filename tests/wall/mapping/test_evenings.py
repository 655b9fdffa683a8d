"""Walls disturbed at random are put right by doing what is said; single faults need few looks.

``tests/benchmarks/bench_mapping.py`` measures both on more walls and prints the true figures.
"""

from __future__ import annotations

import random
import statistics

import pytest

from commission_tui.cli.output import jsonable
from commission_tui.wall.mapping.diagnosis import diagnose
from commission_tui.wall.mapping.observed.observation import Observation
from tests.wall.mapping.referee.evenings import (
    count_looks,
    hundred_cabinets,
    looks_to_find,
    measure,
)
from tests.wall.mapping.referee.plugs import Plugged


@pytest.mark.parametrize(
    ("acts", "evenings", "share"), [(1, 12, 0.9), (2, 12, 0.9), (3, 10, 0.9), (4, 8, 0.75)]
)
def test_the_first_explanation_puts_the_wall_right(acts: int, evenings: int, share: float) -> None:
    tally = measure(evenings, acts, seed=21 + acts, person=False)
    assert tally.first >= share * tally.evenings, tally.missed


def test_with_backup_ports_too() -> None:
    """Of exchanges between two loops, some show the very picture that another one shows."""
    tally = measure(12, 1, seed=31, looped=True, person=False)
    assert tally.first >= 0.8 * tally.evenings, tally.missed


def test_a_third_not_looked_at_is_asked_for_where_it_matters() -> None:
    tally = measure(6, 1, seed=41, share_hidden=0.3)
    assert tally.as_a_person >= 0.9 * tally.evenings, tally.missed


@pytest.mark.parametrize(("acts", "share"), [(1, 0.9), (2, 0.8)])
def test_with_a_third_not_looked_at_what_is_said_covers_it(acts: int, share: float) -> None:
    tally = measure(10, acts, seed=42 + acts, share_hidden=0.3, person=False)
    assert tally.first >= share * tally.evenings, tally.missed


def test_a_single_fault_is_found_in_few_looks() -> None:
    taken, missed = count_looks(10, seed=51)
    assert statistics.median(taken) <= 4
    assert max(taken) <= 7
    assert not missed


@pytest.mark.parametrize("seed", range(2))
def test_two_chains_led_into_each_other_are_told_from_an_open_one(seed: int) -> None:
    """Both go dark; the cable that is followed leads to the other one."""
    rng = random.Random(seed)  # noqa: S311
    site = Plugged(hundred_cabinets(rng))
    one, two = rng.sample(site.wall.chains, 2)
    place = rng.randrange(1, len(one.cells) - 1)
    (a, b), (c, d) = (map(str, chain.cells[place : place + 2]) for chain in (one, two))
    site.pull((a, "out"))
    site.pull((c, "out"))
    site.join((a, "out"), (c, "out"))
    site.join((b, "in"), (d, "in"))
    assert looks_to_find(site, rng) is not None


def test_the_entry_of_a_last_cabinet_that_alone_is_dark_is_held_against_the_drawing() -> None:
    """A card that is dead and an entry that is left out show the same there."""
    site = Plugged(hundred_cabinets(random.Random(1)))  # noqa: S311
    chain = site.wall.chains[0]
    site.entries[chain.port].pop()
    first = jsonable(diagnose(site.wall, site.look()).explanations[0])
    assert first["check"]["configuration"] == [
        {"port": chain.port, "place": len(chain.cells), "bears": str(chain.cells[-1])}
    ]
    assert site.do(first)
    assert site.is_right()


def test_where_a_dark_chain_begins_its_cable_tells_an_open_one_from_another() -> None:
    """As drawn or out, the chain is open; led elsewhere, the plugs are exchanged."""
    site = Plugged(hundred_cabinets(random.Random(1)))  # noqa: S311
    chain, other = site.wall.chains[:2]
    last, dark = chain.cells[3:5]
    table = dict.fromkeys(site.look(), Observation()) | {
        last: Observation(last),
        dark: Observation("dark"),
    }
    table[chain.cells[-1]] = Observation("dark")
    on = {f"circuit C{n}": "on" for n in range(1, 6)}
    for answers in (on, on | {f"{last} cable": f"{dark} input"}, on | {f"{last} cable": "none"}):
        found = diagnose(site.wall, table, answers=answers)
        assert found.look is None
        assert found.explanations[0].causes[0].kind == "chain-open"
        assert f"log where it leads ({last} cable)" in found.explanations[0].causes[0].handling[0]
    far, beyond = other.cells[5:7]
    crossed = diagnose(site.wall, table, answers=on | {f"{last} cable": f"{far} output"})
    assert (str(far), str(beyond)) in crossed.explanations[0].jumpers.add
    bypassed = diagnose(site.wall, table | {chain.cells[-1]: Observation(chain.cells[-3])},
                        answers=on | {f"{last} cable": f"{chain.cells[6]} input"})  # fmt: skip
    assert bypassed.explanations[0].causes[0].kind == "loop-closed"

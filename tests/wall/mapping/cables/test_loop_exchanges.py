"""Plugs exchanged between chains with backup ports, alone and with cards, breakers and cables out.

Each wall is disturbed by hands that know nothing of the solver (``plugs.py``); what else shows the
same is counted by committing every exchange there is.
"""

from __future__ import annotations

from itertools import combinations

import pytest

from commission_tui.cli.output import jsonable
from commission_tui.wall.mapping.diagnosis import diagnose
from tests.wall.mapping.referee.plugs import Plugged
from tests.wall.mapping.test_plugged_walls import exchanged, hung, into, kinds, out, told


def crossed() -> Plugged:
    """Rows 1 and 2 of P1 lead into rows 3 and 4 of P2 in mid-chain, both ways."""
    site = Plugged(hung(looped=True, circuits=True))
    return exchanged(site, (out("R2C4"), into("R2C3")), (into("R3C3"), out("R3C2")))


@pytest.mark.parametrize("more", ["nothing", "card", "face", "cable out", "breaker"])
def test_an_exchange_and_one_thing_more_are_put_right(more: str) -> None:
    site = crossed()
    if more == "card":
        site.dead_cards.add("R4C5")
    elif more == "face":
        site.dead_faces.add("R1C2")
    elif more == "cable out":
        site.pull(out("R4C5"))
    elif more == "breaker":
        site.breakers_off.add("A")
    for _ in range(2):  # where something was dark it is looked at once more
        _, first = told(site)
        assert first["explained"] is True
        site.do(first)
    assert site.is_right()


def test_a_breaker_off_behind_several_loops_is_no_exchange_of_plugs() -> None:
    site = Plugged(hung(looped=True, circuits=True))
    site.breakers_off.add("C")  # the ends of all four rows: each loop is cut in the middle
    assert kinds(diagnose(site.wall, site.look())) == [("circuit-off", "C")]


@pytest.mark.parametrize("places", [(1, 2), (2, 3), (3, 4)])
def test_every_exchange_that_shows_the_same_is_to_be_held_against_the_drawing(
    places: tuple[int, int],
) -> None:
    """Each pair of cables is exchanged, either way, and the walls that look alike are kept."""
    k, m = places
    drawn = Plugged(hung(looped=True))
    site = exchanged(
        drawn.copy(), (out(f"R1C{k}"), into(f"R1C{k + 1}")), (into(f"R3C{m + 1}"), out(f"R3C{m}"))
    )
    seen, alike = site.look(), set()
    for (a, b), (c, d) in combinations(drawn.cables(), 2):
        for far, near in ((d, c), (c, d)):
            other = drawn.copy()
            other.pull(a)
            other.pull(c)
            other.join(a, far)
            other.join(near, b)
            if other.look() == seen:
                alike |= {frozenset((a[0], b[0])), frozenset((c[0], d[0]))}
    told = [e for e in diagnose(site.wall, seen).explanations if e.jumpers.add]
    cables = (*told[0].jumpers.add, *told[0].check.jumpers, *told[0].check.alike)
    assert {frozenset(ends) for ends in cables} == alike
    assert len(alike) == 4
    assert "with others exchanged the wall shows the same" in told[0].check.text


@pytest.mark.parametrize("looped", [True, False])
def test_entries_that_would_show_the_same_as_plugs_are_told_beside_them(looped: bool) -> None:
    """The last tiles of both ports exchanged: in the entries, though plugs would do it too."""
    site = Plugged(hung(looped=looped))
    one, other = site.entries[1], site.entries[2]
    one[-1], other[-1] = other[-1], one[-1]
    found, first = told(site)
    (by_plugs,) = [e for e in found.explanations if e.jumpers.add]
    places = {(place.port, place.place, place.bears) for place in by_plugs.check.twins}
    assert places == {(1, 12, "R2C1"), (2, 12, "R4C1")}
    site.do(jsonable(by_plugs))
    assert site.is_right(), first

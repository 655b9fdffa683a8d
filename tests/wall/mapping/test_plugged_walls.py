"""What plugs, cards, breakers and entries do to a picture, and which plug is named for it.

Each wall is disturbed by hand (``plugs.py``, which knows nothing of the solver); what must come out
is what was done. Common practice, no published source.
"""

from __future__ import annotations

import pytest

from commission_tui.cli.output import jsonable
from commission_tui.wall.mapping.diagnosis import diagnose
from commission_tui.wall.mapping.explanations.explanation import Diagnosis
from commission_tui.wall.mapping.observed.observation import Observation, from_rear
from commission_tui.wall.model.location import Cell
from commission_tui.wall.model.wall_file import parse_wall
from commission_tui.wall.model.wall_model import Wall
from tests.wall.mapping.referee.plugs import Plugged, Socket
from tests.wall.mapping.walls import HEAD, vector_wall

CIRCUITS = [("A", "R1C1:R4C2"), ("B", "R1C3:R4C4"), ("C", "R1C5:R4C6")]


def hung(*, looped: bool = False, circuits: bool = False) -> Wall:
    """Make a wall of 6 by 4: P1 feeds rows 1 and 2, P2 rows 3 and 4, each from its top left."""
    text = HEAD + '[grid]\ncolumns = 6\nrows = 4\ntype = "F500"\n'
    for port, rows in ((1, "R1C1:R2C6"), (2, "R3C1:R4C6")):
        text += f'[[chains]]\nport = {port}\nblock = "{rows}"\n'
        text += 'pattern = "rows, serpentine, from top left"\n'
        text += f"backup_port = {port + 2}\n" if looped else ""
    for name, cells in CIRCUITS if circuits else ():
        text += f'[[circuits]]\nname = "{name}"\nphase = "L1"\nvoltage_v = 230\nbreaker_a = 16\n'
        text += f'cabinets = ["{cells}"]\n'
    return parse_wall(text)


def out(unit: str) -> Socket:
    return unit, "out"


def into(unit: str) -> Socket:
    return unit, "in"


def exchanged(site: Plugged, one: tuple[Socket, Socket], other: tuple[Socket, Socket]) -> Plugged:
    """Exchange the plugs at the second sockets of two cables."""
    site.pull(one[0])
    site.pull(other[0])
    site.join(one[0], other[1])
    site.join(other[0], one[1])
    return site


def told(site: Plugged) -> tuple[Diagnosis, dict[str, object]]:
    found = diagnose(site.wall, site.look())
    return found, jsonable(found.explanations[0])


def kinds(found: Diagnosis) -> list[tuple[str, str]]:
    return [(cause.kind, cause.where) for cause in found.explanations[0].causes]


# --- the four tables of an evening


def test_one_jumper_out_is_the_jumper_before_the_first_dark_cabinet() -> None:
    site = Plugged(hung())
    site.pull(out("R1C4"))
    found, first = told(site)
    assert kinds(found) == [("chain-open", "R1C4 to R1C5")]
    assert first["jumpers"] == {"remove": [], "add": [["R1C4", "R1C5"]]}
    assert first["explained"] is True
    (cause,) = found.explanations[0].causes
    assert "jumper from R1C4 to R1C5" in cause.handling[0]
    assert "link light" in cause.handling[1]
    assert cause.suspects == ("R1C5", "R1C4")


def test_two_plugs_exchanged_in_a_chain_read_backwards_between_them() -> None:
    site = exchanged(Plugged(hung()), (out("R1C2"), into("R1C3")), (into("R1C6"), out("R1C5")))
    found, first = told(site)
    assert kinds(found) == [("segment-reversed", "R1C3 to R1C5")]
    assert first["jumpers"] == {
        "remove": [["R1C2", "R1C5"], ["R1C3", "R1C6"]],
        "add": [["R1C2", "R1C3"], ["R1C5", "R1C6"]],
    }
    site.do(first)
    assert site.is_right()


def test_two_jumpers_exchanged_in_a_chain_close_a_loop_that_nothing_feeds() -> None:
    site = exchanged(
        Plugged(hung(), both_ways=False), (out("R1C2"), into("R1C3")), (out("R1C5"), into("R1C6"))
    )
    found, first = told(site)
    assert kinds(found) == [("loop-closed", "R1C3 to R1C5")]
    assert first["jumpers"] == {
        "remove": [["R1C2", "R1C6"], ["R1C3", "R1C5"]],
        "add": [["R1C2", "R1C3"], ["R1C5", "R1C6"]],
    }
    site.do(first)
    assert site.is_right()


def test_tails_of_two_ports_exchanged_after_place_4() -> None:
    site = exchanged(Plugged(hung()), (out("R1C4"), into("R1C5")), (out("R3C4"), into("R3C5")))
    found, first = told(site)
    assert kinds(found) == [("tails-exchanged", "P1 and P2")]
    assert first["jumpers"] == {
        "remove": [["R1C4", "R3C5"], ["R1C5", "R3C4"]],
        "add": [["R1C4", "R1C5"], ["R3C4", "R3C5"]],
    }
    assert set(found.explanations[0].look_after) <= set(site.wall.cabinets)
    assert len(found.explanations[0].look_after) <= 3
    site.do(first)
    assert site.is_right()


def test_two_looks_at_the_heads_of_two_ports_name_their_home_runs() -> None:
    wall = hung()
    found = diagnose(
        wall, {Cell(1, 1): Observation(Cell(3, 1)), Cell(3, 1): Observation(Cell(1, 1))}
    )
    assert kinds(found) == [("ports-swapped", "P1 and P2")]
    plugs = found.explanations[0].jumpers
    assert set(plugs.remove) == {("P1", "R3C1"), ("P2", "R1C1")}
    assert set(plugs.add) == {("P1", "R1C1"), ("P2", "R3C1")}
    assert len(found.explanations) > 1
    assert found.look is not None


# --- darkness


def test_a_breaker_is_named_before_any_cable() -> None:
    site = Plugged(hung(circuits=True))
    site.breakers_off.add("B")
    found, first = told(site)
    assert kinds(found) == [("circuit-off", "B")]
    assert first["jumpers"] == {"remove": [], "add": []}
    assert "breaker of B before any cable" in found.explanations[0].causes[0].handling[0]


def test_a_breaker_in_a_loop_darkens_what_it_feeds_and_what_it_cuts_off() -> None:
    site = Plugged(hung(looped=True, circuits=True))
    site.breakers_off.add("B")
    dark = {cell for cell, reading in site.look().items() if reading.seen == "dark"}
    assert {cell.column for cell in dark} == {3, 4, 5, 6}  # C is lit by neither end
    assert kinds(diagnose(site.wall, site.look())) == [("circuit-off", "B")]


@pytest.mark.parametrize("looped", [True, False])
def test_one_dark_cabinet_with_the_next_one_lit_is_its_card(looped: bool) -> None:
    site = Plugged(hung(looped=looped))
    (site.dead_cards if looped else site.dead_faces).add("R1C3")
    assert kinds(diagnose(site.wall, site.look())) == [("card-dead", "R1C3")]


def test_a_dead_port_is_its_home_run_or_itself() -> None:
    site = Plugged(hung())
    site.dead_ports.add("P2")
    found, first = told(site)
    assert kinds(found) == [("port-dead", "P2")]
    assert first["jumpers"] == {"remove": [], "add": [["P2", "R3C1"]]}


def test_a_wall_that_is_dark_is_its_processor() -> None:
    site = Plugged(hung())
    site.dead_ports |= {"P1", "P2"}
    assert kinds(diagnose(site.wall, site.look())) == [("processor-dead", "processor")]


def test_a_break_in_a_loop_shows_only_with_a_second_one() -> None:
    site = Plugged(hung(looped=True))
    site.pull(out("R1C2"))
    assert site.is_right()
    site.pull(out("R2C6"))
    found, first = told(site)
    assert {where for _, where in kinds(found)} == {"R1C2 to R1C3", "R2C6 to R2C5"}
    site.do(first)
    assert site.is_right()


def test_exchanged_in_a_loop_the_feeds_meet_elsewhere() -> None:
    site = exchanged(
        Plugged(hung(looped=True)), (out("R2C4"), into("R2C3")), (into("R3C3"), out("R3C2"))
    )
    found, first = told(site)
    assert kinds(found) == [("heads-joined", "P1 and P2")]
    site.do(first)
    assert site.is_right()


@pytest.mark.parametrize(("light", "kind"), [("on", "card-dead"), ("off", "chain-open")])
def test_a_link_light_tells_the_card_from_the_jumper(light: str, kind: str) -> None:
    site = Plugged(hung())
    if light == "on":
        site.dead_cards.add("R1C5")
    else:
        site.pull(out("R1C4"))
    found = diagnose(site.wall, site.look(), answers={"R1C5 link": light})
    (cause,) = found.explanations[0].causes
    assert cause.kind == kind
    assert cause.suspects[0] == ("R1C5" if light == "on" else "R1C4")
    site.do(jsonable(found.explanations[0]))
    assert site.is_right()


def test_where_nobody_looked_the_cables_beside_are_to_be_held_against_the_drawing() -> None:
    """Any of three jumpers may be the one that is out: R1C4 and R1C5 were not looked at."""
    for plug in ("R1C3", "R1C4", "R1C5"):
        site = Plugged(hung())
        site.pull(out(plug))
        table = {**site.look(), Cell(1, 4): Observation(), Cell(1, 5): Observation()}
        first = diagnose(site.wall, table).explanations[0]
        told = {*first.jumpers.add, *first.check.jumpers}
        assert told == {("R1C3", "R1C4"), ("R1C4", "R1C5"), ("R1C5", "R1C6")}
        assert first.check.text.startswith("look whether it is as drawn: a cable leads from R1C")
        site.do(jsonable(first))
        assert site.is_right()


def test_an_entry_given_again_where_nobody_looked_names_the_places_to_read() -> None:
    site = Plugged(hung())
    site.entries[1].insert(4, "R1C4")
    site.entries[1].pop()
    table = {**site.look(), Cell(1, 4): Observation(), Cell(1, 5): Observation()}
    first = diagnose(site.wall, table).explanations[0]
    assert not first.jumpers.remove
    told = {change.place for change in first.configuration}
    assert told | {place.place for place in first.check.places} >= {5, 6, 7}
    site.do(jsonable(first))
    assert site.is_right()


def test_a_tile_shown_twice_in_a_loop_is_fed_from_both_ends() -> None:
    """P1's data runs back along P2, whose far end its backup port feeds: R2C6 shows twice."""
    site = exchanged(
        Plugged(hung(looped=True)), (out("R1C2"), into("R1C3")), (into("R4C5"), out("R4C6"))
    )
    seen = [reading.seen for reading in site.look().values()]
    assert len(set(seen)) < len(seen)
    found, first = told(site)
    assert first["explained"] is True, found
    site.do(first)
    assert site.is_right()


# --- entries


def test_entries_far_apart_exchanged_are_two_entries_and_no_plug() -> None:
    site = Plugged(hung())
    tiles = site.entries[1]
    tiles[2], tiles[8] = tiles[8], tiles[2]
    found, first = told(site)
    assert kinds(found) == [("entries-exchanged", "R1C3 and R2C4")]
    assert first["jumpers"] == {"remove": [], "add": []}
    assert first["configuration"] == [
        {"port": 1, "place": 3, "was": "R2C4", "becomes": "R1C3"},
        {"port": 1, "place": 9, "was": "R1C3", "becomes": "R2C4"},
    ]


def test_an_entry_left_out_is_told_place_by_place() -> None:
    site = Plugged(hung())
    del site.entries[2][10]
    _, first = told(site)
    assert first["configuration"] == [
        {"port": 2, "place": 11, "was": "R4C1", "becomes": "R4C2"},
        {"port": 2, "place": 12, "was": None, "becomes": "R4C1"},
    ]


def test_a_chain_number_tells_the_same_picture_of_plugs_from_that_of_entries() -> None:
    wall = hung()
    site = Plugged(wall)
    site.entries[1][4:12] = site.entries[1][11:3:-1]
    seen = site.look()
    by_plugs = diagnose(wall, seen).explanations[0]
    assert by_plugs.jumpers.remove
    by_entries = diagnose(wall, seen, answers={"R1C5 chain": "P1.5"}).explanations[0]
    assert not by_entries.jumpers.remove
    assert {change.place for change in by_entries.configuration} == set(range(5, 13))


# --- several at once, and what is not explained


def test_two_exchanges_and_a_breaker_are_each_put_right() -> None:
    site = Plugged(hung(circuits=True))
    exchanged(site, (out("R1C1"), into("R1C2")), (out("R3C1"), into("R3C2")))
    site.breakers_off.add("C")
    for _ in range(2):
        site.do(told(site)[1])
    assert site.is_right()


def test_what_nothing_explains_is_said_not_to_be_explained() -> None:
    wall = vector_wall()
    table = {cell: Observation(cell) for cell in wall.cabinets}
    table[Cell(2, 5)] = Observation(Cell(4, 2))
    first = jsonable(diagnose(wall, table).explanations[0])
    assert first["explained"] is False
    assert first["unexplained"] == ["R2C5"]


def test_the_rear_table_names_the_same_plug() -> None:
    site = Plugged(hung())
    site.pull(out("R1C4"))
    behind = {Cell(cell.row, 7 - cell.column): reading for cell, reading in site.look().items()}
    assert kinds(diagnose(site.wall, from_rear(site.wall, behind))) == [
        ("chain-open", "R1C4 to R1C5")
    ]

"""Several causes at once: by which names they go, and in which order they are put right.

Faults are committed on plugs and entries; what must come out follows from what was committed.
"""

from __future__ import annotations

import random

import pytest

from commission_tui.wall.mapping.diagnosis import diagnose
from commission_tui.wall.mapping.explanations.explanation import Cause, Explanation
from commission_tui.wall.model.wall_model import Wall
from tests.wall.mapping.referee import faults
from tests.wall.mapping.referee.site import Site
from tests.wall.mapping.walls import SERPENTINE, grid_wall


def first_of(site: Site) -> Explanation:
    return diagnose(site.wall, site.look()).explanations[0]


def names(causes: tuple[Cause, ...]) -> set[tuple[str, str]]:
    return {(cause.kind, cause.where) for cause in causes}


def put_right(site: Site, explanation: Explanation) -> bool:
    for cause in explanation.causes:
        site.carry_out(cause)
    return site.is_right()


def rows_of_ports(ports: int) -> Wall:
    """Make a wall on which each port feeds two rows of six."""
    blocks = [(f"R{2 * p + 1}C1:R{2 * p + 2}C6", SERPENTINE) for p in range(ports)]
    return grid_wall(6, 2 * ports, blocks)


@pytest.mark.parametrize("in_the_cables", [True, False])
def test_a_line_turned_beside_a_missing_entry_is_put_right_in_either_guise(
    in_the_cables: bool,
) -> None:
    """A line reads the same whether its cables or its entries run backwards.

    The line has to be put right before the entry comes in, which moves the places of its entries.
    """
    site = Site(grid_wall(6, 3, [("R1C1:R3C6", SERPENTINE)]))
    del site.entries[1][2]
    if in_the_cables:
        way = site.trace(1)
        site.replug_way(1, [*way[:6], *way[11:5:-1], *way[12:]])
    else:
        site.entries[1][6:12] = site.entries[1][11:5:-1]
    explanation = first_of(site)
    assert names(explanation.causes) == {
        ("cabinet-missing-in-configuration", "R1C3"),
        ("row-reversed", "P1 row 2"),
    }
    assert put_right(site, explanation)


def test_ports_exchanged_in_the_entries_are_put_right_before_a_missing_entry_comes_in() -> None:
    site = Site(rows_of_ports(3))
    del site.entries[1][2]
    site.entries[1], site.entries[3] = site.entries[3], site.entries[1]
    explanation = first_of(site)
    assert ("ports-swapped", "P1 and P3") in names(explanation.causes)
    assert put_right(site, explanation)


def test_a_chain_on_exchanged_trunks_goes_by_both_its_ports() -> None:
    """The chain designed for P4 is on P2 now; whoever looks for it may call it by either."""
    site, rng = Site(rows_of_ports(4)), random.Random(3)  # noqa: S311
    far_end = site.trace(4)[-1]
    site.unplug(("P", 4, 0))
    site.plug(("P", 4, 0), ("b", far_end[1], far_end[2]))
    faults.outputs_swapped(site, rng)
    explanation = first_of(site)
    told = [names(causes) for causes in (explanation.causes, *explanation.twins)]
    trunks = ("outputs-swapped", "P1 to P2 and P3 to P4")
    assert {trunks, ("chain-reversed", "P4")} in told
    assert {trunks, ("chain-reversed", "P2")} in told
    assert put_right(site, explanation)


def test_an_odd_port_stays_out_of_exchanged_trunks() -> None:
    site, rng = Site(rows_of_ports(5)), random.Random(3)  # noqa: S311
    faults.outputs_swapped(site, rng)
    faults.rear_view_plan(site, rng)
    explanation = first_of(site)
    assert names(explanation.causes) == {
        ("outputs-swapped", "P1 to P2 and P3 to P4"),
        ("rear-view-plan", "wall"),
    }
    assert put_right(site, explanation)


def test_a_mirrored_picture_on_cabinets_of_the_wrong_size_is_no_offset_canvas() -> None:
    site, rng = Site(rows_of_ports(2)), random.Random(3)  # noqa: S311
    faults.wrong_size(site, rng)
    faults.picture_mirrored(site, rng)
    explanation = first_of(site)
    assert names(explanation.causes) == {
        ("picture-mirrored", "wall"),
        ("wrong-cabinet-size", "wall"),
    }
    assert put_right(site, explanation)


def test_a_garbled_end_of_a_port_speaks_for_a_slipped_border() -> None:
    """The first place of a map is one of many that may be left out; a border is one of few."""
    site = Site(rows_of_ports(2))
    first, second = site.trace(1), site.trace(2)
    site.replug_way(1, first[:-1])
    site.replug_way(2, [first[-1], *second])
    site.broken.add(list(site.wall.cabinets)[6])
    explanation = first_of(site)
    assert names(explanation.causes) == {
        ("port-boundary-slipped", "P1 and P2"),
        ("module-order", "R2C1"),
    }
    assert put_right(site, explanation)

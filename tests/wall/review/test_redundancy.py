"""Single failures and the failover test.

The expected dark cabinets are worked by hand from the drawings of small walls.
"""

from __future__ import annotations

from itertools import pairwise

import pytest

from commission_tui.errors import InputError
from commission_tui.wall.model.location import Cell
from commission_tui.wall.model.wall_file import parse_wall
from commission_tui.wall.model.wall_model import Wall
from commission_tui.wall.review.redundancy import (
    LinkGraph,
    LinkPart,
    cells_as_runs,
    failover_script,
)
from tests.benchmarks.bench_calls import counted
from tests.wall.mapping.walls import HEAD

SHARED = LinkPart("converter 1", "converter", ("processor",))
BOTH = (
    SHARED,
    LinkPart("P1", "port", ("converter 1",)),
    LinkPart("P2", "port", ("converter 1",)),
    LinkPart("P3", "port", ("converter 1",)),
    LinkPart("P4", "port", ("converter 1",)),
)


def wall(*, loops: bool, circuits: str = "") -> Wall:
    """Two rows of four; P1 and P2 feed a row each, P3 and P4 close the loops."""
    text = HEAD + '[grid]\ncolumns = 4\nrows = 2\ntype = "F500"\n'
    for row in (1, 2):
        text += f'[[chains]]\nport = {row}\nblock = "R{row}C1:R{row}C4"\n'
        text += 'pattern = "rows, serpentine, from top left"\n'
        text += f"backup_port = {row + 2}\n" if loops else ""
    return parse_wall(text + circuits)


def circuit(name: str, cells: str) -> str:
    return (
        f'[[circuits]]\nname = "{name}"\nphase = "L1"\nvoltage_v = 230\nbreaker_a = 16\n'
        f'cabinets = ["{cells}"]\n'
    )


def dark_names(graph: LinkGraph, failed: str) -> str:
    return cells_as_runs(graph.dark_after(failed))


def test_without_a_loop_everything_behind_a_break_is_dark() -> None:
    graph = LinkGraph(wall(loops=False))
    assert dark_names(graph, "P1") == "R1C1 to R1C4"
    assert cells_as_runs(graph.dark_after((Cell(1, 2), Cell(1, 3)))) == "R1C3 to R1C4"
    assert cells_as_runs(graph.dark_after(Cell(2, 2))) == "R2C2 to R2C4"


def test_a_closed_loop_loses_only_the_dead_cabinet() -> None:
    graph = LinkGraph(wall(loops=True))
    assert graph.dark_after("P1") == ()
    assert graph.dark_after((Cell(1, 2), Cell(1, 3))) == ()
    assert graph.dark_after(Cell(2, 2)) == (Cell(2, 2),)


def test_a_converter_that_feeds_both_ends_of_the_loop_is_found_before_anything_is_pulled() -> None:
    failures = LinkGraph(wall(loops=True), BOTH).failures(agreed_cabinets=1)
    beyond = {failure.name for failure in failures if failure.beyond_agreed}
    assert beyond == {"converter 1", "processor"}
    assert all(len(f.dark) == 8 for f in failures if f.beyond_agreed)


def test_two_processors_on_two_converters_leave_nothing_beyond_one_cabinet() -> None:
    parts = (
        LinkPart("converter 1", "converter", ("processor",)),
        LinkPart("converter 2", "converter", ("processor B",)),
        LinkPart("processor B", "processor"),
        LinkPart("P1", "port", ("converter 1",)),
        LinkPart("P2", "port", ("converter 1",)),
        LinkPart("P3", "port", ("converter 2",)),
        LinkPart("P4", "port", ("converter 2",)),
    )
    failures = LinkGraph(wall(loops=True), parts).failures(agreed_cabinets=1)
    assert not [failure for failure in failures if failure.beyond_agreed]


def test_converters_on_one_circuit_fall_together() -> None:
    parts = (
        LinkPart("C9", "circuit"),
        LinkPart("converter 1", "converter", ("processor",), ("C9",)),
        LinkPart("converter 2", "converter", ("processor",), ("C9",)),
        LinkPart("P1", "port", ("converter 1",)),
        LinkPart("P2", "port", ("converter 1",)),
        LinkPart("P3", "port", ("converter 2",)),
        LinkPart("P4", "port", ("converter 2",)),
    )
    graph = LinkGraph(wall(loops=True), parts)
    assert len(graph.dark_after("C9")) == 8
    assert graph.dark_after("converter 1") == ()


def test_a_dead_circuit_in_the_middle_cuts_the_chain_behind_it() -> None:
    circuits = circuit("A", "R1C1:R1C2") + circuit("B", "R1C3:R2C4")
    graph = LinkGraph(wall(loops=False, circuits=circuits))
    assert dark_names(graph, "A") == "R1C1 to R1C4"
    looped = LinkGraph(wall(loops=True, circuits=circuits))
    assert dark_names(looped, "A") == "R1C1 to R1C2"


def test_what_is_not_there_or_named_twice_is_refused() -> None:
    base = wall(loops=False)
    with pytest.raises(
        InputError, match=r"converter 1: found 'procesor' \(did you mean 'processor'"
    ):
        LinkGraph(base, [LinkPart("converter 1", "converter", ("procesor",))])
    with pytest.raises(InputError, match="found twice"):
        LinkGraph(base, [SHARED, SHARED])


def test_parts_that_feed_each_other_feed_nothing() -> None:
    ring = [
        LinkPart("a", "switch", ("b",)),
        LinkPart("b", "switch", ("a",)),
        LinkPart("P1", "port", ("a",)),
    ]
    graph = LinkGraph(wall(loops=False), ring)
    assert {cell.row for failure in graph.failures() for cell in failure.dark} == {2}
    assert dark_names(graph, "P2") == "R2C1 to R2C4"


def test_the_script_tries_each_thing_once_with_the_picture_to_expect() -> None:
    graph = LinkGraph(wall(loops=True), BOTH)
    script = failover_script(graph)
    assert [(step.kind, step.name) for step in script] == [
        ("port", "P1"),
        ("port", "P2"),
        ("jumper", "R1C2 to R1C3"),
        ("jumper", "R2C2 to R2C3"),
        ("processor", "processor"),
        ("converter", "converter 1"),
    ]
    assert script[0].expect == "every cabinet keeps its own number; a gap of at most 500 ms"
    assert script[-1].expect == "the whole wall dark"
    assert script[0].starts_s == 0
    for before, after in pairwise(script):
        assert after.starts_s == before.starts_s + before.lasts_s


def test_circuits_are_left_to_competent_people() -> None:
    graph = LinkGraph(wall(loops=True, circuits=circuit("A", "R1C1:R2C2")))
    step = next(step for step in failover_script(graph) if step.kind == "circuit")
    assert "competent person" in step.do
    assert "local codes" in step.do
    assert (
        step.expect == "dark: R1C1 to R1C2, R2C1 to R2C2; every other cabinet keeps its own number"
    )


def test_the_demo_wall_survives_every_port(demo_wall: Wall) -> None:
    graph = LinkGraph(demo_wall)
    assert all(graph.dark_after(f"P{chain.port}") == () for chain in demo_wall.chains)
    worst = graph.failures()[0]
    assert (worst.kind, len(worst.dark)) == ("processor", 72)


def _wide(rows: int) -> Wall:
    """A wall of a hundred columns, two looped chains to a row."""
    text = HEAD.replace("ports = 64", f"ports = {4 * rows}")
    text += f'[grid]\ncolumns = 100\nrows = {rows}\ntype = "F500"\n'
    for port in range(1, 2 * rows + 1):
        row, left = (port + 1) // 2, 1 if port % 2 else 51
        text += f'[[chains]]\nport = {port}\nblock = "R{row}C{left}:R{row}C{left + 49}"\n'
        text += f'pattern = "rows, serpentine, from top left"\nbackup_port = {port + 2 * rows}\n'
    return parse_wall(text)


def test_the_survey_of_five_thousand_cabinets_grows_as_the_wall() -> None:
    """In calls, which no other load on the machine changes."""
    calls = []
    for rows in (10, 50):
        graph = LinkGraph(_wide(rows))
        with counted() as work:
            assert len(graph.failures()) == 100 * rows + 1
        calls.append(work.by_function.total())
    assert calls[1] <= 5**1.3 * calls[0]

"""Each situation M1 to M18 of the trade description, committed on plugs and entries.

Source: trade description, section 4.3; common practice, no published source.
"""

from __future__ import annotations

import json
import random
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from commission_tui.cli.output import jsonable
from commission_tui.errors import InputError
from commission_tui.wall.mapping.diagnosis import diagnose
from commission_tui.wall.mapping.explanations.explanation import Diagnosis, Explanation
from commission_tui.wall.mapping.moves import MOVES_AT_ONCE
from commission_tui.wall.mapping.observed.observation import Observation
from commission_tui.wall.model.location import Cell
from tests.wall.mapping.referee.generator import random_wall
from tests.wall.mapping.referee.site import Site, across, socket
from tests.wall.mapping.walls import (
    SERPENTINE,
    apply_phrase,
    as_designed,
    columns_wall,
    grid_wall,
    table,
    vector_wall,
)

WALL = vector_wall()


def first_of(site: Site) -> Explanation:
    return diagnose(site.wall, site.look()).explanations[0]


def named(explanation: Explanation) -> list[tuple[str, str]]:
    return [(cause.kind, cause.where) for cause in explanation.causes]


def test_m1_two_ports_exchanged_are_two_plugs_at_the_processor() -> None:
    site = Site(WALL)
    one, two = site.unplug(("P", 1, 0)), site.unplug(("P", 2, 0))
    assert one is not None
    assert two is not None
    site.plug(("P", 1, 0), two)
    site.plug(("P", 2, 0), one)
    cause = first_of(site).causes[0]
    assert cause.kind == "ports-swapped"
    assert [move.text for move in cause.moves] == [
        "at P2 first unplug the home run of R1C1, to make room; then at the processor unplug the "
        "home run of R3C1 (from behind: row 3, 6th from left) from P1, plug it into P2",
        "where it is not out yet, at the processor unplug the home run of R1C1 (from behind: row 1, 6th from left) from P2, "
        "plug it into P1",
    ]
    assert cause.configuration_edit is not None
    assert cause.configuration_edit.text == "exchange the assignments of P1 and P2"
    site.carry_out(cause)
    assert site.is_right()


def test_m2_a_chain_fed_from_its_far_end_is_one_home_run() -> None:
    site = Site(WALL)
    last = site.trace(1)[-1]
    site.unplug(("P", 1, 0))
    site.plug(("P", 1, 0), across(last))
    cause = first_of(site).causes[0]
    assert cause.kind == "chain-reversed"
    assert [move.text for move in cause.moves] == [
        "unplug the home run of P1 from R2C1 (from behind: row 2, 6th from left), plug it into "
        "R1C1 (from behind: row 1, 6th from left)"
    ]
    assert "turn every jumper" in cause.handling[0]


def test_m3_a_row_cabled_the_other_way_is_one_jumper_end() -> None:
    first = diagnose(WALL, apply_phrase(WALL, as_designed(WALL), "row 2 backwards")).explanations[0]
    assert named(first) == [("row-reversed", "P1 row 2")]
    assert len(first.causes[0].moves) == 1
    assert "R2C1" in first.causes[0].moves[0].text


def test_m5_a_cabinet_hung_upside_down_and_a_group_hung_inverted() -> None:
    one = apply_phrase(WALL, as_designed(WALL), "R2C3 upside down")
    assert named(diagnose(WALL, one).explanations[0]) == [("cabinet-rotated", "R2C3")]
    group = apply_phrase(WALL, as_designed(WALL), "R1C1:R2C6 upside down")
    assert named(diagnose(WALL, group).explanations[0]) == [("cabinet-rotated", "P1")]
    cells = list(WALL.cabinets)
    wall = {c: Observation(s, 180) for c, s in zip(cells, reversed(cells), strict=True)}
    assert named(diagnose(WALL, wall).explanations[0]) == [("cabinet-rotated", "wall")]


def test_m6_a_skipped_cabinet_has_plugs_to_move_and_no_edit() -> None:
    first = diagnose(
        WALL, table(WALL, ["1 2 dark 3 4 5", "8 9 10 11 12 6", "as design", "as design"])
    ).explanations[0]
    assert named(first) == [("cabinet-skipped", "R1C3")]
    assert first.causes[0].configuration_edit is None
    assert len(first.causes[0].moves) == 2


def test_m7_a_missing_entry_has_an_edit_and_no_plugs() -> None:
    first = diagnose(
        WALL, table(WALL, ["1 2 4 5 6 12", "dark 7 8 9 10 11", "as design", "as design"])
    ).explanations[0]
    assert named(first) == [("cabinet-missing-in-configuration", "R1C3")]
    assert first.causes[0].moves == ()
    edit = first.causes[0].configuration_edit
    assert edit is not None
    assert edit.text == "insert the entry for R1C3 at place 3 of P1"


def test_a_home_run_plugged_in_one_cabinet_late_needs_no_jumper_that_nobody_saw() -> None:
    wall = columns_wall()
    site = Site(wall)
    first, second = socket("a", Cell(1, 4)), socket("a", Cell(2, 4))
    site.unplug(second)
    site.unplug(first)
    site.plug(("P", 2, 0), second)
    (cause,) = first_of(site).causes
    assert cause.kind == "port-boundary-slipped"
    assert cause.says == (
        "P2 begins 1 cabinet late, at R2C4: R1C4 hangs on the end of P1, or on nothing"
    )
    assert cause.handling == (
        "where no cable leads from R1C3 to R1C4: put one in from R1C4 to R2C4",
    )


def test_two_cabinets_far_apart_that_show_each_other_have_an_entry_or_plugs_to_exchange() -> None:
    wall = columns_wall()
    for one, other in ((Cell(2, 5), Cell(2, 6)), (Cell(2, 2), Cell(3, 5))):
        seen = as_designed(wall) | {one: Observation(other), other: Observation(one)}
        (cause,) = diagnose(wall, seen).explanations[0].causes
        assert cause.kind == "entries-exchanged"
        assert cause.says.endswith("are exchanged, or both plugs of the one with both of the other")
        assert cause.configuration_edit is not None
        assert cause.configuration_edit.text == (
            f"exchange the entries of {one} and {other}; where their chain numbers are not as "
            "drawn, exchange their plugs instead"
        )


def test_m8_a_wrong_cabinet_size_slides_further_and_further() -> None:
    """Source: trade description M8: 168 px loaded for 192 gives 0, 24, 48, 72 px to the right."""
    site = Site(WALL)
    for port, entries in site.entries.items():
        site.entries[port] = [(x // 192 * 168, y, 168, 192) for x, y, _, _ in entries]
    seen = site.look()
    assert [seen[Cell(1, c)].dx_px for c in (1, 2, 3, 4)] == [0, 24, 48, 72]
    cause = first_of(site).causes[0]
    assert (cause.kind, cause.moves) == ("wrong-cabinet-size", ())
    assert "168 x 192" in cause.says
    assert "scaled" in cause.says


def test_m8_a_wrong_size_in_one_group_only() -> None:
    wall = grid_wall(8, 4, [("R1C1:R4C4", SERPENTINE), ("R1C5:R4C8", SERPENTINE)])
    site = Site(wall)
    site.entries[2] = [
        (768 + (x - 768) // 192 * 160, y, 160, 192) for x, y, _, _ in site.entries[2]
    ]
    first = first_of(site)
    assert named(first) == [("wrong-cabinet-size", "P2")]
    assert first.unexplained == ()


def test_m12_an_offset_canvas_is_the_same_everywhere() -> None:
    site = Site(WALL)
    site.start_px = (40, -12)
    cause = first_of(site).causes[0]
    assert cause.kind == "canvas-offset"
    edit = cause.configuration_edit
    assert edit is not None
    assert edit.settings == {"canvas_shift_px": (-40, 12)}


def test_m16_several_ports_exchanged_alike_are_one_cause() -> None:
    blocks = [(f"R{row}C1:R{row}C6", SERPENTINE) for row in range(1, 5)]
    wall = grid_wall(6, 4, blocks)
    seen = apply_phrase(wall, as_designed(wall), "R1C1:R2C6 shows R3C1:R4C6")
    seen = apply_phrase(wall, seen, "R3C1:R4C6 shows R1C1:R2C6")
    first = diagnose(wall, seen).explanations[0]
    assert [cause.kind for cause in first.causes] == ["outputs-swapped"]


def test_m17_mirrored_glyphs_are_the_picture_not_the_plan() -> None:
    site = Site(WALL)
    site.mirrored = True
    assert named(first_of(site)) == [("picture-mirrored", "wall")]
    assert first_of(site).causes[0].moves == ()


def test_m18_broken_numbers_in_a_type_are_its_programme_in_one_its_cables() -> None:
    whole = apply_phrase(WALL, as_designed(WALL), "wall garbled")
    assert named(diagnose(WALL, whole).explanations[0]) == [("module-order", "F500")]
    one = apply_phrase(WALL, as_designed(WALL), "R3C3 garbled")
    first = diagnose(WALL, one).explanations[0]
    assert named(first) == [("module-order", "R3C3")]
    assert "flat cable" in first.causes[0].handling[0]


def test_a_lone_contradiction_is_looked_at_again_and_not_a_second_fault() -> None:
    seen = as_designed(WALL) | {Cell(2, 5): Observation(Cell(4, 2))}
    diagnosis = diagnose(WALL, seen)
    assert diagnosis.explanations[0].causes == ()
    assert diagnosis.next_look == "look again at R2C5"
    beside = apply_phrase(WALL, seen, "row 4 backwards")
    beside = apply_phrase(WALL, beside, "row 3 backwards")
    diagnosis = diagnose(WALL, beside | {Cell(2, 5): Observation(Cell(1, 1))})
    assert "duplicate-assignment" not in {c.kind for c in diagnosis.explanations[0].causes}
    assert diagnosis.explanations[0].unexplained == (Cell(2, 5),)
    assert diagnosis.next_look == "look again at R2C5"


def test_a_contradiction_looked_at_twice_is_a_fault() -> None:
    seen = as_designed(WALL) | {Cell(2, 5): Observation(Cell(4, 2), confirmed=True)}
    assert named(diagnose(WALL, seen).explanations[0]) == [("duplicate-assignment", "R2C5")]


def test_one_look_separates_what_half_a_table_leaves_open() -> None:
    site = Site(WALL)
    plug = socket("a", Cell(1, 3))
    before, after = site.unplug(plug), site.unplug(across(plug))
    assert before is not None
    assert after is not None
    site.plug(before, after)
    seen = site.look()
    for cell in (Cell(1, 2), Cell(1, 3), Cell(1, 4)):
        seen[cell] = Observation()
    diagnosis = diagnose(WALL, seen)
    assert diagnosis.next_look is not None
    asked = Cell.parse(diagnosis.next_look.removeprefix("look at ").partition(":")[0])
    assert seen[asked] == Observation()
    answered = seen | {asked: site.look()[asked]}
    left = diagnose(WALL, answered)
    assert left.explanations[0].shows[asked] == answered[asked].seen


def test_twins_are_told_apart_by_a_chain_reading() -> None:
    wall = grid_wall(6, 4, [("R1C1:R4C6", SERPENTINE)])
    rows = ["19 20 21 22 23 24", "13 14 15 16 17 18", "7 8 9 10 11 12", "1 2 3 4 5 6"]
    diagnosis = diagnose(wall, table(wall, rows))
    first = diagnosis.explanations[0]
    kinds = {first.causes[0].kind, *(twin[0].kind for twin in first.twins)}
    assert {"chain-reversed", "bottom-up-plan"} <= kinds
    assert diagnosis.next_look is not None
    assert diagnosis.next_look.startswith("read the chain number on R1C1: P1.1 as drawn")


def test_after_the_correction_only_changed_cabinets_are_asked_for() -> None:
    first = diagnose(WALL, apply_phrase(WALL, as_designed(WALL), "row 2 backwards")).explanations[0]
    assert {cell.row for cell in first.look_after} == {2}


def test_each_correction_changes_what_was_predicted() -> None:
    site = Site(WALL)
    plug = socket("a", Cell(1, 3))
    before, after = site.unplug(plug), site.unplug(across(plug))
    assert before is not None
    assert after is not None
    site.plug(before, after)
    site.entries[2].reverse()
    del site.entries[2][4]
    first = first_of(site)
    assert len(first.causes) == 3
    for cause in first.causes:
        shown = site.look()
        site.carry_out(cause)
        assert [cell for cell, now in site.look().items() if now != shown[cell]] == sorted(
            cause.changes
        )
    assert site.is_right()


def test_no_more_than_four_moves_at_once() -> None:
    wall = grid_wall(4, 20, [("R1C1:R20C4", SERPENTINE)])
    seen = as_designed(wall)
    for row in range(2, 21, 2):
        seen = apply_phrase(wall, seen, f"row {row} backwards")
    first = diagnose(wall, seen).explanations[0]
    assert named(first) == [("raster-serpentine", "wall")]
    shown = jsonable(first)["causes"][0]
    assert len(first.causes[0].moves) > MOVES_AT_ONCE
    assert len(shown["moves"]) == MOVES_AT_ONCE
    assert shown["moves_after_the_next_look"] == len(first.causes[0].moves) - MOVES_AT_ONCE


@pytest.mark.parametrize(
    "phrase", ["row 2 backwards", "wall mirrored", "R2C3 upside down", "wall garbled"]
)
def test_never_only_one_explanation_of_a_fault(phrase: str) -> None:
    seen = apply_phrase(WALL, as_designed(WALL), phrase)
    assert 2 <= len(diagnose(WALL, seen).explanations) <= 3


@pytest.mark.parametrize(
    "seen", [{}, {Cell(1, 1): Observation()}, dict.fromkeys(WALL.cabinets, Observation("dark"))]
)
def test_little_or_nothing_to_go_by_still_gives_an_answer(seen: dict[Cell, Observation]) -> None:
    diagnosis = diagnose(WALL, seen)
    assert isinstance(diagnosis, Diagnosis)
    assert diagnosis.explanations


def test_where_nothing_is_wrong_nothing_is_guessed() -> None:
    for seen in ({}, {Cell(1, 1): Observation(Cell(1, 1))}, as_designed(WALL)):
        diagnosis = diagnose(WALL, seen)
        assert [explanation.causes for explanation in diagnosis.explanations] == [()]
        assert diagnosis.next_look is None


_SHOWN = st.one_of(st.none(), st.just("dark"), st.just("garbled"), st.integers(0, 999))


_ENTRIES_BEYOND_A_MAP = [(2, 0), (None, 0), ("dark", 0), (None, 0), (1, 0), (1, 0)]


@settings(max_examples=8, deadline=None)
@example(68728, [(*shown, False, 0) for shown in _ENTRIES_BEYOND_A_MAP])
@given(
    st.integers(0, 2**32),
    st.lists(
        st.tuples(
            _SHOWN, st.sampled_from([0, 0, 90, 180]), st.booleans(), st.sampled_from([0, 0, 7])
        ),
        min_size=30,
        max_size=30,
    ),
)
def test_any_table_on_any_wall_gets_an_answer(seed: int, shown: list[Any]) -> None:
    wall = random_wall(random.Random(seed), most=40)  # noqa: S311
    cells = list(wall.cabinets)
    seen = {}
    for cell, (tile, angle, mirrored, dx) in zip(cells, shown, strict=False):
        number = cells[tile % len(cells)] if isinstance(tile, int) else tile
        seen[cell] = Observation(number, angle, mirrored, dx, 0.0)
    diagnosis = diagnose(wall, seen)
    assert 1 <= len(diagnosis.explanations) <= 3
    json.dumps(jsonable(diagnosis))


def test_a_cabinet_in_no_chain_is_only_looked_at_again() -> None:
    wall = grid_wall(6, 2, [("R1C1:R2C5", SERPENTINE)])
    seen = as_designed(wall) | {Cell(1, 6): Observation("dark")}
    diagnosis = diagnose(wall, seen)
    assert diagnosis.explanations[0].unexplained == (Cell(1, 6),)
    assert diagnosis.next_look == "look again at R1C6"


def test_a_wall_without_chains_is_refused() -> None:
    with pytest.raises(InputError, match="chains: found none"):
        diagnose(grid_wall(3, 2, []), {})


def test_a_number_of_another_wall_is_refused() -> None:
    with pytest.raises(InputError, match="found R9C9"):
        diagnose(WALL, {Cell(1, 1): Observation(Cell(9, 9))})


def test_the_result_as_data_has_the_promised_keys() -> None:
    data = jsonable(diagnose(WALL, apply_phrase(WALL, as_designed(WALL), "row 2 backwards")))
    assert set(data) == {"explanations", "next_look", "look"}
    explanation = data["explanations"][0]
    assert {"causes", "unexplained", "cost"} <= set(explanation)
    assert {"kind", "where", "moves", "configuration_edit"} <= set(explanation["causes"][0])


def test_a_mirrored_glyph_alone_is_looked_at_again() -> None:
    seen = as_designed(WALL)
    seen[Cell(1, 1)] = replace(seen[Cell(1, 1)], mirrored=True)
    diagnosis = diagnose(WALL, seen)
    assert diagnosis.explanations[0].causes == ()
    assert diagnosis.next_look == "look again at R1C1 (mirrored)"

"""What is typed of what is seen: no word of it is lost, and what may be of two places is asked about."""

from __future__ import annotations

from dataclasses import replace

import pytest

from commission_tui.errors import InputError
from commission_tui.logbook.actions.mapping_log import all_in_place, seen_table
from commission_tui.logbook.actions.typed_looks import Meant, typed_look
from commission_tui.logbook.job import OpenJob
from commission_tui.wall.mapping.observed.observation import Observation
from commission_tui.wall.model.location import Cell

CHECK = "cabinet-mapping"
HERE, THERE = Cell(1, 1), Cell(5, 4)


def log(job: OpenJob, *lines: str, meant: Meant = "", from_behind: bool = False) -> None:
    for line in lines:
        look = typed_look(job, HERE, line, from_behind=from_behind, meant=meant)
        job.record_all(look.bodies)


def shown(job: OpenJob, cell: Cell) -> Observation:
    return replace(seen_table(job.state).readings[cell], confirmed=False)


@pytest.mark.parametrize(
    ("typed", "how"),
    [("mirrored", Observation(THERE, mirrored=True)), ("upside down", Observation(THERE, 180)),
     ("left", Observation(THERE, 270)), ("right +10 -3", Observation(THERE, 90, False, 10, -3))],
)  # fmt: skip
@pytest.mark.parametrize("stood", ["dark", "not looked at", "ok"])
def test_who_says_how_a_tile_stands_sees_it_lit(
    job: OpenJob, stood: str, typed: str, how: Observation
) -> None:
    log(job, f"R5C4 {stood}", f"R5C4 {typed}")
    assert shown(job, THERE) == how
    assert shown(job, HERE) == Observation()


def test_a_row_with_dark_cabinets_is_asked_about_before_they_are_said_to_be_lit(
    job: OpenJob,
) -> None:
    log(job, "row 1 ok", "R1C2-R1C5 dark")
    look = typed_look(job, HERE, "row 1 upside down")
    assert "R1C2, R1C3, R1C4, R1C5 stand as dark; Enter again replaces that" in look.question
    assert look.said.endswith("no longer dark: R1C2, R1C3, R1C4, R1C5")
    job.record_all(look.bodies)
    assert {shown(job, Cell(1, c)) for c in range(1, 13)} == {
        Observation(Cell(1, c), 180) for c in range(1, 13)
    }
    assert not typed_look(job, HERE, "row 1 mirrored").question


@pytest.mark.parametrize("words", ["left", "mirrored", "upside down", "0 mirrored", "+24 -3"])
def test_a_position_with_an_arrow_is_asked_about_and_is_the_cabinet_there_unless_said(
    job: OpenJob, words: str
) -> None:
    job.record_all(all_in_place(job))
    look = typed_look(job, HERE, f"r5c4 {words}")
    assert look.question.startswith(f"'r5c4 {words}': Enter again logs cabinet R5C4, its own tile")
    assert f"if R1C1 shows that tile, type: shows R5C4 {words}." in look.question
    job.record_all(look.bodies)
    assert shown(job, HERE) == Observation(HERE)
    assert shown(job, THERE) not in {Observation(THERE), Observation()}

    told = typed_look(job, HERE, f"shows R5C4 {words}")
    assert (told.question, told.is_here, told.meant) == ("", True, "tile")
    job.record_all(told.bodies)
    assert shown(job, HERE) == shown(job, THERE)


def test_what_was_answered_holds_for_the_next_lines_until_one_replaces_what_stands(
    job: OpenJob,
) -> None:
    job.record_all(all_in_place(job))
    for meant, cell in (("cabinet", THERE), ("tile", HERE)):
        look = typed_look(job, HERE, "R5C4 left", meant=meant)  # type: ignore[arg-type]
        assert (look.question, look.meant) == ("", meant)
        assert f"that {cell} shows" in look.said
        log(job, f"{cell} dark")
        look = typed_look(job, HERE, "R5C4 left", meant=meant)  # type: ignore[arg-type]
        assert f"{cell} stands as dark; Enter again replaces that" in look.question


@pytest.mark.parametrize(
    ("before", "meant"),
    [
        (["R2C6 dark"], "cabinet"),
        (["R2C6 R1C4", "R1C5 chain P1.5", "wall ok"], "cabinet"),
        (["row 1 ok", "C2 dark", "dark", "R1C1 left"], ""),
        (["R2C6 dark", "R2C6"], ""),
        (["shows R2C6 left"], "tile"),
        (["shows R2C6 left", "R2C5"], "tile"),
    ],
)
def test_in_a_list_by_places_or_by_tiles_a_position_with_an_arrow_is_one_too(
    job: OpenJob, before: list[str], meant: Meant
) -> None:
    after: Meant = ""
    for line in before:
        after = typed_look(job, HERE, line, meant=after).meant
    assert after == meant


def test_the_cabinet_one_is_at_is_not_asked_about(job: OpenJob) -> None:
    look = typed_look(job, HERE, "R1C1 left")
    assert (look.question, look.is_here) == ("", True)
    job.record_all(look.bodies)
    assert shown(job, HERE) == Observation(HERE, 270)


@pytest.mark.parametrize(
    ("typed", "reading"),
    [
        ("R5C4 is left", Observation(THERE, 270)),
        ("R5C4 ok left", Observation(THERE, 270)),
        ("R5C4 is mirrored", Observation(THERE, mirrored=True)),
        ("R5C4 shows R5C5 down", Observation(Cell(5, 5), 180)),
        ("R5C4 R5C5 mirrored", Observation(Cell(5, 5), mirrored=True)),
        ("R5C4 garbled left", Observation("garbled", 270)),
        ("R5C4 -> R5C5", Observation(Cell(5, 5))),
        ("R5C4 → R5C5 ↓", Observation(Cell(5, 5), 180)),
        ("R5C4 is ↓", Observation(THERE, 180)),
    ],
)
def test_a_place_may_be_followed_by_tile_and_arrow(
    job: OpenJob, typed: str, reading: Observation
) -> None:
    look = typed_look(job, HERE, typed)
    assert not look.question
    job.record_all(look.bodies)
    assert shown(job, THERE) == reading


def test_an_arrow_leaves_the_tile_that_stands(job: OpenJob) -> None:
    log(job, "R5C4 shows R5C5", "R5C4 left")
    assert shown(job, THERE) == Observation(Cell(5, 5), 270)
    log(job, "R5C4 garbled", "R5C4 down")
    assert shown(job, THERE) == Observation("garbled", 180)


def test_from_behind_the_place_turns_round_and_a_tile_keeps_its_name(job: OpenJob) -> None:
    log(job, "R5C4 left", from_behind=True)
    assert shown(job, Cell(5, 9)) == Observation(Cell(5, 9), 270)  # 4th of 12 from behind
    log(job, "R5C4 left", from_behind=True, meant="tile")
    assert shown(job, HERE) == Observation(THERE, 270)


@pytest.mark.parametrize("typed", ["dark left", "R5C4 dark mirrored", "not looked at down"])
def test_a_dark_cabinet_with_an_arrow_is_refused_and_not_half_logged(
    job: OpenJob, typed: str
) -> None:
    with pytest.raises(InputError, match="not both"):
        typed_look(job, HERE, typed)

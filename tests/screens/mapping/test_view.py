"""What the layer "mapping" says, without a screen."""

from __future__ import annotations

import pytest

from commission_tui.checks.model.types import Verdict
from commission_tui.logbook.actions.mapping_corrections import correction_list, step_bodies
from commission_tui.logbook.actions.mapping_log import (
    all_in_place,
    seen_table,
    table_bodies,
)
from commission_tui.logbook.actions.typed_looks import typed_look
from commission_tui.logbook.job import OpenJob
from commission_tui.screens.mapping import view as mapping_view
from commission_tui.screens.mapping.view import Chosen, MappingView
from commission_tui.screens.terminal.styled_text import plain_line
from commission_tui.wall.mapping.diagnosis import diagnose
from commission_tui.wall.mapping.observed.observation import Observation
from commission_tui.wall.model.location import Cell

CHECK = "cabinet-mapping"

BESIDE_A_BOX = 78
"""Of a line that is broken, the box of a question over the least window leaves only the first part."""


def said(job: OpenJob, *lines: str) -> None:
    """Log that all is as designed, then what was typed."""
    job.record_all(all_in_place(job))
    for line in lines:
        job.record_all(typed_look(job, Cell(1, 1), line).bodies)


def crossed(job: OpenJob) -> Chosen:
    said(job, "R1C2 shows R1C3", "R1C3 shows R1C2")
    first = diagnose(job.state.wall, seen_table(job.state).readings).explanations[0]
    return Chosen.of(first, correction_list(job.state, first))


def test_a_cabinet_turned_after_the_moves_is_not_said_to_show_another_tile(job: OpenJob) -> None:
    chosen = crossed(job)
    cell = chosen.corrections.look_after[0]
    job.record_all(typed_look(job, cell, "right").bodies)
    words = mapping_view.after_words(chosen.corrections, seen_table(job.state))
    assert f"{cell}" in words
    assert "still not as designed: explain what is seen now (e)." in words
    assert "own tile" not in words


@pytest.mark.parametrize(
    ("typed", "sign", "kind", "word"),
    [
        ("ok", "●", "own", "as designed"),
        ("R1C2", "✕", "another", "another tile, R1C2"),
        ("shows R1C2 down", "✕", "another", "another tile, R1C2, turned, arrow down"),
        ("dark", "■", "dark", "dark"),
        ("garbled", "▒", "garbled", "garbled"),
        ("down", "↓", "turned", "its own tile, turned, arrow down"),
        ("90", "→", "turned", "its own tile, turned, arrow right"),
        ("up mirrored", "◐", "mirrored", "its own tile, mirrored"),
        ("ok +24 -3", "%", "parts of several tiles",
         "its own tile, split: starts +24 px across, -3 px down"),
        ("not looked at", "○", "not looked at", "not looked at"),
    ],
)  # fmt: skip
def test_what_a_cabinet_shows_has_a_sign_and_a_word(
    job: OpenJob, typed: str, sign: str, kind: str, word: str
) -> None:
    said(job, typed)
    what = MappingView(job).seen(Cell(1, 1))
    assert (what.sign, what.kind, what.word) == (sign, kind, word)
    legend = plain_line(MappingView(job).legend())
    assert f"{sign} {kind}" in legend


def test_words_that_name_no_tile_show_as_unclear_and_as_typed(job: OpenJob) -> None:
    job.read(CHECK, "seen", "R1C1", "[red]blue[/]")
    what = MappingView(job).seen(Cell(1, 1))
    assert (what.sign, what.word) == ("?", "unclear: logged as [red]blue[/]")


def test_each_cabinet_has_its_chain_place_and_tile(job: OpenJob) -> None:
    said(job, "R2C6 shows R1C1")
    looks = MappingView(job).looks()
    assert set(looks) == set(job.state.wall.cabinets)
    # Port 1 runs R1C1 to R1C6, then back on row 2 from R2C6: its seventh place.
    assert looks[Cell(2, 6)].below == "1.7"
    assert looks[Cell(2, 6)].text == "✕R1C1"
    assert looks[Cell(2, 6)].short == "R1C1"
    assert all(len(look.sign) == 1 for look in looks.values())


def test_the_chosen_explanation_is_drawn_with_sign_and_word(job: OpenJob) -> None:
    chosen = crossed(job)
    looks = MappingView(job, chosen).looks()
    step = chosen.corrections.steps[0]
    assert "jumper R1C1 to R1C3" in step.text
    signs = {cell: look.text[0] for cell, look in looks.items() if look.text[0] in "-+=▸"}
    # The plug at R1C3 goes into R1C2; the other end of that jumper, at R1C1, stays where it is.
    assert signs == {Cell(1, 1): "=", Cell(1, 2): "+", Cell(1, 3): "-"}
    legend = plain_line(MappingView(job, chosen).legend())
    assert all(words in legend for words in ("- unplug here", "+ plug in here", "= this end stays"))
    lines = MappingView(job, chosen).cell_lines(Cell(1, 2), from_behind=False)
    assert "+ plug in here" in " ".join(map(plain_line, lines))
    job.record_all(step_bodies(job, chosen.corrections, step))
    looks = MappingView(job, chosen).looks()
    assert looks[Cell(1, 1)].text[0] not in "-+=▸"


def test_the_walk_names_one_move_then_what_to_look_at(job: OpenJob) -> None:
    chosen = crossed(job)
    for number, step in enumerate(chosen.corrections.steps, start=1):
        now = " ".join(map(plain_line, MappingView(job, chosen).now_lines))
        assert f"Step {number} of 2: {step.text}" in now
        assert mapping_view.CAUTION in now
        job.record_all(step_bodies(job, chosen.corrections, step))
    now = " ".join(map(plain_line, MappingView(job, chosen).now_lines))
    assert "Look again: R1C2, R1C3  (2 left)" in now
    assert "▲" in MappingView(job, chosen).looks()[Cell(1, 2)].text
    for cell in chosen.corrections.look_after:
        job.record_all(typed_look(job, cell, "ok").bodies)
    now = " ".join(map(plain_line, MappingView(job, chosen).now_lines))
    assert "One glance over the whole wall" in now
    lines = map(plain_line, MappingView(job, chosen).now_lines)
    assert max(len(line.rstrip()) for line in lines) <= BESIDE_A_BOX


def test_an_explanation_is_said_whole(job: OpenJob) -> None:
    said(job, "R1C2 shows R1C3", "R1C3 shows R1C2", "R4C4 upside down")
    diagnosis = diagnose(job.state.wall, seen_table(job.state).readings)
    lines = mapping_view.explanation_lines(diagnosis.explanations[0], diagnosis.next_look)
    text = "\n".join(map(plain_line, lines))
    for cause in diagnosis.explanations[0].causes:
        assert cause.says in text
        assert all(move.text in text for move in cause.moves)
        assert cause.configuration_edit is not None
        assert cause.configuration_edit.text in text
    assert text.startswith("These 2 together, to be put right one after the other:\n1 of 2  ")
    assert "\n2 of 2  " in text
    assert "from behind: row 1, 11th from left" in text
    assert "Afterwards look at: R1C2, R1C3, R4C4" in text
    assert str(diagnosis.next_look) in text


def test_one_cause_alone_is_not_said_to_be_several(job: OpenJob) -> None:
    said(job, "R1C2 shows R1C3", "R1C3 shows R1C2")
    explanation = diagnose(job.state.wall, seen_table(job.state).readings).explanations[0]
    assert len(explanation.causes) == 1
    text = "\n".join(map(plain_line, mapping_view.explanation_lines(explanation, None)))
    assert "together" not in text
    assert " of 1" not in text
    assert mapping_view.together(["a", "b"]) == "2 together: a; b"


def test_titles_fit_and_begin_with_what_sets_them_apart(job: OpenJob) -> None:
    said(job, "R1C2 shows R1C3", "R1C3 shows R1C2", "R4C4 upside down")
    explanations = diagnose(job.state.wall, seen_table(job.state).readings).explanations
    titles = [plain_line(t) for t in mapping_view.explanation_titles(explanations, 70)]
    assert len(titles) == len(explanations) > 1
    assert all(len(title) <= 70 for title in titles)
    assert titles[0].startswith("1  the cables of R1C2 and R1C3 are crossed")
    assert titles[0].endswith("  and 1 more with it")
    assert len({title[3:40] for title in titles}) == len(titles)


def test_nothing_looked_at_is_said_so(job: OpenJob) -> None:
    now = " ".join(map(plain_line, MappingView(job).now_lines))
    assert "0 of 72 looked at, 0 not as designed" in now


def test_a_wall_looked_at_cabinet_by_cabinet_asks_the_one_question_left_and_names_its_key(
    job: OpenJob,
) -> None:
    def now() -> str:
        lines = MappingView(job).now_lines
        return " ".join(map(plain_line, lines))

    # Such as from a table, or typed on the walk: nobody answered for the whole wall.
    job.record_all(table_bodies(job, {cell: Observation(cell) for cell in job.state.wall.cabinets}))
    assert job.outcome(CHECK).verdict is Verdict.OPEN
    assert "Is the whole wall as designed, at one glance?  a logs it" in now()
    assert (
        max(len(plain_line(line).rstrip()) for line in MappingView(job).now_lines) <= BESIDE_A_BOX
    )
    job.record_all(all_in_place(job))
    assert "a all as designed" in now()

"""What the import of a table shows, without a screen."""

from __future__ import annotations

from pathlib import Path

import pytest

from commission_tui.checks.model.definition import CheckDefinition
from commission_tui.logbook.logbook import OpenJob
from commission_tui.logbook.tables.table_logging import AlreadyLogged
from commission_tui.logbook.tables.table_proposal import (
    TableHead,
    TablePlan,
    proposed_plan,
    read_head,
)
from commission_tui.logbook.tables.table_rows import RowCount, TableRows
from commission_tui.screens.importing import view as view
from commission_tui.screens.importing.view import Answers, TableFound
from commission_tui.screens.shared.background_work import progress_line
from commission_tui.screens.terminal.styled_text import in_cells, plain_line

NASTY = "[red]x[/] \x1b[31m\u202e 測定値"


def made(job: OpenJob, tmp_path: Path, text: str) -> tuple[CheckDefinition, TableHead, TablePlan]:
    path = tmp_path / "meter.csv"
    path.write_text(text, encoding="utf-8")
    check = job.state.checklist.check("nine")
    head = read_head(path)
    return check, head, proposed_plan(job.state.wall, check, head, ())


def plain(lines: list[tuple[tuple[str, str], ...]]) -> list[str]:
    return [plain_line(line) for line in lines]


@pytest.mark.parametrize("width", [40, 72, 92])
def test_a_column_is_one_line_of_the_width_whatever_is_in_it(
    ready: OpenJob, tmp_path: Path, width: int
) -> None:
    text = f'Point,L (fL),"{NASTY * 3}",,\n1,170,"{NASTY}\n\x1b]0;x\x07",,\n'
    lines = view.column_lines(*made(ready, tmp_path, text), width)
    assert len(lines) == 5
    for line in lines:
        shown = plain_line(line)
        assert shown.isprintable(), shown
        assert len(in_cells(shown, width)) <= width
        assert in_cells(shown, width).rstrip() == shown.rstrip()


def test_columns_say_what_they_are_and_why_not(ready: OpenJob, tmp_path: Path) -> None:
    text = "Point,L (fL),A,A,\n1,170,5,6,7\n2,171,5,6,7\n"
    check, head, plan = made(ready, tmp_path, text)
    lines = plain(view.column_lines(check, head, plan, 76))
    assert "▸ the place" in lines[0]
    assert "1  2" in lines[0]
    assert "▸ Luminance on white" in lines[1]
    assert "two headings alike" in lines[2]
    assert "no heading" in lines[4]


def test_what_a_column_can_be_says_what_follows(ready: OpenJob, tmp_path: Path) -> None:
    check, _, plan = made(ready, tmp_path, "Point,L (fL),E (lx)\n1,170,5\n")
    shown = {key: plain_line(line) for key, line in view.meaning_choices(check, plan, 1).items()}
    assert shown["luminance_cd_m2"].endswith("converted from fL to cd/m2")
    assert shown["place"].endswith("now: Point")
    assert shown[view.NOT_READ] == "not read"
    shown = {key: plain_line(line) for key, line in view.meaning_choices(check, plan, 2).items()}
    assert shown["luminance_cd_m2"].endswith("the heading has another unit")
    assert view.with_meaning(plan, 1, view.NOT_READ).targets == ("place", "", "")
    assert view.with_meaning(plan, 2, "luminance_cd_m2").targets == ("place", "", "luminance_cd_m2")


def test_stepping_goes_through_all_that_a_column_can_be(ready: OpenJob, tmp_path: Path) -> None:
    check, _, plan = made(ready, tmp_path, "Point,L (fL),A,A\n1,170,5,6\n")
    seen, now = [], plan
    for _ in range(6):
        now = view.with_next_meaning(check, now, 1, 1)
        seen.append(now.targets[1])
    assert seen == ["", "place", "row", "column", "time", "luminance_cd_m2"]
    assert view.with_next_meaning(check, plan, 2, 1) is plan


@pytest.fixture
def good(ready: OpenJob) -> TableRows:
    return TableRows(
        [ready.reading("nine", "luminance_cd_m2", f"point {n}", 600.0) for n in (1, 2)], []
    )


def test_the_summary_says_which_key_answers_what(good: TableRows) -> None:
    good.bad, good.odd = ["m.csv: line 4: no"], ["m.csv: line 2: odd"]
    good.count = RowCount(2, 1, 1)
    seen = TableFound(good, AlreadyLogged(frozenset({("nine", "luminance_cd_m2", "point 1")})))
    asked = plain(view.summary_lines(seen, Answers()))
    assert "2 readings to log, of 4 rows: 2 read, 1 refused, 1 without a value" in asked[0]
    assert "1 already logged; the new value replaces them" in asked[1]
    assert "1 row refused, so nothing is logged; b leaves them out" in asked[2]
    assert "1 of them that look unusual; y imports them anyway" in asked[3]
    assert len(asked) == 4
    said = plain(view.summary_lines(seen, Answers(True, True, "meter")))
    assert "1 row left out" in said[2]
    assert said[4].endswith("^S logs them in one go, and remembers the columns as meter")


def test_each_row_that_is_refused_or_odd_is_named_without_the_file(good: TableRows) -> None:
    path = Path("m.csv")
    good.told = [f"line {n}: value: no" for n in range(2, 302)]
    good.odd = [f"{path}: line 1: odd"]
    good.notes = ["numbers are read with a decimal comma"]
    lines = plain(view.row_lines(TableFound(good), path))
    assert lines[:2] == ["Numbers are read with a decimal comma", "Refused line 2: value: no"]
    assert lines[201:] == ["and 100 more", "Unusual line 1: odd"]
    assert view.row_lines(TableFound(None, trouble="none"), path) == []


@pytest.mark.parametrize(
    ("bad", "odd", "answers", "said"),
    [
        (["x"], [], Answers(), "1 row refused: b"),
        ([], ["x"], Answers(), "1 unusual reading: y"),
        (["x"], ["y"], Answers(odd_too=True, bad_out=True), ""),
    ],
)
def test_why_nothing_can_be_logged(
    good: TableRows, bad: list[str], odd: list[str], answers: Answers, said: str
) -> None:
    rows = TableRows(good.good, bad, odd, count=RowCount(2, len(bad)))
    why = view.refusal(TableFound(rows), answers)
    assert why.startswith(said)
    assert bool(why) == bool(said)
    assert view.refusal(None, answers)
    assert view.refusal(TableFound(None, trouble="no table"), answers) == "no table"
    assert "No reading" in view.refusal(TableFound(TableRows([], [])), answers)


@pytest.mark.parametrize("width", [60, 72, 110])
def test_how_far_it_is(width: int) -> None:
    line = plain_line(progress_line("Reading", 250, 1000, width))
    assert "25%" in line
    assert "250 of 1,000" in line
    assert line.count("█") * 3 == line.count("░")
    assert len(line) <= width
    assert plain_line(progress_line("Reading", 0, 0, width)) == "Reading ...   Esc stops"
    assert "750 so far" in plain_line(progress_line("Reading", 750, 0, width))


def test_the_file_line_fits_and_says_what_is_known(ready: OpenJob, tmp_path: Path) -> None:
    _, head, plan = made(ready, tmp_path, "made by\nPoint,L (fL)\n1,170\n")
    line = plain_line(view.file_line(Path("a" * 90 + ".csv"), head, plan, None, 72))
    assert "headings on line 2" in line
    assert len(line) <= 72
    many = TableHead(head.rows, "row", ("one", NASTY))
    line = plain_line(view.file_line(Path("m.xlsx"), many, plan, NASTY, 72))
    assert "sheet 2 of 2" in line
    assert line.isprintable()

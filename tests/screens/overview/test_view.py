"""The overview as text: stages with what is done."""

from __future__ import annotations

from commission_tui.logbook.logbook import Logbook, OpenJob
from commission_tui.logbook.state.agreed_checks import unsettled_checks
from commission_tui.screens.overview import view as overview_view
from commission_tui.screens.terminal.styled_text import (
    plain_line,
)
from commission_tui.screens.walk.view import check_after
from tests.logbook.state.test_agreed_checks import evening_wall
from tests.screens.conftest import SMALL_CHECKLIST, on_small_wall
from tests.screens.helping import metered


def test_stages_count_what_is_done_and_name_the_worst(ready: OpenJob) -> None:
    ready.read("order", "clear", "wall", False)
    ready.read("order", "colour", "wall", "black")
    ready.skip("kept", "no spares")
    rows = overview_view.rows(ready, 60)
    assert plain_line(rows[0][0][0]) == "Small stage  1 of 3 done  ✕ FAIL 1"
    assert [check for _, check in rows] == [None, "nine", "order", "kept", "each"]
    assert "n/a" in plain_line(rows[3][0][0])
    assert all(len(plain_line(line)) <= 60 for lines, _ in rows for line in lines)
    assert overview_view.next_check(ready) == "each"  # on from where one is


def test_a_title_is_whole_where_it_is_longer_than_its_row(logbook: Logbook) -> None:
    job = on_small_wall(logbook, None)
    rows = overview_view.rows(job, 49)  # of a window of 80
    assert all(len(plain_line(line)) <= 49 for lines, _ in rows for line in lines)
    shown = {
        check: " ".join(plain_line(line)[13:].strip() for line in lines)
        for lines, check in rows
        if check is not None
    }
    assert shown == {check.id: check.title for check in job.state.checklist}


def test_what_waits_is_counted_as_agreed_as_in_every_count(logbook: Logbook) -> None:
    """The overview said two checks fewer than `job show`."""
    job = logbook.create(
        by="A. Technician", name="Side", client="C", integrator="I", wall_text=evening_wall()
    )
    waiting, judged = len(unsettled_checks(job.state)), len(job.outcomes())
    said = " ".join(plain_line(line) for line in overview_view.next_lines(job))
    assert waiting
    assert f" count: {judged + waiting} agreed, " in said
    assert f" n/a, {waiting} wait; h shows" in said


def test_what_is_next_says_whom_it_takes(logbook: Logbook) -> None:
    checklist = SMALL_CHECKLIST.replace(
        'id = "nine"', 'id = "nine"\nneeds = ["licensed electrician"]'
    )
    job = metered(on_small_wall(logbook, checklist))
    line = plain_line(overview_view.next_lines(job)[0])
    assert line.endswith("  with licensed electrician")
    for point in range(1, 10):
        job.read("nine", "luminance_cd_m2", f"point {point}", 600.0)
    assert "  with" not in plain_line(overview_view.next_lines(job)[0])


def test_what_is_next_is_what_the_walk_goes_on_to(ready: OpenJob) -> None:
    assert overview_view.next_check(ready) == "nine"  # nothing was read yet
    ready.read("order", "clear", "wall", True)
    assert overview_view.next_check(ready) == "nine"  # the one begun waits
    ready.read("order", "colour", "wall", "black")
    assert overview_view.next_check(ready) == check_after(ready, "order") == "kept"

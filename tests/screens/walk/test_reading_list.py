"""The readings beside the text of the walk: each can be told from the next in a narrow column."""

from __future__ import annotations

from commission_tui.logbook.logbook import OpenJob
from commission_tui.screens.terminal.styled_text import DASH, HERE, plain_line
from commission_tui.screens.walk.reading_list import reading_rows
from commission_tui.screens.walk.view import steps
from commission_tui.text import CUT

_WIDTH = 28
"""Of the column in a window of 80."""


def test_what_tells_two_readings_apart_is_seen_for_every_check_there_is(job: OpenJob) -> None:
    wall = job.state.wall
    for check in job.state.checklist:
        walk = steps(check, wall)[:120]
        rows = [plain_line(row) for row in reading_rows(job.state, check, walk, 0, (_WIDTH, 999))]
        assert max(map(len, rows), default=0) <= _WIDTH, check.id
        # Each ends with the sign of what was not read yet, in brackets where Enter passes over it.
        plain = [row.removesuffix(" optional").replace(f"({DASH})", DASH) for row in rows]
        names = " ".join(row[2:] for row in plain).split(f" {DASH}")[:-1]
        assert len(names) == len(walk), check.id
        assert len(set(names)) == len(walk), check.id
        assert not any(name.strip().startswith(CUT) for name in names), check.id


def test_the_current_place_is_there_however_little_room_there_is(job: OpenJob) -> None:
    check = job.state.checklist.check("contrast-from-seats")
    walk = steps(check, job.state.wall)
    for height in (3, 4, 7):
        for at in (0, 8, len(walk) - 1):
            rows = reading_rows(job.state, check, walk, at, (_WIDTH, height))
            assert len(rows) <= height
            (here,) = [n for n, row in enumerate(rows) if row[0][0].startswith(HERE)]
            assert walk[at].place.startswith(plain_line(rows[here])[2:12])


def test_a_line_that_enter_passes_over_is_marked(job: OpenJob) -> None:
    check = job.state.checklist.check("heat-and-air")
    walk = steps(check, job.state.wall)
    for width in (_WIDTH, 100):
        rows = [plain_line(r) for r in reading_rows(job.state, check, walk, 0, (width, 99))]
        marked = [f"({DASH})" in row for row in rows if DASH in row]
        assert marked == [step.is_optional for step in walk]
        assert sum("optional" in row for row in rows) == (3 if width == 100 else 0)

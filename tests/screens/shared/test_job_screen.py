"""The two lines on top of every screen of a job."""

from __future__ import annotations

from commission_tui.logbook.logbook import Logbook, OpenJob
from commission_tui.screens.shared.job_screen import heading
from commission_tui.screens.terminal.styled_text import (
    plain_line,
)


def test_the_heading_fits_and_marks_where_one_is(logbook: Logbook, ready: OpenJob) -> None:
    first, tabs = heading(ready, "walk", 50)
    assert len(plain_line(first)) == 50
    assert [text for text, role in tabs if role == "here"] == [" F3 Walk "]

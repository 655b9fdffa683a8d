"""What a change left in doubt: each change once, and how long reading again takes."""

from __future__ import annotations

import pytest

from commission_tui.checks.model.types import Verdict
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.judging.doubts import Change, Doubt
from commission_tui.logbook.logbook import Logbook, body
from commission_tui.screens.doubts.dialog import doubt_rows, doubts_title
from commission_tui.screens.terminal.styled_text import minutes_text, plain_line
from tests.screens.conftest import SMALL_CHECKLIST, on_small_wall
from tests.screens.helping import ROOMY, running, text_of, until

AT = "2026-06-10T20:00:00Z"


def doubt(title: str, left: int, of: int, change: str) -> Doubt:
    slots = tuple(("luminance_cd_m2", f"point {n}") for n in range(left))
    made = Change(change, AT, "A. Technician", "brightness level", "wall", change)
    return Doubt(title, title, slots, of, 10.0, made)


def test_a_change_is_said_once_above_what_rests_on_it() -> None:
    found = [
        doubt("Nine points", 9, 9, "level set to 40 %"),
        doubt("Each cabinet", 5, 72, "level set to 40 %"),
        doubt("Grey scale", 1, 1, "card at R1C1 exchanged"),
    ]
    rows = doubt_rows(found)
    assert [plain_line(line).strip() for line, _ in rows] == [
        "Since level set to 40 %",
        "10 min  Nine points  all 9 to read again",
        "10 min  Each cabinet  5 of 72 to read again",
        "Since card at R1C1 exchanged",
        "10 min  Grey scale  1 of 1 to read again",
    ]
    assert [doubt for _, doubt in rows] == [None, found[0], found[1], None, found[2]]
    assert plain_line(doubts_title(found)) == "3 results no longer good  30 min to read again"
    assert plain_line(doubts_title([])) == "No result is in doubt"


@pytest.mark.parametrize(
    ("minutes", "said"),
    [(4, "4 min"), (89, "89 min"), (90, "1.5 h"), (665, "11.1 h"), (120, "2 h")],
)
def test_how_long_is_said_as_people_say_it(minutes: float, said: str) -> None:
    assert minutes_text(minutes) == said


async def test_a_doubted_line_is_gone_to_and_marked_where_enough_others_were_read(
    logbook: Logbook,
) -> None:
    rests = 'title = "Each cabinet looked at"\nrests_on = ["module"]\nretest_where = "there"\n'
    text = SMALL_CHECKLIST.replace('title = "Each cabinet looked at"\n', rests)
    job = on_small_wall(logbook, text + "at_least = 3\n")
    for cell in job.state.wall.cabinets:
        job.read("each", "upright", str(cell), value=True)
    for at in ("R2C3 m1,1", "R1C2 m1,1"):
        job.record(body(e.PartFitted, part="module", location=at, serial=at, replaces="M"))
    assert job.outcome("each").verdict is not Verdict.OPEN
    async with running(logbook, job, size=ROOMY) as pilot:
        await pilot.press("d", "down", "enter")
        await until(pilot, lambda: " R1C2 " in text_of(pilot, "#asked"))
        rows = text_of(pilot, "#readings").splitlines()
        assert [row.split()[-3:] for row in rows if "again" in row] == [
            ["R1C2", "yes", "again"],
            ["R2C3", "yes", "again"],
        ]
        await pilot.press("n", "enter")  # and on to the next of them
        await until(pilot, lambda: " R2C3 " in text_of(pilot, "#asked"))

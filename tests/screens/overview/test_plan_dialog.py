"""The plan on the screen: minutes typed, what is there ticked, the list walked from its top."""

from __future__ import annotations

import pytest

from commission_tui.errors import InputError
from commission_tui.logbook.logbook import Logbook, OpenJob
from commission_tui.screens.overview import plan_dialog
from commission_tui.screens.overview.plan_dialog import PlanDialog
from commission_tui.screens.terminal.styled_text import plain_line
from commission_tui.screens.widgets.plain_input import PlainInput
from tests.screens.conftest import on_small_wall
from tests.screens.helping import put, running, text_of, walk_of


@pytest.mark.parametrize("typed", ["soon", "h", "min", "-5", "nan", "inf", "0", "90 km"])
def test_what_is_no_time_is_refused(ready: OpenJob, typed: str) -> None:
    assert plan_dialog.plan_for(ready, " ", ()) is None
    with pytest.raises(InputError, match=r"minutes: found .*, expected a time"):
        plan_dialog.plan_for(ready, typed, ())


def test_lines_say_what_blocks_and_what_there_is_no_time_for(ready: OpenJob) -> None:
    found = plan_dialog.plan_for(ready, "6", ())
    lines = [plain_line(line) for line, _ in plan_dialog.plan_rows(found, 60)]
    assert lines[0].startswith("   5 min ")
    assert "blocks nothing" not in lines[0]
    assert "No time for" in lines


def test_a_line_says_that_more_than_one_would_be_quicker(logbook: Logbook) -> None:
    job = on_small_wall(logbook, None)
    for there, slower in (("second person",), False), ((), True):
        found = plan_dialog.plan_for(job, "6000", ("power on", "house dark", *there))
        lines = [plain_line(line) for line, _ in plan_dialog.plan_rows(found, 60)]
        (pixels,) = [line for line in lines if "Pixel faults" in line]
        assert pixels.endswith("  slower alone") == slower


async def test_what_is_no_time_is_not_kept(logbook: Logbook, ready: OpenJob) -> None:
    async with running(logbook, ready) as pilot:
        for typed in ("40", "banana"):
            await pilot.press("t")
            await put(pilot, "#plan-minutes", typed)
            await pilot.press("escape")
        await pilot.press("t")
        await pilot.pause()
        assert pilot.app.screen.query_one("#plan-minutes", PlainInput).value == "40"


async def test_the_plan_leads_to_the_check(logbook: Logbook, ready: OpenJob) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("t")
        await put(pilot, "#plan-minutes", "6")
        assert "5 min for 1 thing," in text_of(pilot, "#plan-summary")
        for part in ("what is there", "goes on to the plan", "walks to the line"):
            assert part in text_of(pilot, ".box-title")
            await pilot.press("enter")
            await pilot.pause()
        walk_of(pilot)
        await pilot.press("f2", "t")
        await pilot.pause()
        assert isinstance(pilot.app.screen, PlanDialog)
        assert "5 min" in text_of(pilot, "#plan-summary")
        await pilot.press(*"90")  # what was kept gives way
        await pilot.pause()
        assert pilot.app.screen.query_one("#plan-minutes", PlainInput).value == "90"


async def test_enter_waits_for_a_time_and_space_ticks(logbook: Logbook, ready: OpenJob) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("t", *"soon", "enter")
        assert "found 'soon', expected a time such as 40" in text_of(pilot, "#plan-summary")
        assert pilot.app.focused is pilot.app.screen.query_one("#plan-minutes")
        await pilot.press("ctrl+u", *"60", "enter", "space", "enter", "escape")
        assert "power on" not in pilot.app.drafts["plan"]["there"]  # type: ignore[attr-defined]


def test_each_need_says_how_many_things_wait_for_it(ready: OpenJob) -> None:
    found = plan_dialog.plan_for(ready, "600", ())
    assert found is not None
    lines = dict(zip(plan_dialog.NEEDS, plan_dialog.need_lines((), found), strict=True))
    for need, line in lines.items():
        waiting = sum(need in lacks for _, lacks in found.lacking)
        assert plain_line(line).split()[-1] == (str(waiting) if waiting else need.split()[-1])
        assert len(plain_line(line)) <= 28
    assert any("1" in plain_line(line) for line in lines.values()) == bool(found.lacking)
    said = plain_line(plan_dialog.plan_summary(found))
    waits = "1 waits" if len(found.lacking) == 1 else f"{len(found.lacking) or 'none'} wait"
    beside = ", as many as stand beside it." if found.lacking else "."
    assert said.endswith(f"{waits} for what is not ticked{beside}")

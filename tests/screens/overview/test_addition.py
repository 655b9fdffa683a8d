"""A stage position that the wall file lacks is added from the overview, as a revision of the design."""

from __future__ import annotations

from commission_tui.checks.model.types import Verdict
from commission_tui.logbook.logbook import Logbook
from tests.screens.conftest import on_small_wall
from tests.screens.helping import everything, put, running, text_of, told


async def test_a_lectern_is_added_in_words_and_its_check_then_applies(logbook: Logbook) -> None:
    job = on_small_wall(logbook, None)
    check = next(
        c.id
        for c in job.state.checklist
        if "stage positions" in c.applies and job.outcome(c.id).verdict is Verdict.NOT_APPLICABLE
    )
    async with running(logbook, job) as pilot:
        pilot.app.walk_to(check)  # type: ignore[attr-defined]
        await pilot.pause()
        assert "The design names none. F2, then + adds one" in " ".join(everything(pilot).split())
        await pilot.press("f2", "plus")
        await pilot.pause()
        await pilot.press("enter")  # stage position is the first
        await pilot.pause()
        await pilot.press("enter")
        await pilot.pause()
        assert "expected" in text_of(pilot, "#form-error")
        await put(pilot, "#field-line", "Lectern")
        await pilot.press("enter", "enter")
        await pilot.pause()
        assert told(pilot)[-1] == "Added to the design: stage position"
    assert [position.name for position in job.state.wall.file.stage_positions] == ["Lectern"]
    assert job.state.designs[-1].body.reason == "stage position added on site"
    assert len(job.state.designs) == 2
    assert job.outcome(check).verdict is Verdict.OPEN

"""Parts fitted, exchanged from the shelf and changed about on the screen; what follows is offered."""

from __future__ import annotations

import pytest

from commission_tui.checks.model.types import Verdict
from commission_tui.logbook.logbook import Logbook, OpenJob
from commission_tui.logbook.state.parts import inventory, spare_body
from commission_tui.screens.doubts.dialog import DoubtsDialog
from commission_tui.screens.widgets.form import Form
from tests.screens.conftest import SMALL_CHECKLIST, on_small_wall
from tests.screens.helping import ROOMY, metered, put, running, text_of, told, walk_of


@pytest.fixture
def stocked(logbook: Logbook) -> OpenJob:
    """Each cabinet was looked at, which rests on its modules; one spare lies on the shelf."""
    text = SMALL_CHECKLIST.replace(
        'title = "Each cabinet looked at"\n',
        'title = "Each cabinet looked at"\nrests_on = ["module"]\nretest_where = "there"\n',
    )
    job = on_small_wall(logbook, text)
    metered(job)
    for cell in job.state.wall.cabinets:
        job.read("each", "upright", str(cell), value=True)
    job.record(spare_body(inventory(job.state), "module", "M-100", batch="B7"))
    return job


async def test_a_module_is_exchanged_from_the_shelf_and_what_follows_is_offered(
    logbook: Logbook, stocked: OpenJob
) -> None:
    async with running(logbook, stocked, size=ROOMY) as pilot:
        await pilot.press("f4", "right", "f", *"m1,2", "enter")
        await pilot.pause()
        assert "on the shelf: M-100" in text_of(pilot, ".box-notes")
        await put(pilot, "#field-serial", "M-100")
        await put(pilot, "#field-replaces", "M-7")
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert isinstance(pilot.app.screen, DoubtsDialog)
        assert "1 result to look at again" in told(pilot)[-1]
        await pilot.press("enter")
        await pilot.pause()
        assert walk_of(pilot).check_now.id == "each"
    (logged,) = stocked.state.parts
    assert (logged.body.location, logged.body.batch) == ("R1C2 m1,2", "B7")
    assert logged.body.from_spares
    assert stocked.outcome("each").to_do == (("upright", "R1C2"),)
    assert stocked.outcome("each").verdict is Verdict.OPEN


async def test_the_close_up_shows_the_serial_and_what_was_there_before(
    logbook: Logbook, stocked: OpenJob
) -> None:
    async with running(logbook, stocked, size=ROOMY) as pilot:
        await pilot.press("f4", "enter", "right", "f", "enter")
        await pilot.pause()
        assert "Module at R1C1 m1,2" in text_of(pilot, ".box-title")
        await put(pilot, "#field-serial", "M-1")
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert "no reading rested on it" in told(pilot)[-1]
        await pilot.press("f", "enter")
        await pilot.pause()
        await put(pilot, "#field-serial", "M-100")
        await pilot.press("ctrl+s")
        await pilot.pause()
        await pilot.press("escape")
        await pilot.pause()
        said = text_of(pilot, "#cabinet-lines")
        assert "module m1,2 M-100" in said
        assert "from the spares; before: M-1" in said


async def test_a_place_instead_of_a_serial_lets_two_modules_change_places(
    logbook: Logbook, stocked: OpenJob
) -> None:
    async with running(logbook, stocked) as pilot:
        for keys, serial in ((("f4", "f"), "M-1"), (("right", "f"), "M-2")):
            await pilot.press(*keys, *"m1,1", "enter")
            await put(pilot, "#field-serial", serial)
            await pilot.press("ctrl+s")
            await pilot.pause()
        await pilot.press("f", *"m1,1", "enter")
        await pilot.pause()
        await put(pilot, "#field-serial", "R9C9 m1,1")
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert "expected a cabinet of this wall" in text_of(pilot, "#form-error")
        await put(pilot, "#field-serial", "R1C1 m1,1")
        await pilot.press("ctrl+s")
        await pilot.pause()
    fitted = inventory(stocked.state).fitted
    assert fitted["module", "R1C1 m1,1"].serial == "M-2"
    assert fitted["module", "R1C2 m1,1"].serial == "M-1"


async def test_what_does_not_fit_is_said_and_nothing_is_logged(
    logbook: Logbook, stocked: OpenJob
) -> None:
    async with running(logbook, stocked) as pilot:
        await pilot.press("f4", "f", *"supply", "enter")
        await pilot.pause()
        for serial in ("", "M-100"):
            await put(pilot, "#field-serial", serial)
            await pilot.press("ctrl+s")
            await pilot.pause()
            assert isinstance(pilot.app.screen, Form)
            assert text_of(pilot, "#form-error")
    assert not stocked.state.parts


async def test_a_spare_is_put_on_the_shelf(logbook: Logbook, stocked: OpenJob) -> None:
    async with running(logbook, stocked) as pilot:
        await pilot.press("f4", "f", *"shelf", "enter")
        await pilot.pause()
        await put(pilot, "#field-serial", "M-100")
        await pilot.press("ctrl+s")
        assert "on the shelf already" in text_of(pilot, "#form-error")
        await put(pilot, "#field-serial", "M-101")
        await put(pilot, "#field-kept_at", "case 3")
        await pilot.press("ctrl+s")
        await pilot.pause()
    assert list(inventory(stocked.state).shelf) == ["M-100", "M-101"]

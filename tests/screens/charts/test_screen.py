"""The charts screen from the keyboard."""

from __future__ import annotations

import pytest

from commission_tui.logbook.entries import models as e
from commission_tui.logbook.logbook import Logbook, OpenJob, body
from commission_tui.screens.charts.screen import ChartsScreen, Plot
from tests.screens.helping import LEAST, ROOMY, everything, metered, running, text_of

GREY = ("grey-scale", "luminance_cd_m2")


@pytest.fixture
def grey(job: OpenJob) -> OpenJob:
    metered(job)
    for percent in range(0, 101, 10):
        job.read(*GREY, f"{percent} %", round(0.1 + 600 * (percent / 100) ** 2.2, 4))
    return job


@pytest.mark.parametrize("ascii_only", [False, True])
@pytest.mark.parametrize("size", [LEAST, ROOMY])
async def test_a_chart_is_drawn_with_its_sentence_and_legend(
    logbook: Logbook, grey: OpenJob, size: tuple[int, int], ascii_only: bool
) -> None:
    async with running(logbook, grey, size=size, ascii_only=ascii_only) as pilot:
        await pilot.press("f7")
        await pilot.pause()
        assert "11 grey steps against exponent 2.2" in text_of(pilot, "#chart-says")
        assert "measured" in text_of(pilot, "#chart-legend")
        shown = everything(pilot)
        assert shown.count("*" if ascii_only else "●") >= 8
        assert "500" in shown
        assert "signal %" in shown
        assert shown.isascii() is ascii_only


async def test_going_through_the_charts_by_arrow_and_number(
    logbook: Logbook, grey: OpenJob
) -> None:
    async with running(logbook, grey) as pilot:
        await pilot.press("f7", "right")
        await pilot.pause()
        assert "No chromaticity of white is read yet." in text_of(pilot, "#chart-says")
        assert not pilot.app.screen.query_one(Plot).display
        await pilot.press("5")
        await pilot.pause()
        assert "No point was read 3 times" in text_of(pilot, "#chart-says")
        await pilot.press("right")
        await pilot.pause()
        assert "No chromaticity of a cabinet is read yet." in text_of(pilot, "#chart-says")
        await pilot.press("right")
        await pilot.pause()
        assert "grey steps" in text_of(pilot, "#chart-says")
        assert pilot.app.screen.query_one(Plot).display


async def test_the_scale_changes_where_a_chart_has_both(logbook: Logbook, grey: OpenJob) -> None:
    async with running(logbook, grey) as pilot:
        await pilot.press("f7")
        await pilot.pause()
        before = everything(pilot)
        await pilot.press("s")
        await pilot.pause()
        await pilot.pause()
        assert everything(pilot) != before
        assert "600" in everything(pilot)


async def test_a_reading_logged_meanwhile_is_on_the_chart_at_once(
    logbook: Logbook, grey: OpenJob
) -> None:
    async with running(logbook, grey) as pilot:
        await pilot.press("f7")
        await pilot.pause()
        grey.read(*GREY, "5 %", 1.0)
        await pilot.pause()
        assert "12 grey steps" in text_of(pilot, "#chart-says")


async def test_a_visit_draws_the_drift(logbook: Logbook, job: OpenJob) -> None:
    metered(job)
    for level in (200.0, 190.0):
        job.read("cabinet-luminance", "luminance_cd_m2", "R1C1", level)
        if level == 200.0:
            job.record(body(e.VisitBegun, name="After a year"))
    async with running(logbook, job) as pilot:
        await pilot.press("f7", "4")
        await pilot.pause()
        assert isinstance(pilot.app.screen, ChartsScreen)
        assert "median -5.0 %" in text_of(pilot, "#chart-says")


async def test_charts_say_everything_without_colour(
    logbook: Logbook, grey: OpenJob, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("NO_COLOR", "1")
    async with running(logbook, grey) as pilot:
        await pilot.press("f7")
        await pilot.pause()
        assert "● measured" in text_of(pilot, "#chart-legend")
        assert "⠤ target, exponent 2.2" in text_of(pilot, "#chart-legend")

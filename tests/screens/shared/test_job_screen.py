"""What every screen of a job shares: the two lines on top, and that a change is drawn once."""

from __future__ import annotations

import pytest
from textual.app import App
from textual.dom import DOMNode

from commission_tui.logbook.actions.taking_back import last_acts, take_back
from commission_tui.logbook.logbook import Logbook, OpenJob
from commission_tui.screens.shared.entry_forms import named_acts
from commission_tui.screens.shared.job_screen import JobScreen, heading
from commission_tui.screens.terminal.styled_text import plain_line
from tests.screens.helping import running, told, until


def test_the_heading_fits_and_marks_where_one_is(logbook: Logbook, ready: OpenJob) -> None:
    first, tabs = heading(ready, "walk", 50)
    assert len(plain_line(first)) == 50
    assert [text for text, role in tabs if role == "here"] == [" F3 Walk "]


@pytest.mark.parametrize("key", ["f3", "f5", "f8"])
async def test_what_changed_is_drawn_once(
    key: str, logbook: Logbook, ready: OpenJob, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press(key)
        await pilot.pause()
        screen, drawn = pilot.app.screen, list[str]()
        assert isinstance(screen, JobScreen)
        monkeypatch.setattr(screen, "redraw", lambda: drawn.append(key))
        ready.skip("kept", "no spares")
        await pilot.pause()
        assert drawn == [key]


def test_readings_taken_back_together_are_said_once_and_others_each(ready: OpenJob) -> None:
    ready.record_all(
        [ready.reading("nine", "luminance_cd_m2", f"point {n}", 600.0) for n in range(1, 10)]
    )
    assert named_acts(ready, last_acts(ready.state)) == (
        "Brightness at nine points: 9 readings logged in one go, point 1 to point 9"
    )
    take_back(ready, last_acts(ready.state), "logged by mistake")
    ready.record_all(
        [ready.reading("nine", "luminance_cd_m2", f"point {n}", 600.0) for n in range(1, 3)]
    )
    assert "point 2: 600 cd/m², with" in named_acts(ready, last_acts(ready.state))


async def test_what_was_told_goes_with_its_screen(logbook: Logbook, ready: OpenJob) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("f3", "escape")
        await until(pilot, lambda: any("Back on the overview" in line for line in told(pilot)))
        await pilot.press("f5")
        await pilot.pause()
        assert told(pilot) == []
        await pilot.press("escape", "escape")
        await pilot.pause()
        assert not isinstance(pilot.app.screen, JobScreen)
        assert told(pilot) == []


async def test_a_screen_has_its_styles_once_when_it_opens(
    logbook: Logbook, ready: OpenJob, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Those of the window's size are there before its parts are: each would be styled and placed twice."""
    async with running(logbook, ready) as pilot:
        styled: list[str] = []
        update = App.update_styles

        def noting(app: App[None], node: DOMNode, animate: bool = True) -> None:
            if isinstance(node, JobScreen) and node.query("*"):
                styled.append(node.TAB)
            update(app, node, animate)

        monkeypatch.setattr(App, "update_styles", noting)
        await pilot.press("f3", "f4")
    assert styled == ["walk", "wall"]

"""Short ways to run the app in a test and to read what it shows."""

from __future__ import annotations

import unicodedata
from collections import deque
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from itertools import groupby
from pathlib import Path
from typing import Any, cast

import pytest
from textual import events
from textual.dom import DOMNode
from textual.keys import KEY_NAME_REPLACEMENTS
from textual.pilot import Pilot
from textual.screen import Screen
from textual.widgets import Input
from textual.worker import Worker
from textual.worker_manager import WorkerManager

from commission_tui.logbook.entries import models as e
from commission_tui.logbook.logbook import Logbook, OpenJob, body
from commission_tui.screens.app.app import CommissionApp
from commission_tui.screens.walk.screen import WalkScreen
from commission_tui.screens.widgets.text_lines import Painted
from tests.screens.drawing import drawn
from tests.screens.settling import settled

LEAST, ROOMY, TINY = (80, 24), (120, 40), (60, 15)


def metered(job: OpenJob) -> OpenJob:
    """Log an instrument that measures luminance."""
    job.record(
        body(
            e.Instrument,
            key="meter",
            name="Spot meter",
            serial="0042",
            accuracy={"cd/m2": {"percent": 2.0}},
        )
    )
    return job


class Typist(Pilot[None]):
    """Presses key after key, each once the screen is done with the one before, but text in a field at once.

    A screen drawn for each letter of a word is what tests of fields themselves are about.
    """

    async def press(self, *keys: str) -> None:
        """Press keys; of letters that follow each other where a field is, only the last is waited for."""
        for is_text, several in groupby(keys, key=_is_text):
            left = deque(several)
            while is_text and len(left) > 1:
                character = left.popleft()
                if isinstance(self.app.focused, Input):
                    self.app.post_message(events.Key(_key_name(character), character))
                else:
                    await super().press(character)
            await super().press(*left)

    async def _wait_for_screen(self, timeout: float = 30.0) -> bool:
        """Wait for all parts at once: asked one by one, each is woken to say that it had nothing to do."""
        await settled(most_s=timeout)
        return True


def _is_text(key: str) -> bool:
    return len(key) == 1


def _key_name(character: str) -> str:
    if character.isalnum():
        return character
    name = unicodedata.name(character).lower().replace("-", "_").replace(" ", "_")
    return KEY_NAME_REPLACEMENTS.get(name, name)


@asynccontextmanager
async def running(
    book: Logbook,
    job: OpenJob | None = None,
    *,
    size: tuple[int, int] = LEAST,
    export_dir: Path | None = None,
    ascii_only: bool = False,
) -> AsyncIterator[Pilot[None]]:
    """Run the app without a terminal."""
    app = CommissionApp(
        book, "A. Technician", job=job, export_dir=export_dir, ascii_only=ascii_only
    )
    app.reads_s = 0.0  # what answers here has read the question, however soon
    async with app.run_test(size=size) as pilot:
        await app.workers.wait_for_complete()
        await pilot.pause()
        yield Typist(app)
        drawn(pilot)


def app_of(pilot: Pilot[None]) -> CommissionApp:
    return cast("CommissionApp", pilot.app)


def screen_of(pilot: Pilot[None]) -> Screen[object]:
    return pilot.app.screen


def text_of(pilot: Pilot[None], selector: str) -> str:
    """Return what a painted text on the current screen says."""
    return pilot.app.screen.query_one(selector, Painted).plain


def caption_of(pilot: Pilot[None]) -> str:
    """Return what is said below the wall of the cabinet under the cursor."""
    return text_of(pilot, "#caption")


def everything(pilot: Pilot[None]) -> str:
    """Return every character on the screen, row by row."""
    return "\n".join(strip.text for strip in drawn(pilot))


def told(pilot: Pilot[None]) -> list[str]:
    """Return what the app has told in passing, oldest first; last what waits for an answer."""
    waits = app_of(pilot).questions.words
    notes = [str(note.message) for note in pilot.app._notifications]
    return [*notes, waits] if waits else notes


async def put(pilot: Pilot[None], selector: str, value: str) -> None:
    """Set a field's value, where typing itself is not the point."""
    pilot.app.screen.query_one(selector, Input).value = value
    await pilot.pause()


async def enter(pilot: Pilot[None], value: str) -> None:
    """Put a value into the walk's field and press Enter."""
    await put(pilot, "#value", value)
    await pilot.press("enter")
    await pilot.pause()


def walk_of(pilot: Pilot[None]) -> WalkScreen:
    screen = pilot.app.screen
    assert isinstance(screen, WalkScreen)
    return screen


async def until(pilot: Pilot[None], condition: Callable[[], bool], most_s: float = 60) -> None:
    """Wait for what comes by itself, and fail when it never does.

    To look is to draw: soon at first, then seldom, so that what is waited for has the processor.
    """
    waited_s, pause_s = 0.0, 0.01
    while not condition():
        if waited_s > most_s:
            raise AssertionError(f"never so; the screen:\n{everything(pilot)}")
        await pilot.pause(pause_s)
        waited_s += pause_s
        pause_s = min(1.3 * pause_s, 0.1)


def when_left(
    monkeypatch: pytest.MonkeyPatch, kind: type[Screen[Any]], then: Callable[[], None]
) -> None:
    """Do something as soon as the work of a dialog was asked to end because the dialog goes."""
    cancel = WorkerManager.cancel_node

    def cancelled(workers: WorkerManager, node: DOMNode) -> list[Worker[Any]]:
        ended = cancel(workers, node)
        if isinstance(node, kind):
            then()
        return ended

    monkeypatch.setattr(WorkerManager, "cancel_node", cancelled)

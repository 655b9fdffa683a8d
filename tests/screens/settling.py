"""Waiting until a screen has nothing left to do, by what its event loop has before it.

Textual's own tests look at the processor instead: on a busy machine it takes a screen that waits
its turn for one that is done, and every key costs two naps. Nor do they know when a picture is due: here
it is laid out as soon as nothing else is left to do, once for all that changed, and not by the clock.
"""

from __future__ import annotations

import asyncio
from time import monotonic
from typing import Any

import textual.app
import textual.pilot
import textual.screen
from textual._context import active_app
from textual.app import App

_SOON_S = 1 / 50
"""A timer this near belongs to what was begun."""
_PICTURE_S = 1 / 10
"""A screen's own pictures, for what comes while nobody waits here."""
_NAP_S = 1 / 1000
"""What a key waits for that is not the event loop's: a thread, a program."""


def wait_by_the_event_loop() -> None:
    """Let every key and pause of a test wait with `settled`."""
    for waiting in (textual.app, textual.pilot):
        waiting.wait_for_idle = settled  # type: ignore[attr-defined]
    textual.screen.UPDATE_PERIOD = _PICTURE_S  # type: ignore[misc]


async def settled(_least_s: float = 0, most_s: float = 1) -> None:
    """Return once no key is at work, no task can go on, no picture and no timer is due soon.

    A thread's work is not waited for, except where a key waits for it.
    """
    loop: Any = asyncio.get_running_loop()
    app = active_app.get(None)
    end = monotonic() + most_s
    while monotonic() < end:
        await asyncio.sleep(0)
        if loop._ready or (app is not None and await _picture_is_due(app)):
            continue
        takes_keys = getattr(app, "takes_keys", False)
        if takes_keys:
            end = monotonic() + most_s
        due = [timer.when() for timer in loop._scheduled if not timer.cancelled()]
        wait_s = min(due, default=end) - loop.time()
        if takes_keys:
            await asyncio.sleep(max(min(wait_s, _NAP_S), 0))
        elif wait_s > _SOON_S:
            return
        else:
            await asyncio.sleep(max(wait_s, 0))


async def _picture_is_due(app: App[Any]) -> bool:
    """Lay out the screens that changed; whether any had."""
    due = [screen for screen in app.screen_stack if screen._update_timer._active.is_set()]
    for screen in due:
        with screen._context():
            await screen._update_timer._tick(next_timer=0, count=0)
    return bool(due)

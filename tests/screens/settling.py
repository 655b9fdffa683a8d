"""Waiting until a screen has nothing left to do, by what its event loop has before it.

Textual's own tests look at the processor instead: on a busy machine it takes a screen that waits
its turn for one that is done, and every key costs two naps.
"""

from __future__ import annotations

import asyncio
from time import monotonic
from typing import Any

import textual.app
import textual.pilot
from textual._context import active_app

_SOON_S = 1 / 50
"""A timer this near belongs to what was begun: screens are drawn sixty times a second."""


def wait_by_the_event_loop() -> None:
    """Let every key and pause of a test wait with `settled`."""
    for waiting in (textual.app, textual.pilot):
        waiting.wait_for_idle = settled  # type: ignore[attr-defined]


async def settled(_least_s: float = 0, most_s: float = 1) -> None:
    """Return once no key is at work, no task can go on and no timer is due soon.

    A thread's work is not waited for, except where a key waits for it.
    """
    loop: Any = asyncio.get_running_loop()
    app = active_app.get(None)
    end = monotonic() + most_s
    while monotonic() < end:
        await asyncio.sleep(0)
        if getattr(app, "takes_keys", False):
            end = monotonic() + most_s
            continue
        if loop._ready:
            continue
        due = [timer.when() for timer in loop._scheduled if not timer.cancelled()]
        wait_s = min(due, default=end) - loop.time()
        if wait_s > _SOON_S:
            return
        await asyncio.sleep(max(wait_s, 0))

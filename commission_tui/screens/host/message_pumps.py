"""Waiting for the parts of a screen until each has done what was before it."""

from __future__ import annotations

import asyncio
from collections.abc import Sequence
from typing import Any

from textual.app import App
from textual.command import CommandPalette
from textual.message_pump import MessagePump
from textual.screen import Screen
from textual.widgets import Input, OptionList

AWAITED = "keys wait for this"
"""The group of workers without which a screen cannot take a key: those that fetch its list."""
_AT_MOST_S = 8.0
"""Whatever goes wrong, no longer: the key that quits works."""
_QUIET, _ROUNDS = 2, 50


class Rest:
    """The state in which nothing that a key set going is left: no message, no screen, no focus."""

    def __init__(self, app: App[None]) -> None:
        self._app = app
        self._shown: Screen[Any] | None = None

    async def reached(self) -> None:
        """Return once it is reached.

        Every part that acts on keys is asked to answer; until all have answered twice, with nothing
        before them and with screen and focus as they were, there is something still going on.
        """
        quiet, before, shown, app = 0, None, self._shown, self._app
        for _ in range(_ROUNDS):
            if not app.is_running or not app.screen_stack:
                return
            if app.screen is not shown:  # what it does once it is laid out belongs to the key
                shown = self._shown = app.screen
                await app.screen.wait_for_refresh()
            await fetched(app, AWAITED, _AT_MOST_S)
            pumps = that_act(app)
            idle = not any(pump.message_queue_size for pump in pumps)
            await all_answer(pumps, _AT_MOST_S)
            now = (app.screen_stack, app.focused, len(pumps))
            quiet = quiet + 1 if idle and now == before else 0
            if quiet == _QUIET:
                return
            before = now


async def all_answer(pumps: Sequence[MessagePump], at_most_s: float) -> None:
    """Return once each has done what was before it; or, should one never answer, after a while."""
    done = asyncio.Event()
    left = 0

    def answer() -> None:
        nonlocal left
        left -= 1
        if not left:
            done.set()

    left = sum(pump.call_later(answer) for pump in pumps)
    if left:
        try:
            await asyncio.wait_for(done.wait(), at_most_s)
        except TimeoutError:
            return


def that_act(app: App[None]) -> list[MessagePump]:
    """Return what a key goes through, and what it may have changed: fields and lists."""
    focused = app.focused.ancestors_with_self if app.focused else [app.screen, app]
    parts = app.screen.walk_children()
    fields = [part for part in parts if isinstance(part, Input | OptionList)]
    return list(dict.fromkeys([*focused, *fields]))


async def fetched(app: App[None], group: str, at_most_s: float) -> None:
    """Wait for lists that are still fetched: by workers of a group, of the palette's commands."""
    tasks = [
        asyncio.ensure_future(worker.wait())
        for worker in app.workers
        if worker.is_running and (worker.group == group or isinstance(worker.node, CommandPalette))
    ]
    if tasks:
        await asyncio.wait(tasks, timeout=at_most_s)

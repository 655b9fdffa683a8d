"""Waiting for the parts of a screen until each has done what was before it."""

from __future__ import annotations

import asyncio
from collections.abc import Sequence

from textual.app import App
from textual.command import CommandPalette
from textual.message_pump import MessagePump
from textual.widgets import Input, OptionList


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

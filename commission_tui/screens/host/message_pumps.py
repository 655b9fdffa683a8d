"""Waiting for the parts of a screen until each has done what was before it."""

from __future__ import annotations

import asyncio
from collections.abc import Sequence

from textual.message_pump import MessagePump


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

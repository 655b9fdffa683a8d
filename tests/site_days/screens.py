"""A part of a day's readings typed into the screens, as a person would."""

from __future__ import annotations

from typing import cast

from textual.widgets import Input

from commission_tui.screens.walk.screen import WalkScreen
from tests.screens.helping import running
from tests.site_days.days import Site


async def type_readings(site: Site, wanted: int) -> int:
    """Open the walk, answer what it asks, and return how many entries that made."""
    job = site.book.open(site.job, "A. Technician")
    before = len(job.state.entries)
    async with running(site.book, job, size=(120, 40)) as pilot:
        await pilot.press("n")
        await pilot.pause()
        for _ in range(wanted):
            walk = cast("WalkScreen", pilot.app.screen)
            step = walk.step_now
            if not isinstance(walk, WalkScreen) or step is None:
                await pilot.press("enter")  # nothing left of this check: on to the next
                await pilot.pause()
                continue
            value = site.value(step.field)
            typed = ("yes" if value else "no") if isinstance(value, bool) else str(value)
            walk.query_one("#value", Input).value = typed
            await pilot.press("enter")
            await pilot.pause()
            if walk.query_one("#value", Input).value:  # asked whether it is meant
                await pilot.press("enter")
                await pilot.pause()
    for person in site.people:
        person.refresh()
    return len(job.state.entries) - before

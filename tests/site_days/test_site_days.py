"""Two short days on site; `python -m tests.site_days.long_days` works for twenty-four."""

from __future__ import annotations

from pathlib import Path

from tests.site_days.days import Site
from tests.site_days.looking import look
from tests.site_days.screens import type_readings


async def test_days_of_random_work_are_handed_over_verified_and_read_back(tmp_path: Path) -> None:
    site = Site(tmp_path, "ci")
    try:
        site.day(60)
        before = len(site.people[0].state.entries)
        assert await type_readings(site, 12) > 0
        site.day_on_two_laptops(60)
        assert len(site.people[0].state.entries) > before
        assert site.done["merged"] > 0
        assert site.done["read"] > 20
        assert look(site, tmp_path) > 120
    finally:
        site.close()

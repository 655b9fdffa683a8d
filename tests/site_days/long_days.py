"""Twenty-four days on site, unattended, then handed over, verified and read back.

Run ``python -m tests.site_days.long_days [--days 24] [--steps 400] [--seed 1]``.
"""

from __future__ import annotations

import argparse
import asyncio
import resource
import tempfile
import time
from pathlib import Path

from tests.site_days.days import Site
from tests.site_days.looking import look
from tests.site_days.screens import type_readings

_SECOND_LAPTOP_EVERY = 4
_TYPED_A_DAY = 20


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--days", type=int, default=24)
    asked.add_argument("--steps", type=int, default=400, help="things done a day")
    asked.add_argument("--seed", default="1")
    given = asked.parse_args()
    begun, typed = time.monotonic(), 0
    with tempfile.TemporaryDirectory() as scratch:
        folder = Path(scratch)
        site = Site(folder, given.seed)
        for day in range(1, given.days + 1):
            typed += asyncio.run(type_readings(site, _TYPED_A_DAY))
            two = day % _SECOND_LAPTOP_EVERY == 0
            (site.day_on_two_laptops if two else site.day)(given.steps)
            _say(f"day {day}: {len(site.people[0].state.entries)} entries", begun)
        entries = look(site, folder)
        _say(f"{entries} entries, {typed} of them typed into the screens; all holds", begun)
        _say(", ".join(f"{name} {count}" for name, count in sorted(site.done.items())), begun)
        site.close()


def _say(text: str, begun: float) -> None:
    most_mb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"{text} ({time.monotonic() - begun:.0f} s, {most_mb:.0f} MB)", flush=True)  # noqa: T201


if __name__ == "__main__":
    main()

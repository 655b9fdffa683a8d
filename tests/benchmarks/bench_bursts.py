"""How often a script of keys in one burst logs something else than key by key: MINUTES SEED.

On a new job it should never. On one with readings it may, by the rules of the walk: behind a correction
one goes back to where one was, unless lines wait for the next; a blank line of a list leads nowhere. So
each script has a job of its own. As many scripts are made from the seed, 1 if none is given, as the minutes allow, 8
if none are given. Also: how long a key takes in a burst, to when it has done its work.
"""

from __future__ import annotations

import sys
import tempfile
import time
from pathlib import Path

from hypothesis import HealthCheck, Phase, given, seed, settings

from tests.screens.host.test_bursts import SCRIPTS, player

MINUTES, SEED = 8.0, 1
_MOST_SCRIPTS = 10_000


def main(minutes: float, begin: int) -> None:
    """Compare until the minutes are over; end with the first script that differs."""
    count, keys_sent, entries, seconds = 0, 0, 0, 0.0
    ends = time.perf_counter() + 60 * minutes

    @seed(begin)
    @settings(
        max_examples=_MOST_SCRIPTS,
        deadline=None,
        database=None,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    @given(SCRIPTS)
    def compare(keys: list[str]) -> None:
        nonlocal count, keys_sent, entries, seconds
        if time.perf_counter() > ends:
            return
        with (
            tempfile.TemporaryDirectory() as one,
            tempfile.TemporaryDirectory() as two,
            player(Path(one)) as burst,
            player(Path(two)) as slow,
        ):
            count += 1
            begun = time.perf_counter()
            burst.burst(keys)
            seconds += time.perf_counter() - begun
            keys_sent += len(keys)
            slow.slowly(keys)
            entries += len(burst.logged())
            assert burst.logged() == slow.logged(), keys
            assert burst.last["at"] == slow.last["at"], keys

    compare()
    sys.stdout.write(
        f"{count} scripts from seed {begin}, {keys_sent} keys, {entries} entries: the same in a burst and slowly"
        + "\n"
    )
    sys.stdout.write(
        f"{seconds / keys_sent * 1000:.1f} ms a key in a burst, answers to questions included"
        + "\n"
    )


if __name__ == "__main__":
    said = sys.argv[1:]
    main(float(said[0]) if said else MINUTES, int(said[1]) if said[1:] else SEED)

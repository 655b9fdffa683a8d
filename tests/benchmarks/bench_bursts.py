"""How often a script of keys in one burst logs something else than key by key: MINUTES SEED.

It should never. As many scripts are made from the seed, 1 if none is given, as the minutes allow, 8
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
    count, keys_sent, seconds = 0, 0, 0.0
    ends = time.perf_counter() + 60 * minutes
    with (
        tempfile.TemporaryDirectory() as one,
        tempfile.TemporaryDirectory() as two,
        player(Path(one)) as burst,
        player(Path(two)) as slow,
    ):

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
            nonlocal count, keys_sent, seconds
            begun = time.perf_counter()
            if begun > ends:
                return
            count += 1
            burst.burst(keys)
            seconds += time.perf_counter() - begun
            keys_sent += len(keys)
            slow.slowly(keys)
            assert burst.logged() == slow.logged(), keys

        compare()
        entries = len(burst.logged())
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

"""How often a script of keys in one burst logs something else than key by key: EXAMPLES, default 200.

It should never. Also: how long a key takes in a burst, to when it has done its work.
"""

from __future__ import annotations

import sys
import tempfile
import time
from pathlib import Path

from hypothesis import HealthCheck, Phase, given, settings

from tests.screens.host.test_bursts import SCRIPTS, player


def main() -> None:
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 200
    keys_sent, seconds = 0, 0.0
    with (
        tempfile.TemporaryDirectory() as one,
        tempfile.TemporaryDirectory() as two,
        player(Path(one)) as burst,
        player(Path(two)) as slow,
    ):

        @settings(
            max_examples=count,
            deadline=None,
            phases=[Phase.generate],
            suppress_health_check=list(HealthCheck),
        )
        @given(SCRIPTS)
        def compare(keys: list[str]) -> None:
            nonlocal keys_sent, seconds
            begun = time.perf_counter()
            burst.burst(keys)
            seconds += time.perf_counter() - begun
            keys_sent += len(keys)
            slow.slowly(keys)
            assert burst.logged() == slow.logged(), keys

        compare()
        entries = len(burst.logged())
    sys.stdout.write(
        f"{count} scripts, {keys_sent} keys, {entries} entries: the same in a burst and slowly"
        + "\n"
    )
    sys.stdout.write(
        f"{seconds / keys_sent * 1000:.1f} ms a key in a burst, answers to questions included"
        + "\n"
    )


if __name__ == "__main__":
    main()

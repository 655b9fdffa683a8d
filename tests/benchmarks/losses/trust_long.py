"""Tear the log and merge random histories many more times than CI does.

Run ``python -m tests.benchmarks.losses.trust_long [TEARS] [MERGES]``.
"""

from __future__ import annotations

import os
import subprocess
import sys

TESTS = (
    "tests/logbook/store/test_torn_log.py",
    "tests/logbook/integrity/test_merge.py::test_any_order_and_any_number_of_times_gives_the_same_job",
)


def main() -> None:
    tears = sys.argv[1] if len(sys.argv) > 1 else "3000"
    merges = sys.argv[2] if len(sys.argv) > 2 else "500"
    done = subprocess.run(
        [sys.executable, "-m", "pytest", "-q", "--durations=5", *TESTS],
        env={**os.environ, "LOG_TEARS": tears, "MERGE_EXAMPLES": merges},
        check=False,
    )
    sys.exit(done.returncode)


if __name__ == "__main__":
    main()

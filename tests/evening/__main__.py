"""Play the evening and print the keys of each part and the plan: ``python -m tests.evening``."""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

from tests.evening.evening import MINUTES, Evening


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        evening = Evening(Path(folder))
        evening.play()
    for what, count in [*evening.tally.of.items(), ("all", evening.tally.all)]:
        sys.stdout.write(
            f"{what:<26} {count.keys:>5} keys, {count.besides:>4} besides digits" + "\n"
        )
    minutes = sum(minutes for _, minutes in evening.planned)
    sys.stdout.write(f"planned: {minutes:g} of {MINUTES} minutes" + "\n")
    for check, needed in evening.planned:
        sys.stdout.write(f"  {needed:>3g} min  {check}" + "\n")


if __name__ == "__main__":
    main()

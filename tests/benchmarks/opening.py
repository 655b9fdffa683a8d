"""Open a job of a logbook on the screens, as `commission-tui` does: LOGBOOK JOB."""

from __future__ import annotations

import sys
from pathlib import Path


def main() -> None:
    from commission_tui.cli.output import Session

    Session(Path(sys.argv[1]), "A. Technician").open_screens(sys.argv[2])


if __name__ == "__main__":
    main()

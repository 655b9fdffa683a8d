"""Open the newest job of a logbook on the screens: what `commission-tui` does once it knows the job."""

from __future__ import annotations

import sys
from pathlib import Path


def main() -> None:
    from commission_tui.cli.output import Session

    session = Session(Path(sys.argv[1]), "A. Technician")
    with session.logbook() as book:
        job_id = book.store.jobs()[0][0]
    session.open_screens(job_id)


if __name__ == "__main__":
    main()

"""A method that only the tests of the screens have, and work in a process that knows it too."""

from __future__ import annotations

import os
import threading
from collections.abc import Mapping
from typing import Any

from commission_tui import subprocess_job
from commission_tui.checks.model.types import CheckInput, Outcome, Verdict
from commission_tui.checks.registry import method
from commission_tui.errors import DocumentError
from commission_tui.subprocess_job import Files, TellStep

REFUSED = "COMMISSION_TUI_TEST_REFUSED"
"""Set in the environment, work that never ends is refused instead."""


@method()
def screens_test_answers(data: CheckInput) -> Outcome:
    """Fail when any answer is no."""
    noes = tuple(
        place
        for field in data.readings.values()
        for place, reading in field.items()
        if reading.value is False
    )
    if noes:
        return Outcome(Verdict.FAIL, f"no at {', '.join(noes)}", where=noes)
    return Outcome(Verdict.PASS, "every answer is right")


def pages(request: Mapping[str, Any], tell: TellStep) -> Files:
    """Work that never ends, as deep as a typesetter can be, or is refused."""
    if os.environ.get(REFUSED):
        raise DocumentError("document: the typesetter refused it")
    tell(1, 4, "reading the logbook")
    tell(2, 4, f"gathering in process {os.getpid()}")
    threading.Event().wait()
    return {}


export = draft = pages

if __name__ == "__main__":
    subprocess_job.main()

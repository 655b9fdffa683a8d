from __future__ import annotations

import pytest

from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.entry_factory import body
from commission_tui.logbook.job import OpenJob


@pytest.fixture
def metered(job: OpenJob) -> OpenJob:
    """Return a job with a meter of luminance and of colour."""
    accuracy = {"cd/m2": {"percent": 2}, "xy": {"absolute": 0.002}}
    job.record(body(e.Instrument, key="m", name="Meter", serial="1", accuracy=accuracy))
    return job

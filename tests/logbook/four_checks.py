"""A job on the demo wall with a checklist of four checks, and an instrument."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from commission_tui.logbook.entries import models as e
from commission_tui.logbook.logbook import Logbook, OpenJob, body
from tests.checks.helping import FELLMOOR

CHECKLIST = """
order = 50
id = "light"
title = "Light"

[[checks]]
id = "level"
title = "Level at nine points"
why = "w"
do = ["d"]
method = "in_limits"
rests_on = ["brightness level", "cabinet"]
retest_where = "there"
needs = ["house dark"]
minutes = 9
retest = "All nine points again."
[[checks.fields]]
name = "luminance_cd_m2"
label = "Luminance"
per = "nine points"
unit = "cd/m2"
high = 5000
measured = true
[[checks.limits]]
name = "luminance_cd_m2"
label = "Luminance"
unit = "cd/m2"
from_target = "luminance_cd_m2"
minus_percent = 10
source = "s"
standing = "common practice"

[[checks]]
id = "tiles"
title = "Every cabinet"
why = "w"
do = ["d"]
method = "in_limits"
rests_on = ["module", "brightness level"]
retest_where = "there and around"
minutes = 72
[[checks.fields]]
name = "seen"
label = "Seen"
kind = "yes-no"
per = "cabinet"

[[checks]]
id = "label"
title = "Label"
why = "w"
do = ["d"]
method = "in_limits"
blocks_acceptance = false
minutes = 2
[[checks.fields]]
name = "read"
label = "Readable"
kind = "yes-no"

[[checks]]
id = "again"
title = "Level again"
why = "w"
do = ["d"]
method = "in_limits"
applies = ["revisit"]
baseline = "level"
minutes = 9
[[checks.fields]]
name = "luminance_cd_m2"
label = "Luminance"
per = "nine points"
unit = "cd/m2"
"""
POINTS = [f"point {n}" for n in range(1, 10)]
METER = {
    "key": "meter",
    "name": "Spot meter",
    "serial": "0042",
    "accuracy": {"cd/m2": {"percent": 2.0, "repeatability_percent": 0.5}},
}


@pytest.fixture
def job(tmp_path: Path) -> Iterator[OpenJob]:
    book = Logbook(tmp_path / "course.db")
    opened = book.create(
        by="A. Technician",
        name="Course",
        client="Client",
        integrator="Firm",
        wall_text=FELLMOOR.read_text(encoding="utf-8"),
        checklist_files={"50-light.toml": CHECKLIST},
    )
    opened.record(body(e.Instrument, **METER))
    yield opened
    book.close()


def read_level(job: OpenJob, value: float, check: str = "level") -> None:
    for point in POINTS:
        job.read(check, "luminance_cd_m2", point, value)

"""A small wall, a small checklist with a method of its own, and a job on them."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from commission_tui import subprocess_job
from commission_tui.logbook.logbook import Logbook, OpenJob
from tests.screens import answers
from tests.screens.drawing import only_when_looked_at, style_sheets_read_once
from tests.screens.helping import metered
from tests.screens.settling import wait_by_the_event_loop

os.environ.pop("COMMISSION_TUI_COLOURS", None)

wait_by_the_event_loop()

SMALL_WALL = """
[wall]
name = "Side wall"
site = "Fellmoor Town Hall"
mounting = "stacked"
[cabinet_types.A]
width_mm = 500
height_mm = 500
width_px = 100
height_px = 100
module_columns = 2
module_rows = 2
weight_kg = 8
power_max_w = 100
[grid]
columns = 4
rows = 2
type = "A"
[processor]
ports = 2
pixels_per_port = 650000
[[chains]]
port = 1
block = "R1C1:R2C4"
pattern = "rows, serpentine, from top left"
[[circuits]]
name = "LP1"
phase = "L1"
voltage_v = 230
breaker_a = 16
cabinets = ["R1C1:R2C4"]
[targets]
luminance_cd_m2 = 600
"""

SMALL_CHECKLIST = """
order = 1
id = "small"
title = "Small stage"

[[checks]]
id = "nine"
title = "Brightness at nine points"
why = "A number ends the argument."
do = ["Show white.", "Log nine points."]
pattern = "white"
instrument = "Luminance meter"
cautions = ["White is dazzling: look away."]
method = "nine_point_brightness"
suspect = ["Level below 100 %"]
[[checks.fields]]
name = "luminance_cd_m2"
label = "Luminance on white"
per = "nine points"
unit = "cd/m2"
low = 1
high = 10000
measured = true
[[checks.limits]]
name = "mean_cd_m2"
label = "Mean luminance"
unit = "cd/m2"
from_target = "luminance_cd_m2"
minus_percent = 10
plus_percent = 10
source = "tender"
standing = "contract"
[[checks.limits]]
name = "min_to_max"
label = "Lowest over highest"
low = 0.9
source = "common practice, no published source"
standing = "common practice"

[[checks]]
id = "order"
title = "Nothing temporary left"
why = "It stays for years."
do = ["Look."]
method = "screens_test_answers"
[[checks.fields]]
name = "clear"
label = "Nothing temporary left"
kind = "yes-no"
[[checks.fields]]
name = "colour"
label = "Colour of the cable ties"
kind = "choice"
choices = ["black", "white", "blue"]

[[checks]]
id = "kept"
title = "Where spares are kept"
why = "Somebody must find them."
do = ["Ask."]
method = "screens_test_answers"
[[checks.fields]]
name = "place"
label = "Place"
kind = "text"

[[checks]]
id = "each"
title = "Each cabinet looked at"
why = "One upside down is one too many."
do = ["Look at each."]
method = "screens_test_answers"
[[checks.fields]]
name = "upright"
label = "Upright"
kind = "yes-no"
per = "cabinet"
"""


@pytest.fixture(scope="package", autouse=True)
def screens_without_a_terminal() -> Iterator[None]:
    """Save what nobody sees. Elsewhere (an evening, attacks, days on site) every change is drawn."""
    with pytest.MonkeyPatch.context() as patch:
        only_when_looked_at(patch)
        style_sheets_read_once(patch)
        yield


@pytest.fixture(autouse=True)
def work_that_knows_the_method(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let work in a process of its own know the method that only these tests have."""
    monkeypatch.setattr(subprocess_job, "COMMAND", (sys.executable, "-P", "-m", answers.__name__))


def on_small_wall(logbook: Logbook, checklist: str | None = SMALL_CHECKLIST) -> OpenJob:
    """Open a job on the small wall with one checklist, or with the shipped ones."""
    return logbook.create(
        by="A. Technician",
        name="Fellmoor side wall",
        client="Fellmoor Council",
        integrator="Tarn & Fell Integration",
        wall_text=SMALL_WALL,
        checklist_files=None if checklist is None else {"small.toml": checklist},
    )


@pytest.fixture
def small(logbook: Logbook) -> OpenJob:
    """A job on the small wall with the small checklist and nothing recorded."""
    return on_small_wall(logbook)


@pytest.fixture
def ready(small: OpenJob) -> OpenJob:
    """The same with a luminance meter."""
    return metered(small)


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    found = tmp_path / "meters"
    found.mkdir()
    monkeypatch.chdir(found)
    yield found
    monkeypatch.undo()

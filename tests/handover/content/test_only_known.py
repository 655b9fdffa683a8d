"""The document of a wall of which hardly anything is stated says nothing that nobody stated."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from commission_tui.handover.content.document_inputs import Context
from commission_tui.handover.drawings.drawing_list import drawings
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.entry_parts import Accuracy
from commission_tui.logbook.entries.ids_and_clock import IdSource
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.logbook import Logbook
from tests.handover.helping import Clock, document_data, facts_of, make_job, rows_of, under

BARE = """
[wall]
name = "Bare wall"
mounting = "stacked"

[cabinet_types.A]
width_mm = 500
height_mm = 500
width_px = 192
height_px = 192
weight_kg = 8
power_max_w = 150

[grid]
columns = 3
rows = 2
type = "A"

[processor]
ports = 4
pixels_per_port = 600000

[[chains]]
port = 1
block = "R1C1:R2C3"
pattern = "rows, serpentine, from top left"

[[circuits]]
name = "A1"
phase = "L1"
voltage_v = 230
breaker_a = 16
cabinets = ["R1C1:R2C3"]

[[inputs]]
name = "Laptop"
connector = "HDMI 1"
width_px = 576
height_px = 384
frame_rate_hz = 50
"""
INVENTED = re.compile(
    r"0\.3127|0\.329\b|D65|exponent \d|\b(8|10|12) bit|4:[24]:[024]|(full|limited) range"
    r"|60 Hz|60 frames|\bbackup|residual|\b1 × 1\b|processor,|= \d|with cameras and front light"
)
"""What stands in the wall file's defaults, or was once written as if it were so everywhere."""
ASKED = frozenset(
    {
        *("Limits agreed", "Results", "Maintenance, visits to come and warranty", "Cautions"),
        "Acceptance",
    }
)
"""Chapters that say what is asked, by which limits, and what there is to beware of; all others say how the
wall is, so that nothing may stand there that nobody stated or measured."""
ASKED_TITLES = re.compile(
    r"(not done|does not apply|not met|not decided)\.?$|^Spares, backups, training and documents$"
    r"|Not settled whether there is: [^.]*, in no other count\.$|^Settle whether there is "
)
"""A line that names a check by its title, in the list of what is left, or a stage, or what nobody settled."""
KINDS_OF_FACT = {
    "white point": r"0\.3127",
    "coding": r"10 bit|4:2:2|limited range",
    "backup": r"P7",
    "light": r"exponent 2\.2",
    "rate": r"60 Hz",
    "residual current": r"30 mA",
    "panel": r"LP1, stage left",
    "cable": r"2\.5 mm²",
    "presets": r"House preset",
    "seat": r"24 m",
    "refresh": r"3840 Hz",
    "typical power": r"3\.96 kW",
}
"""What a wall file that states it makes the document say."""


@pytest.fixture
def bare(tmp_path: Path) -> OpenJob:
    book = Logbook(tmp_path / "book.db", Clock(), IdSource(lambda bits: 1 << bits - 1))
    return book.create(
        by="Ines Okafor", name="Bare", client="The client", integrator="The firm", wall_text=BARE
    )


def told(document: dict[str, Any], said: re.Pattern[str]) -> dict[str, list[str]]:
    """Return chapter to its lines in which something stands, of those that say how the wall is."""
    parts = {one["title"]: one for one in (*document["cards"], *document["chapters"])}
    return {
        part: lines
        for part, there in {**parts, "Cover": document["cover"]}.items()
        if part not in ASKED
        and (
            lines := [
                words
                for words in texts(there)
                if said.search(words) and not ASKED_TITLES.search(words)
            ]
        )
    }


def metered(job: OpenJob) -> OpenJob:
    accuracy = {"xy": Accuracy(absolute=0.002), "cd/m2": Accuracy(percent=2.0)}
    job.record(e.Instrument(key="m", name="Meter", serial="1", accuracy=accuracy))
    return job


def texts(data: Any) -> Iterator[str]:
    if isinstance(data, str):
        yield data
    elif isinstance(data, dict):
        for value in data.values():
            yield from texts(value)
    elif isinstance(data, list):
        for value in data:
            yield from texts(value)


def test_nothing_is_invented(bare: OpenJob) -> None:
    assert told(document_data(bare), INVENTED) == {}


@pytest.mark.parametrize("kind", KINDS_OF_FACT)
def test_each_kind_of_fact_is_found_where_it_is_stated_and_only_there(
    bare: OpenJob, tmp_path: Path, kind: str
) -> None:
    """So that the search cannot pass by looking where nothing stands."""
    said = re.compile(KINDS_OF_FACT[kind])
    (tmp_path / "whole").mkdir()
    assert told(document_data(make_job(tmp_path / "whole")), said) != {}
    assert told(document_data(bare), said) == {}
    assert not any(said.search(made.caption + made.alt) for _, made in drawings(Context(bare)))


def test_what_is_not_stated_is_said_so(bare: OpenJob) -> None:
    document = document_data(bare)
    facts = facts_of(under(document, "As built"))
    for label in ("Power, typical", "Bits and frame rate", "Refresh"):
        assert facts[label] == "not stated", label
    assert facts["Processor"] == "4 ports"
    assert facts["Pitch"] == "2.6042 mm (500 mm / 192 px)"
    (port,) = rows_of(under(document, "Ports and chains"))
    assert port["Return"] == "not stated"
    (item,) = rows_of(under(document, "Inputs"))
    assert item["Coding"] == "coding not stated"
    (kind,) = rows_of(under(document, "Cabinet types"))
    assert kind["Modules"] == "not stated"
    assert "No power factor is stated for A: taken as 1." in str(document)
    (circuit,) = rows_of(under(document, "Circuits"))
    assert (circuit["Cable"], circuit["Measured"]) == ("not stated", "not read")
    sheet = facts_of(under(document, "Content specification", "facts"))
    for label in ("Frame rate", "White of the wall", "Curve from signal to light"):
        assert sheet[label] == "not stated", label
    _, grey, white = under(document, "Text, grey and white")
    assert white == "White at the house level: not measured."
    assert "not measured" in grey


def test_a_measured_white_is_said_to_be_measured(bare: OpenJob) -> None:
    metered(bare)
    for point, x in (("point 1", 0.31), ("point 2", 0.312)):
        bare.read("white-point", "x", point, x, confirmed=True)
        bare.read("white-point", "y", point, 0.33, confirmed=True)
    sheet = facts_of(under(document_data(bare), "Content specification", "facts"))
    assert sheet["White of the wall"] == "x 0.3110, y 0.3300, measured, mean of 2 points"


def test_charts_aim_at_nothing_that_was_not_agreed(bare: OpenJob) -> None:
    metered(bare)
    for percent, level in (("0 %", 0.1), ("50 %", 120.0), ("100 %", 600.0)):
        bare.read("grey-scale", "luminance_cd_m2", percent, level, confirmed=True)
    bare.read("white-point", "x", "point 1", 0.31, confirmed=True)
    bare.read("white-point", "y", "point 1", 0.33, confirmed=True)
    drawn = {made.name: made.caption for _, made in drawings(Context(bare))}
    assert drawn["grey-scale"] == "3 grey steps; the design states no exponent."
    assert "target" not in drawn["white-points"]
    assert not any(INVENTED.search(text) for text in drawn.values()), json.dumps(drawn)

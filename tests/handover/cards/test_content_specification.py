"""What the makers of pictures read is what the first page and the results say."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from commission_tui.checks.places.places import NINE_POINTS
from commission_tui.logbook.actions.scope_actions import change_setting
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.entry_parts import Accuracy
from commission_tui.logbook.job import OpenJob
from tests.handover.helping import document_data, facts_of, make_job, under


@pytest.fixture
def job(tmp_path: Path) -> OpenJob:
    job = make_job(tmp_path)
    for unit, percent in (("cd/m2", 2.0), ("ms", 5.0)):
        accuracy = {unit: Accuracy(percent=percent)}
        job.record(
            e.Instrument(
                key=f"of-{unit[:2]}", name=f"Meter of {unit}", serial="M-1", accuracy=accuracy
            )
        )
    return job


def white_lines(document: dict[str, Any]) -> list[str]:
    return [line for line in under(document, "Text, grey and white") if "hite" in line]


def test_the_level_of_white_is_that_of_the_first_page(job: OpenJob) -> None:
    job.read("front-light", "wall_white_cd_m2", "wall", 203.0)
    (said,) = white_lines(document_data(job))
    assert said == "White at the house level: 203 cd/m² as measured."
    for point in NINE_POINTS:
        job.read("house-level", "luminance_cd_m2", point, 199.0)
    document = document_data(job)
    bright = facts_of(document["cover"]["facts"])["How bright"]
    assert "White at the house level, nine points: 199.0 cd/m²" in bright
    (said,) = white_lines(document)
    assert said == "White at the house level: 199.0 cd/m², mean of nine points."
    change_setting(job, "brightness level", "60 %")
    (said,) = white_lines(document_data(job))
    assert said == "White at the house level: measured, and no longer good, it is to be 200 cd/m²."
    cover = facts_of(document_data(job)["cover"]["facts"])
    assert (
        cover["How bright"]
        == cover["How even"]
        == ("not known: it was measured, and is no longer good since brightness level set to 60 %")
    )


def test_sound_that_is_not_decided_is_not_said_to_be_within_its_limit(job: OpenJob) -> None:
    for seat, offset in (("nearest seat", 45.0), ("middle seat", 30.0), ("farthest seat", 12.0)):
        job.read("sound-picture", "offset_ms", seat, offset, confirmed=True)
    assert job.outcome("sound-picture").verdict == "marginal"
    said = under(document_data(job), "Sound")[-1]
    assert "every seat is within" not in said.removeprefix("Whether every seat is within")
    assert "is not decided: see the results" in said


def test_what_no_further_point_can_mend_is_missed_on_the_first_page(job: OpenJob) -> None:
    """The mean of points still to be read is not known; darkest over brightest can only fall."""

    def cover() -> dict[str, str]:
        return facts_of(document_data(job)["cover"]["facts"])

    for point in NINE_POINTS[:4]:
        job.read("house-level", "luminance_cd_m2", point, 400.0, confirmed=True)
    part = "not known: it was measured in part"
    assert (cover()["How bright"], cover()["How even"]) == (part, part)
    job.read("house-level", "luminance_cd_m2", NINE_POINTS[4], 300.0, confirmed=True)
    assert cover()["How bright"] == part
    assert cover()["How even"] == (
        "White at the house level, nine points, so far, measured in part: the darkest point is 75 % "
        "as bright as the brightest (limit: at least 0.9, not met)."
    )
    change_setting(job, "brightness level", "60 %")
    assert "no longer good since brightness level" in cover()["How even"]

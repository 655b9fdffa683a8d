"""What makes the document a pleasure to read: parts found by page, words without code in them.

Made up for this test: nothing here comes from outside.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from commission_tui.checks.model.types import Limit, Standing
from commission_tui.handover.content.results import FigureRow, _with_lead
from commission_tui.handover.drawings.chart_drawing import plotted
from commission_tui.handover.figure_text import Printing
from commission_tui.logbook.charts.chart_model import Chart, Series
from commission_tui.logbook.entries import models as e
from tests.handover.filled_job import filled
from tests.handover.helping import (
    document_data,
    export_alone,
    export_pdf,
    make_job,
    pdf_text,
    photo,
    rows_of,
    squeezed,
    under,
)


def test_no_limit_of_the_document_is_named_by_code(tmp_path: Path) -> None:
    rows = rows_of(under(document_data(make_job(tmp_path)), "Limits agreed"))
    assert rows
    for row in rows:
        name = row["Limit"].partition(":")[0]
        assert "_" not in name
        assert name[:1].isupper()


def named(*names: str) -> list[FigureRow]:
    return [FigureRow(name, "1", "", "", "", "") for name in names]


@pytest.mark.parametrize(
    ("names", "lead", "rest"),
    [
        (("cards on P1", "cards on P2"), "cards", ["P1", "P2"]),
        (("load of port 1", "load of port 2"), "load", ["port 1", "port 2"]),
        (("gap at A", "time at B"), "", ["gap at A", "time at B"]),
        (("gap A", "gap B"), "", ["gap A", "gap B"]),
        (("gap on port", "gap on port 2"), "gap", ["port", "port 2"]),
        (("gap on port 2",), "", ["gap on port 2"]),
        (
            ("level at R1C1 against the record", "level at R2C1 against the record"),
            "level at … against the record",
            ["R1C1", "R2C1"],
        ),
        (
            ("margin of the main run, lowest", "margin of the main run, highest"),
            "margin of the main run",
            ["lowest", "highest"],
        ),
        (
            ("margin of the main run, lowest", "margin of the spare, lowest"),
            "margin of the … lowest",
            ["main run", "spare"],
        ),
        (("gap on port P1 of P1", "gap on port P1"), "gap on port", ["P1 of P1", "P1"]),
    ],
)
def test_words_that_all_figures_begin_with_are_said_once(
    names: tuple[str, ...], lead: str, rest: list[str]
) -> None:
    said, items = _with_lead(named(*names))
    assert said == lead
    assert [item.name for item in items] == rest
    assert [item.value for item in items] == ["1"] * len(names)


@pytest.mark.parametrize(
    ("value", "unit", "text"),
    [
        (1 / 60, "s", "1/60 s"),
        (1 / 50, "s", "0.02 s"),
        (1.8, "s", "1.8 s"),
        (0.0123456789, "s", "0.0123456789 s"),
        (1 / 3, "m", "0.333333333333 m"),
    ],
)
def test_a_shutter_time_is_printed_as_it_was_set(value: float, unit: str, text: str) -> None:
    assert Printing(us=False).value(value, unit) == text


def test_an_exception_says_why_it_was_taken(tmp_path: Path) -> None:
    items = under(document_data(filled(tmp_path)), "The faults that are still there")
    taken = next(item for item in items if item["state"] == "accepted")
    assert taken["said"][-1].startswith(
        "Accepted by Marit Hollis, 8 Jun 2026. Not seen from row 1."
    )


@pytest.mark.parametrize(
    ("source", "standing", "said"),
    [
        ("common practice, no published source", "common practice", True),
        ("distance in u'v': common practice, no published source", "common practice", True),
        ("maker's sheet; the margin is common practice", "maker", True),
        ("the processor maker's capacity", "maker", False),
        ("IEC 62368-1", "standard", False),
    ],
)
def test_the_standing_of_a_source_is_added_where_it_is_not_said(
    source: str, standing: Standing, said: bool
) -> None:
    assert Limit("level", "", source, standing).names_standing is said


def test_a_line_at_the_least_reading_stands_clear_of_the_frame() -> None:
    """Over 0 a curve keeps a step below it; one that begins at 0 keeps its floor."""

    def ticks(*values: float) -> bytes:
        points = tuple(enumerate(values))
        series = (Series("read", "points", points),)
        return plotted(Chart("k", "T", "What it shows.", "x", "y", series)).svg

    assert b">98</text>" in ticks(107.0, 104.0, 100.0)
    assert b">-" not in ticks(8.0, 4.0, 0.0)


@pytest.mark.outside
def test_the_cover_says_on_which_page_each_part_begins(tmp_path: Path) -> None:
    """Read with poppler's pdftotext."""
    pages = pdf_text(export_pdf(filled(tmp_path)), tmp_path).split("\f")[:-1]
    cover = squeezed(pages[0])
    for part in ("Acceptance", "Results", "Operator's card", "Appendix: every reading"):
        began = next(
            number
            for number, page in enumerate(pages[1:], start=2)
            if any(line.strip() == part for line in page.splitlines())
        )
        assert squeezed(f"{part}{began}") in cover


@pytest.mark.outside
def test_the_card_takes_the_largest_type_that_one_page_holds(tmp_path: Path) -> None:
    """Read with poppler's pdftotext; with a hundred people to call it takes more pages."""
    job = make_job(tmp_path)
    assert pdf_text(export_alone(job, "card"), tmp_path).count("\f") == 1
    for number in range(100):
        job.record(
            e.Person(name=f"Person {number}", role="service", phone=f"01632 960 {number:03}")
        )
    crowded = pdf_text(export_alone(job, "card"), tmp_path)
    assert crowded.count("\f") == 3
    assert all(f"Person {number}," in crowded for number in range(100))
    assert "Leave as it is" in crowded


def test_a_later_visit_names_its_readings_as_they_are_asked_for(tmp_path: Path) -> None:
    job = filled(tmp_path)
    job.record(e.VisitBegun(name="30 days"))
    for point in ("point 1", "point 2"):
        job.read("brightness", "luminance_cd_m2", point, 590.0, confirmed=True)
    job.read("brightness", "room_cd_m2", "wall", 0.05, confirmed=True)
    drifts = rows_of(under(document_data(job), "Read at the same places"))
    rows = {row["Reading"]: row for row in drifts}
    labels = {item.label for item in job.state.checklist.check("brightness").fields}
    assert set(rows) <= labels
    drift = rows["Luminance on full white"]
    assert drift["Left the common drift by more than 5 %"] == "none: they moved as one"
    assert drift["Places"] == "2"
    job.read("brightness", "luminance_cd_m2", "point 2", 480.0, confirmed=True)
    drifts = rows_of(under(document_data(job), "Read at the same places"))
    drift = next(row for row in drifts if row["Reading"] == "Luminance on full white")
    assert drift["Moved"] == "not alike"
    said = drift["Left the common drift by more than 5 %"]
    assert said.startswith("point 2 -20")
    assert "point 1" in said
    assert said.endswith("no common drift")


def test_a_later_visit_says_which_faults_came_back_and_of_which_nothing_was_logged(
    tmp_path: Path,
) -> None:
    job = make_job(tmp_path)
    for place in ("R1C1", "R1C2"):
        job.fault("cabinet dark", place, "stop")
    for action in ("mended", "verified"):
        job.work(job.state.faults[0], action)
    job.record(e.VisitBegun(name="Two weeks"))
    job.work(job.state.faults[0], "reopened")
    document = document_data(job)
    counts = under(document, "Faults")
    assert "Came back: 1. Known, and logged again: 0. Known, nothing logged" in counts
    back, nobody = under(document, "Faults", "bullets")
    assert back.startswith("Came back: No. 1 cabinet dark")
    assert nobody.startswith("Known, nothing logged of it since: No. 2 cabinet dark")


@pytest.mark.outside
def test_a_cover_with_a_long_name_and_a_photo_keeps_to_its_page(tmp_path: Path) -> None:
    """Read with poppler's pdftotext; Letter is the lower of the two papers."""
    name = "The second auditorium of the town hall of Fellmoor and of its surroundings"
    changes = [("[wall]\n", '[wall]\nunits = "us"\n')]
    job = make_job(tmp_path, name=f"{name}: {name.lower()}", changes=changes)
    job.photo(photo(tmp_path), caption="The wall")
    pages = pdf_text(export_pdf(job), tmp_path).split("\f")
    assert "Appendix: every reading" in pages[0]
    assert pages[1].count("On one page") == 1

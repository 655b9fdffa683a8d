"""A job in US units prints them alone; the list of limits has the metric figure beside it."""

from __future__ import annotations

import html
import io
import re
from pathlib import Path

import ezdxf.filemanagement
import pytest

from commission_tui.checks.judgement import conclude, judged
from commission_tui.checks.model.types import Limit
from commission_tui.handover.content.document_inputs import Context
from commission_tui.handover.drawings.drawing_list import drawings
from commission_tui.handover.figure_text import Printing, us_limit, us_outcome, us_text
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.entry_factory import body
from commission_tui.logbook.job import OpenJob
from tests.handover.helping import export_dxf, export_html, export_pdf, fill, make_job, pdf_text

SOURCE = "common practice, no published source"
METRIC = re.compile(r"\d (?:mm|m|lx|kN|kg|°C|N·m|mm/m)(?![\w/·²³])")
"""A figure in a unit that a US job has another one for."""


def limit(unit: str, low: float | None = None, high: float | None = None, label: str = "") -> Limit:
    return Limit("x", unit, SOURCE, "common practice", low, high, label)


# 1 in = 25.4 mm, 1 fc = 1 lm/ft² = 10.7639 lx, 1 lbf = 4.44822 N, 1 ft·lbf = 1.355818 N·m:
# NIST SP 811 (2008), appendix B.8.
@pytest.mark.parametrize(
    ("given", "said"),
    [
        (limit("lx", 500, 1000), "46.5 to 92.9 fc (500 to 1000 lx)"),
        (limit("mm", high=3), "at most 0.118 in (3 mm)"),
        (limit("mm", 5989, 6011), "235.787 to 236.654 in (5989 to 6011 mm)"),
        (limit("°C", high=70), "at most 158 °F (70 °C)"),
        (limit("K", high=3), "at most 5.4 °F (3 K)"),
        (limit("mm/m", high=1), "at most 0.012 in/ft (1 mm/m)"),
        (limit("K", high=200, label="Colour temperature from the mean"), "at most 200 K"),
        (limit("mm", high=60, label="Focal length"), "at most 60 mm"),
        (limit("cd/m2", 540, 660), "540 to 660 cd/m²"),
    ],
)
def test_a_limit_has_the_unit_beside_it(given: Limit, said: str) -> None:
    assert Printing(us=True).limit(given) == said
    assert Printing(us=False).limit(given) == str(given)


def test_a_rounded_limit_never_passes_the_value_beside_it() -> None:
    """3 mm is 0.11811 in: 0.118 in would make a failure of 2.999 mm, which is 0.11807 in."""
    low, high = 2.999, 3.0005
    assert us_limit(limit("mm", high=3), low).high == pytest.approx(0.1181, abs=1e-9)
    for value in (low, high):
        told = us_limit(limit("mm", high=3), value).high
        assert told is not None
        assert (value / 25.4 <= told) == (value <= 3)


def test_what_is_built_and_read_is_said_in_feet_and_footcandles() -> None:
    us, metric = Printing(us=True), Printing(us=False)
    assert us.value(500.0, "lx") == "46.5 fc"
    assert us.value(552.0, "lx", 17.0) == "51.3 ± 1.6 fc"
    assert us.value(22.6, "°C", 0.43) == "72.68 ± 0.77 °F"
    assert metric.value(500.0, "lx") == "500 lx"
    # 500 mm is 19.685 in.
    assert us.size(500, 500) == "1' 7 11/16\" × 1' 7 11/16\""
    assert metric.size(500, 500) == "500 × 500 mm"
    assert us.length(250) == '9 13/16"'
    assert us.value("behind the pillar", "") == "behind the pillar"


def test_a_reason_says_what_its_figures_say() -> None:
    figure = judged("step at R4C2", 0.15, "mm", limit=limit("mm", high=0.1), expanded=0.022)
    said = us_outcome(conclude([figure], next_step="Bring it below 0.1 mm; a lens of 60 mm stays."))
    assert said.verdict == conclude([figure]).verdict
    assert said.reason == "Step at R4C2 0.00591 in exceeds the limit of 0.00394 in"
    assert said.figures[0].number in said.reason
    assert said.next_step == "Bring it below 0.00394 in; a lens of 60 mm stays."


@pytest.mark.parametrize(
    ("metric", "us"),
    [
        (
            "Point H1: predicted load 2.2 kN is over its rated 2 kN",
            "495 lbf is over its rated 450 lbf",
        ),
        ("0 to 40 °C in the room", "32 to 104 °F in the room"),
        ("a pitch of 2.6 mm is not 2.5 mm (500 mm / 200 px)", "a pitch of 2.6 mm is not 2.5 mm"),
        ("Level 18 m down, 3 mm/m", "Level 59.1 ft down, 0.036 in/ft"),
        ("54 ms, 3 min, 600 cd/m2, 2.5 mm²", "54 ms, 3 min, 600 cd/m2, 2.5 mm²"),
        ("A white of 6540 K", "A white of 6540 K"),
    ],
)
def test_a_sentence_of_the_program(metric: str, us: str) -> None:
    assert us in us_text(metric)
    assert Printing(us=False).words(metric) == metric


@pytest.fixture(scope="module")
def job(tmp_path_factory: pytest.TempPathFactory) -> OpenJob:
    changes = [
        ('mounting = "flown"', 'mounting = "flown"\nunits = "us"'),
        ("cable_mm2 = 2.5", "cable_awg = 12"),
    ]
    made = fill(make_job(tmp_path_factory.mktemp("us"), changes=changes))
    cells = {"key": "cells", "name": "Load cells", "serial": "1"}
    made.record(body(e.Instrument, **cells, accuracy={"kN": {"percent": 1}}))
    made.read("suspension-loads", "load_kn", "H1", 0.92, confirmed=True)
    return made


@pytest.mark.outside
def test_pages_and_drawings_have_no_metric_figure(job: OpenJob, tmp_path: Path) -> None:
    """The words are read by poppler's pdftotext. Left are pitches, lenses, limits and sources."""
    text = pdf_text(export_pdf(job), tmp_path)
    built = text[text.index("Cabinet types") : text.index("Certificates from third")]
    of_pixels = re.compile(r"px|pitch|F500")
    lines = [line for line in built.splitlines() if not of_pixels.search(line)]
    assert [line for line in lines if METRIC.search(line)] == []
    assert re.search(r"1124 lbf 202 lbf 207 lbf", built)
    for _, drawing in drawings(Context(job)):
        assert not METRIC.search(drawing.svg.decode()), drawing.name
    assert "19' 8 1/4\"" in html.unescape(export_html(job).decode())


@pytest.mark.outside
def test_a_drawing_for_other_programs_is_in_inches(job: OpenJob) -> None:
    """Read back with PyPI ``ezdxf``; 1 stands for inches (DXF reference, $INSUNITS)."""
    drawn = ezdxf.filemanagement.read(io.StringIO(export_dxf(job).decode("utf-8")))
    assert drawn.header["$INSUNITS"] == 1
    boxes = [x for x in drawn.modelspace() if x.dxf.layer == "cabinets"]
    across = [point[0] for box in boxes for point in box.get_points("xy")]  # type: ignore[attr-defined]
    assert max(across) - min(across) == pytest.approx(6000 / 25.4)

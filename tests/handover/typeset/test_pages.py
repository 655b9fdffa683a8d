"""Each page of the document says what it is there for, and no page appears without its data."""

from __future__ import annotations

import struct
import zlib
from pathlib import Path

import pytest

from commission_tui.checks.places.places import places
from commission_tui.demo import demo_pictures
from commission_tui.handover.content.document_inputs import Context
from commission_tui.handover.drawings.chart_drawing import plotted
from commission_tui.handover.drawings.drawing_list import drawings
from commission_tui.logbook.charts.chart_model import Chart, Series
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.entry_parts import Accuracy
from commission_tui.logbook.job import OpenJob
from tests.handover.filled_job import filled
from tests.handover.helping import document_data, facts_of, make_job, rows_of, sign, under


@pytest.fixture
def job(tmp_path: Path) -> OpenJob:
    job = filled(tmp_path)
    job.record(
        e.Instrument(
            key="colour",
            name="Colorimeter",
            serial="CO-0788",
            accuracy={"xy": Accuracy(absolute=0.002), "m": Accuracy(absolute=0.01)},
        )
    )
    return job


def test_the_one_page_counts_the_job_and_says_what_holds_it_up(job: OpenJob) -> None:
    said = document_data(job)
    facts = facts_of(under(said, "On one page", "facts-narrow"))
    assert facts["Punch list"].startswith("4 found: 1 put right and looked at again, 1 mended")
    assert under(said, "What to do next")[0].startswith("Do the checks that are not done: ")
    assert "Look again at no. 2, dark seam at R3C9 right." in under(said, "What to do next")
    assert under(said, "Exceptions, if it were signed now")
    assert len(under(said, "On one page", "stages")["rows"]) == len(job.state.checklist.stages)


def test_the_lists_of_the_one_page_stay_short_and_say_how_much_is_left_out(job: OpenJob) -> None:
    said, heading = document_data(job), "Exceptions, if it were signed now"
    assert [one["No."] for one in rows_of(under(said, heading))] == [*map(str, range(1, 13))]
    left = len(job.acceptance().left) - 12
    assert under(said, heading, "quiet") == f"{left} more are listed under Exceptions."


def test_what_a_client_signed_for_is_not_called_a_hindrance(job: OpenJob) -> None:
    sign(job, "client", "Marit Hollis", exceptions=3)
    assert document_data(job)["exceptions"]["title"] == "Exceptions that the client took"


def test_certificates_name_what_was_written_down_and_only_that(job: OpenJob) -> None:
    assert under(document_data(job), "Certificates") == []
    job.read("suspension-certificate", "person", "wall", "Kaspar Lind", confirmed=True)
    job.read("suspension-certificate", "in_date", "wall", True, confirmed=True)
    (row,) = rows_of(under(document_data(job), "Certificates"))
    assert row["Content"] == "Competent person: Kaspar Lind"
    assert row["Recorded by"].startswith("Ines Okafor, ")
    assert row["Verdict"] == "open"


def test_how_the_meter_was_used_stands_beside_the_instruments(job: OpenJob) -> None:
    job.read("meter-set-up", "distance_m", "wall", 4.5, confirmed=True)
    said = facts_of(under(document_data(job), "How the wall was read"))
    assert said["Meter to wall"] == "4.5 m"


def test_one_instrument_entered_twice_is_one_row(job: OpenJob) -> None:
    for key in ("watch-1", "watch-2"):
        job.record(e.Instrument(key=key, name="Stopwatch", serial="ST-04", accuracy={}))
    rows = rows_of(under(document_data(job), "Instruments and method"))
    assert sum(row["Instrument"] == "Stopwatch" for row in rows) == 1


def test_fields_read_at_the_same_places_stand_side_by_side(job: OpenJob) -> None:
    for field, value in (("luminance_cd_m2", 201.0), ("x", 0.312), ("y", 0.329)):
        job.read("module-swap", field, "before", value, confirmed=True)
    tables = under(document_data(job), "Appendix: every reading")
    (table,) = [table for table in tables if "module" in table["check"].lower()]
    assert len(table["heads"]) == 3
    assert [cell["value"] for cell in table["rows"][0]["cells"]] == [
        "201 ± 4.3 cd/m²",
        "0.312 ± 0.0022",
        "0.329 ± 0.0022",
    ]


def test_a_failure_that_was_tried_has_its_gap_on_paper(job: OpenJob) -> None:
    job.read("chain-break", "went_dark", "P1", "none", confirmed=True)
    tables = under(document_data(job), "Single failures tried")
    assert [row["place"] for table in tables for row in table["rows"]] == ["P1"]


def test_the_card_leaves_out_answers_that_help_nobody_in_the_dark(job: OpenJob) -> None:
    place = places("control point", job.state.wall)[0]
    job.read("blackout", "how", place, "Key BLACK", confirmed=True)
    tables = under(document_data(job), "Blackout")
    assert [c["value"] for t in tables for r in t["rows"] for c in r["cells"]] == ["Key BLACK"]


def test_faults_are_drawn_where_they_are(job: OpenJob) -> None:
    made = {drawing.name: drawing.svg for _, drawing in drawings(Context(job))}
    assert made["faults"].count(b"<circle") == 1  # the one pixel
    assert made["faults"].count(b"<polyline") == 1  # the one seam


def test_colour_is_mapped_from_what_each_cabinet_read(job: OpenJob) -> None:
    assert "colour" not in {drawing.name for _, drawing in drawings(Context(job))}
    for place, x in (("R1C1", 0.3127), ("R1C2", 0.3137)):
        job.read("cabinet-luminance", "x", place, x, confirmed=True)
        job.read("cabinet-luminance", "y", place, 0.329, confirmed=True)
    made = {drawing.name: drawing for _, drawing in drawings(Context(job))}
    # u'v' of both by CIE 15:2018 formula 8.9, u' = 4x/(-2x+12y+3): half of their distance apart.
    assert "most 0.0004 in u'v'" in made["colour"].caption


def test_the_warm_up_is_drawn_from_its_own_check(job: OpenJob) -> None:
    for place, level in (("0 min", 215.0), ("10 min", 206.0), ("30 min", 200.0)):
        job.read("warm-up-drift", "luminance_cd_m2", place, level, confirmed=True)
    made = {drawing.name: drawing for _, drawing in drawings(Context(job))}
    assert made["warm-up"].caption.startswith(
        "From 107.5 % of the last reading to 100 % in 30 min."
    )


@pytest.mark.parametrize("values", [(1.0, 1.0), (0.0, 0.0), (-3.0, 1e8), (0.0, 1e-8)])
def test_a_chart_holds_whatever_numbers_there_are(values: tuple[float, float]) -> None:
    points = tuple((float(n), value) for n, value in enumerate(values))
    chart = Chart("k", "Title", "says", "x", "y", (Series("measured", "points", points),))
    svg = plotted(chart).svg.decode()
    assert svg.count("<circle") == 2
    assert "nan" not in svg
    assert "inf" not in svg


def test_a_picture_of_the_demo_is_a_png_that_any_packer_reads() -> None:
    content = demo_pictures.drawn("stuck pixel")
    at, packed = 8, b""
    while at < len(content):
        (length,) = struct.unpack_from(">I", content, at)
        kind = content[at + 4 : at + 8]
        packed += content[at + 8 : at + 8 + length] if kind == b"IDAT" else b""
        assert (
            zlib.crc32(content[at + 4 : at + 8 + length])
            == struct.unpack_from(">I", content, at + 8 + length)[0]
        )
        at += length + 12
    assert len(zlib.decompress(packed)) == 270 * (1 + 480 // 2)


def test_a_spare_that_is_fitted_leaves_the_shelf_whatever_was_ticked(tmp_path: Path) -> None:
    job = make_job(tmp_path)
    job.record(e.SparePut(part="module", serial="M-1"))
    job.record(e.PartFitted(part="module", location="R1C1 m1,1", serial="M-1", replaces="M-0"))
    assert under(document_data(job), "Spares on the shelf") == []
    job.record(e.SparePut(part="module", serial="M-1"))
    spares = rows_of(under(document_data(job), "Spares on the shelf"))
    assert [one["Serial"] for one in spares] == ["M-1"]

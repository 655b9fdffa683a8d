"""Jobs off the usual path: mixed walls, corrections of every kind, photos that are gone."""

from __future__ import annotations

import io
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from PIL import Image

from commission_tui.checks.places.places import NINE_POINTS
from commission_tui.handover.outline import outline
from commission_tui.logbook.actions.photograph_log import log_tiles
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.entry_parts import Accuracy
from commission_tui.logbook.integrity.audit_trail import trail
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.logbook import Logbook
from commission_tui.logbook.store.photos import KeptPicture
from commission_tui.wall.mapping.observed.observation import Observation
from tests.handover.filled_job import filled
from tests.handover.helping import (
    Clock,
    document_data,
    every_check,
    export_html,
    export_pdf,
    facts_of,
    make_job,
    pdf_text,
    photo,
    rows_of,
    squeezed,
    under,
)
from tests.handover.signing_help import A_SMALL_WALL, TWO_CHECKS

MIXED = """
[wall]
name = "Banner"
mounting = "stacked"
[cabinet_types.A]
width_mm = 500
height_mm = 500
width_px = 192
height_px = 192
weight_kg = 8
power_max_w = 150
[cabinet_types.B]
width_mm = 500
height_mm = 1000
width_px = 168
height_px = 168
weight_kg = 14
power_max_w = 300
[[placements]]
position = "R1C1"
type = "A"
x_mm = 0
y_mm = 0
x_px = 0
y_px = 0
[[placements]]
position = "R2C1"
type = "B"
x_mm = 0
y_mm = 500
x_px = 0
y_px = 192
rotation_deg = 180
[[placements]]
position = "R3C1"
type = "A"
x_mm = 0
y_mm = 1500
x_px = 0
y_px = 360
[processor]
ports = 2
pixels_per_port = 650000
load_rule = "rectangle"
[[chains]]
port = 1
order = ["R1C1", "R2C1", "R3C1"]
[[circuits]]
name = "A1"
phase = "L1"
voltage_v = 120
breaker_a = 20
cable_awg = 12
cabinets = ["R1C1", "R3C1"]
[canvas]
width_px = 192
height_px = 552
"""


@pytest.fixture
def mixed(tmp_path: Path) -> OpenJob:
    book = Logbook(tmp_path / "book.db", Clock())
    return book.create(by="I. O.", name="Banner", client="C", integrator="I", wall_text=MIXED)


def test_a_mixed_wall_says_each_pitch_and_what_is_not_lit(mixed: OpenJob) -> None:
    document = document_data(mixed)
    facts = facts_of(under(document, "As built"))
    # 500/192 = 2.60417; 500/168 = 2.97619; 1000/168 = 5.95238: no short decimal is exact.
    assert facts["Pitch"] == (
        "2.6042 mm (500 mm / 192 px); 2.9762 mm (500 mm / 168 px) across, "
        "5.9524 mm (1000 mm / 168 px) down"
    )
    assert facts["Power, typical"] == "not stated"
    assert "The load is counted as the rectangle round the cabinets." in str(document)
    assert rows_of(under(document, "Ports and chains"))[0]["Load, px"] == f"{192 * 552:,}"
    circuit = rows_of(under(document, "Circuits"))[0]
    assert (circuit["Cable"], circuit["Cabinets"]) == ("12 AWG", "R1C1, R3C1")
    content = facts_of(under(document, "Content specification", "facts"))
    missing = 192 * 552 - 2 * 192 * 192 - 168 * 168
    assert content["Canvas without LEDs"].startswith(f"{missing} px (x 168 to 191, y 192 to 359)")
    assert content["Safe area for text"].endswith("crosses canvas without LEDs")
    names = [row["Template"] for row in rows_of(under(document, "Template sizes")[0])]
    # The upper half is rows 0 to 275, and R2C1 leaves x 168 to 191 dark from 192 on.
    assert "Upper half, crosses canvas without LEDs" in names
    text, *_ = under(document, "Text, grey and white")
    assert text == "No farthest seat is in the design and no reading stands."


def test_a_mixed_wall_is_set_and_shown(mixed: OpenJob, tmp_path: Path) -> None:
    text = squeezed(pdf_text(export_pdf(mixed), tmp_path))
    assert "2.6042mm(500mm/192px)" in text
    assert "(1)A1,phaseL1" in text
    assert b"2.6042 mm (500 mm / 192 px)" in export_html(mixed)


def test_corrections_of_every_kind_are_said_in_words(tmp_path: Path) -> None:
    job = filled(tmp_path)
    opened, design = (
        next(k for k, v in sorted(job.state.entries.items()) if v.body.kind == kind)
        for kind in ("job-opened", "design")
    )
    spot = job.state.instruments["spot"]
    chosen = job.record(e.InstrumentChosen(instrument="spot", units=("cd/m2",)))
    taken = job.photo(photo(tmp_path), caption="before")
    note = job.record(e.Note(text="typo"))
    skip = next(k for k, v in job.state.entries.items() if v.body.kind == "not-applicable")
    fault = job.state.faults[3]
    work = job.state.faults[1].work[0]
    job.correct(opened, replace(job.state.title, client="The Council"), "name")
    job.correct(design, replace(job.state.designs[0].body, reason="x"), "reason")
    due = replace(spot.body, calibration_due=date(2027, 1, 2))
    job.correct(spot.id, due, "certificate read wrong")
    job.correct(chosen.id, None, "not needed")
    assert isinstance(taken.body, e.Photo)
    job.correct(taken.id, replace(taken.body, caption="after"), "caption")
    job.correct(note.id, e.Note(text="right"), "typo")
    job.correct(skip, None, "it was ordered after all")
    job.correct(fault.id, replace(fault.found.body, severity="near"), "less")
    job.correct(work.id, replace(work.body, note="both locks"), "more")
    rows = rows_of(under(document_data(job), "Corrections"))
    said = [(row["Was written"], row["Became"]) for row in rows][1:]
    job_words = (
        "job Fellmoor Town Hall, main auditorium, client {}, integrator Tarnside Integration"
    )
    meter = (
        "instrument Luminance meter, 1 degree, serial LM-2045, calibration due {}, for cd/m²: ±2 %"
    )
    camera = "fault 4: bands or moire on camera at wall, {} (camera 2 at 1/100 s)"
    skipped = (
        "Picture holds when a main cable is pulled: does not apply: no redundant return was ordered"
    )
    assert said == [
        (job_words.format("Fellmoor Town Council"), job_words.format("The Council")),
        ("the wall file", "the wall file"),
        (meter.format("31 May 2026"), meter.format("2 Jan 2027")),
        ("instrument spot chosen for cd/m2", "withdrawn"),
        ("photo wall.jpg: before", "photo wall.jpg: after"),
        ("note: typo", "note: right"),
        (skipped, "withdrawn"),
        (camera.format("shows"), camera.format("near")),
        ("work on a fault: mended: lock closed", "work on a fault: mended: both locks"),
    ]


def test_a_withdrawn_fault_keeps_its_number_and_the_punch_list_says_so(tmp_path: Path) -> None:
    """Numbers on paper that was handed out before are the same; the one that is missing is told."""
    job = filled(tmp_path)
    before = {fault.id: fault.number for fault in job.state.faults}
    gone = job.state.faults[1]
    job.correct(gone.id, None, "dust on the lens")
    data = document_data(job)
    items = under(data, "Punch list and its history", "fault-histories")
    assert [item["number"] for item in items] == [n for n in before.values() if n != gone.number]
    (chapter,) = [one for one in data["chapters"] if one["title"].startswith("Punch list")]
    assert chapter["lead"].startswith(f"Fault {gone.number} was withdrawn; ")


def test_a_withdrawn_instrument_is_told_beside_its_readings(tmp_path: Path) -> None:
    job = filled(tmp_path)
    job.correct(job.state.instruments["spot"].id, None, "belongs to another job")
    check = next(c for c in every_check(document_data(job)) if c["id"] == "brightness")
    assert facts_of(check["advice"])["Read with"] == "spot: no longer in the record."


def test_notes_and_photos_of_a_check_name_it(tmp_path: Path) -> None:
    job = make_job(tmp_path)
    job.record(e.Note(text="a truss stood in front", check="brightness"))
    job.photo(photo(tmp_path), check="brightness")
    document = document_data(job)
    check = next(c for c in every_check(document) if c["id"] == "brightness")
    assert facts_of(check["remarks"])["Note"].startswith(
        "a truss stood in front (Ines Okafor, 8 Jun 2026, 14:0"
    )
    assert under(document, "Notes") == []
    assert document["photos"][0]["about"] == "Brightness at nine points"


@pytest.mark.outside
def test_a_note_on_a_check_that_has_no_result_is_read_among_the_notes(tmp_path: Path) -> None:
    """A ceiling tile that hangs loose may stand beside a check that does not apply; read with pdftotext."""
    job = make_job(tmp_path, text=A_SMALL_WALL)
    text = "Ceiling tile loose above R1C3"
    job.skip("brightness", "no meter on site")
    job.record(e.Note(text=text, check="brightness"))
    job.record(e.Note(text="Hatch not locked", check="legibility"))
    scope = [check.id for check in job.state.checklist if check.id != "legibility"]
    job.record(e.ScopeAgreed(size="short", checks=tuple(scope)))
    assert [row["Note"] for row in rows_of(under(document_data(job), "Notes"))] == [
        f"Brightness at nine points (does not apply): {text}",
        "Text can be read from the farthest seat (not agreed for this job): Hatch not locked",
    ]
    assert outline(job).counts["notes"] == 2
    printed = squeezed(pdf_text(export_pdf(job), tmp_path))
    for said in (text, "Hatch not locked"):
        assert squeezed(said) in printed
        assert said.encode() in export_html(job)


@pytest.mark.outside
def test_a_photo_that_is_not_in_the_database_keeps_its_hash(tmp_path: Path) -> None:
    """Read with poppler's pdftotext."""
    job = make_job(tmp_path, files=TWO_CHECKS, text=A_SMALL_WALL)
    job.record(
        e.Photo(sha256="ab" * 32, name="gone.jpg", media_type="image/jpeg", size=10, caption="gone")
    )
    text = squeezed(pdf_text(export_pdf(job), tmp_path))
    assert "Thepictureisnotinthisdatabase;itshashis." in text
    assert "ab" * 32 in text


def test_a_second_design_is_a_revision(tmp_path: Path) -> None:
    job = make_job(tmp_path)
    assert "design as first received, " in facts_of(document_data(job)["cover"]["facts"])["Record"]
    job.record(e.Design(text=job.state.designs[0].body.text, reason="reissued"))
    assert "design revision 2, " in facts_of(document_data(job)["cover"]["facts"])["Record"]


def test_a_witness_signs_too(tmp_path: Path) -> None:
    job = make_job(tmp_path)
    job.record(
        e.Signature(
            role="Witness",
            name="Jon Ferris",
            statement="I was there.",
            fingerprint="0" * 64,
            exceptions=0,
        )
    )
    assert document_data(job)["signatures"][-1]["role"] == "Witness"


def test_what_was_read_from_a_photograph_says_from_which(tmp_path: Path) -> None:
    job = make_job(tmp_path)
    held = io.BytesIO()
    Image.new("RGB", (80, 40), "grey").save(held, "JPEG")
    picture = KeptPicture("wall.jpg", held.getvalue(), "From a photograph: pocket camera, 20 ms")
    log_tiles(job, {cell: Observation(cell) for cell in job.state.wall.cabinets}, [picture])
    document = document_data(job, draft=True)
    mapping = next(
        check for check in every_check(document) if "cabinets in their place" in check["reason"]
    )
    assert facts_of(mapping["advice"])["Read with"] == "from a photograph, photo 1."
    said = trail(job.state, ["cabinet-mapping"])
    assert f"from a photograph, SHA-256 {picture.stored.sha256}" in str(said)


def test_a_meter_is_out_of_date_by_the_day_that_is_printed(tmp_path: Path) -> None:
    """One in the afternoon of 8 June in UTC is one in the morning of 9 June in Auckland (IANA)."""
    job = make_job(tmp_path, changes=[("Europe/London", "Pacific/Auckland")])
    job.record(
        e.Instrument(
            key="spot",
            name="Spot meter",
            serial="1",
            calibration_due=date(2026, 6, 8),
            accuracy={"cd/m2": Accuracy(percent=2.0)},
        )
    )
    for point in NINE_POINTS:
        job.read("brightness", "luminance_cd_m2", point, 600.0, confirmed=True)
    data = document_data(job)
    (row,) = rows_of(under(data, "Instruments and method"))
    assert row["Warning"] == "Calibration was out of date for 9 of 9 readings."
    (check,) = every_check(data)
    assert facts_of(check["advice"])["Read with"] == (
        "Spot meter, serial 1, calibration due 8 Jun 2026, OUT OF DATE when read."
    )


def test_halves_on_the_wall_as_built_are_rounded_up(tmp_path: Path) -> None:
    """500 mm over 128 px are 3.90625 mm; 11.85 is less than that as a binary number."""
    text = MIXED.replace("width_px = 168", "width_px = 128")
    job = make_job(tmp_path, text=text)
    job.record(e.Instrument(key="clamp", name="Clamp", serial="C-1", accuracy={"A": Accuracy()}))
    job.read("circuit-currents", "current_a", "A1", 11.85, confirmed=True)
    document = document_data(job)
    assert "3.9063 mm (500 mm / 128 px)" in facts_of(under(document, "As built"))["Pitch"]
    assert "11.9 A" in rows_of(under(document, "Circuits"))[0].values()

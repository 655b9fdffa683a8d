"""What the document says: acceptance, exceptions, results, instruments, history, the content specification."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from commission_tui.handover.cards.content_specification import darkest_grey, templates
from commission_tui.handover.figure_text import Printing, as_sentence, cells_text
from commission_tui.handover.outline import outline
from commission_tui.logbook.actions.taking_back import undo
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.entry_parts import Accuracy
from commission_tui.logbook.job import OpenJob
from commission_tui.wall.model.location import Cell
from commission_tui.wall.model.wall_file import parse_wall
from tests.handover.filled_job import filled
from tests.handover.helping import (
    FELLMOOR,
    document_data,
    every_check,
    facts_of,
    make_job,
    photo,
    rows_of,
    sign,
    under,
)
from tests.paths import ROOT

ONE_CHECK = {
    "a.toml": """
order = 1
id = "all"
title = "Everything"
[[checks]]
id = "order"
title = "In order"
why = "So that it is."
do = ["Look."]
method = "in_limits"
[[checks.fields]]
name = "fine"
label = "Fine"
kind = "yes-no"
"""
}


def check_of(document: dict[str, Any], check: str) -> dict[str, Any]:
    return next(c for c in every_check(document) if c["id"] == check)


@pytest.fixture
def job(tmp_path: Path) -> OpenJob:
    return filled(tmp_path)


def test_the_document_is_plain_data_and_the_same_twice(job: OpenJob) -> None:
    once = json.dumps(document_data(job), sort_keys=True)
    assert json.dumps(document_data(job), sort_keys=True) == once


def test_an_empty_job_is_a_draft_in_which_every_check_is_not_done(tmp_path: Path) -> None:
    document = document_data(make_job(tmp_path))
    assert document["cover"]["state"] == "draft"
    counts = {
        row["Verdict"]: int(row["Checks"])
        for row in rows_of(under(document, "Acceptance", "verdict-counts"))
    }
    assert counts["open"] == sum(counts.values()) - counts["not applicable"]
    assert counts["pass"] == counts["fail"] == 0


def test_counts_by_verdict_add_up_to_all_checks(job: OpenJob) -> None:
    counts = rows_of(under(document_data(job), "Acceptance", "verdict-counts"))
    assert sum(int(row["Checks"]) for row in counts) == len(list(job.state.checklist))


def test_every_limit_not_met_has_a_sentence(job: OpenJob) -> None:
    unmet = under(document_data(job), "Not met, and not decided")
    wrong = {
        job.state.checklist.check(key).title
        for key, outcome in job.outcomes().items()
        if outcome.verdict in {"fail", "marginal"}
    }
    assert {item["title"] for item in unmet} == wrong
    assert "Luminance of every cabinet" in wrong
    assert all(item["reason"].endswith(".") for item in unmet)


def test_a_job_goes_from_draft_to_signed(tmp_path: Path) -> None:
    job = make_job(tmp_path, files=ONE_CHECK)
    assert document_data(job)["cover"]["state"] == "draft"
    assert outline(job).missing == ["signature of the integrator", "signature of the client"]
    assert [one.what for one in outline(job).exceptions] == ["In order: not done."]
    job.read("order", "fine", "wall", True)
    document = document_data(job)
    assert document["cover"]["state"] == "ready to sign"
    assert "when the client signs" in facts_of(document["cover"]["facts"])["State"]
    sign(job, "integrator", "Ines Okafor")
    assert document_data(job)["cover"]["state"] == "ready to sign"
    sign(job, "client", "Marit Hollis")
    document = document_data(job)
    assert document["cover"]["state"] == "accepted"
    assert outline(job).missing == []
    assert document_data(job, draft=True)["cover"]["state"] == "draft"


def test_a_later_entry_is_not_covered_by_the_signatures(tmp_path: Path) -> None:
    job = make_job(tmp_path, files=ONE_CHECK)
    job.read("order", "fine", "wall", True)
    sign(job, "client", "Marit Hollis")
    job.record(e.Note(text="afterwards"))
    document = document_data(job)
    blocks = document["signatures"]
    assert [block["role"] for block in blocks] == ["integrator", "client"]
    assert "without 1 later entry" in blocks[1]["stands"]
    assert document["cover"]["state"] == "accepted"  # what was accepted stays so
    said = facts_of(document["cover"]["facts"])["State"]
    assert said.endswith("Since then 1 entry was logged; what was accepted stands.")
    job.fault("pixel dark", "R1C1 x1 y1", "near")
    said = facts_of(document_data(job)["cover"]["facts"])["State"]
    assert said.endswith("what was accepted stands. New since: fault 1 at R1C1 x1 y1: pixel dark.")


def test_a_consultant_has_room_to_sign_where_one_is_named(tmp_path: Path) -> None:
    job = make_job(tmp_path, files=ONE_CHECK)
    assert [block["role"] for block in document_data(job)["signatures"]] == ["integrator", "client"]
    job.record(e.Person(name="Asta Lund", role="Consultant to the client"))
    assert document_data(job)["signatures"][-1]["role"] == "consultant"


def test_a_signature_of_another_record_is_told(tmp_path: Path) -> None:
    job = make_job(tmp_path, files=ONE_CHECK)
    job.record(
        e.Signature(
            role="client", name="M. Hollis", statement="x", fingerprint="0" * 64, exceptions=0
        )
    )
    assert "Does not fit" in document_data(job)["signatures"][1]["stands"]


def test_limits_not_met_are_accepted_only_by_a_client_who_names_exceptions(tmp_path: Path) -> None:
    job = make_job(tmp_path, files=ONE_CHECK)
    job.read("order", "fine", "wall", False)
    sign(job, "client", "Marit Hollis", exceptions=0)
    assert document_data(job)["cover"]["state"] == "ready to sign"
    sign(job, "client", "Marit Hollis", exceptions=1)
    assert document_data(job)["cover"]["state"] == "accepted with exceptions"


def test_an_open_danger_is_never_accepted(tmp_path: Path) -> None:
    job = make_job(tmp_path, files=ONE_CHECK)
    job.read("order", "fine", "wall", True)
    job.fault("lock or bolt not home", "R1C1", "danger")
    sign(job, "integrator", "Ines Okafor", exceptions=1)
    sign(job, "client", "Marit Hollis", exceptions=1)
    document = document_data(job)
    assert document["cover"]["state"] == "draft"
    assert "hazard" in facts_of(document["cover"]["facts"])["State"]


def test_exceptions_and_open_items_name_place_consequence_and_photo(
    job: OpenJob, tmp_path: Path
) -> None:
    job.photo(photo(tmp_path), about=job.state.faults[1].id, caption="the seam")
    document = document_data(job)
    left = under(document, "The faults that are still there")
    (taken,) = [item for item in left if item["state"] == "accepted"]
    assert taken["location"].startswith("R3C12 x7 y2")
    assert "from behind: row 3, 1st from left" in taken["location"]
    assert taken["accepted_by"] == "Marit Hollis, 8 Jun 2026"
    assert [item["number"] for item in left] == [4, 1, 2]  # gravest first
    assert left[2]["photos"] == [1]
    assert all(item["consequence"] for item in left)


def test_a_fault_whose_place_is_gone_keeps_its_words(job: OpenJob) -> None:
    smaller = FELLMOOR.read_text(encoding="utf-8")
    smaller = smaller.replace("rows = 6", 'rows = 6\nabsent = ["R3C9"]', 1)
    smaller = smaller.replace(
        'block = "R3C7:R4C12"\npattern = "rows, serpentine, from top right"',
        (
            'order = ["R3C12", "R3C11", "R3C10", "R3C8", "R3C7", "R4C7", "R4C8", "R4C9", "R4C10", '
            '"R4C11", "R4C12"]'
        ),
    )
    smaller = smaller.replace(
        'cabinets = ["R3C7:R4C12"]', 'cabinets = ["R3C7:R3C8", "R3C10:R3C12", "R4C7:R4C12"]'
    )
    job.record(e.Design(text=smaller, reason="a column moved"))
    item = next(
        i for i in under(document_data(job), "The faults that are still there") if i["number"] == 2
    )
    assert item["location"] == "R3C9 right (not on the wall as now designed)"


def test_what_is_not_met_stands_before_what_is_met(job: OpenJob) -> None:
    document = document_data(job)
    verdicts = [check["verdict"] for check in under(document, "Not met, and not decided")]
    assert verdicts == sorted(verdicts, key=["fail", "marginal"].index)
    met = [
        section
        for chapter in document["chapters"]
        for section in chapter["sections"]
        if section["form"] == "met"
    ]
    assert {check["verdict"] for section in met for check in section["body"]} == {"pass"}
    undone, outcomes = "Not done, or to be done again", job.outcomes()
    assert {check["verdict"] for check in under(document, undone, "checks")} <= {"open"}
    told = len(every_check(document)) + len(rows_of(under(document, undone, "reasons")))
    assert told + len(rows_of(under(document, "Does not apply"))) == len(outcomes)


def test_a_result_names_limit_source_uncertainty_and_instrument(job: OpenJob) -> None:
    check = check_of(document_data(job), "brightness")
    mean = next(f for f in rows_of(check["figures"]) if f["Limit"].startswith("540"))
    assert mean["Value"] == "600 cd/m²"
    assert mean["± (95 %)"].startswith("±")
    assert mean["Who says so"].startswith("contract")
    assert mean["Verdict"] == "pass"
    assert facts_of(check["advice"])["Read with"] == (
        "Luminance meter, 1 degree, serial LM-2045, calibration due 31 May 2026, OUT OF DATE when "
        "read."
    )


def test_corrected_values_are_named_with_the_reason(job: OpenJob) -> None:
    document = document_data(job)
    (line,) = facts_of(check_of(document, "brightness")["remarks"]).values()
    assert line.endswith("wall: 0.04 cd/m² in place of 40 cd/m²: decimal point forgotten")
    (row,) = rows_of(under(document, "Corrections"))
    assert row["Was written"].endswith("40 cd/m²")
    assert row["Became"].endswith("0.04 cd/m²")
    assert row["Reason"] == "decimal point forgotten"


def test_what_was_read_before_stands_in_the_appendix_with_who_read_it(job: OpenJob) -> None:
    for by, value in (("Ada Plim", 831.0), ("Bo Tarn", 813.0), ("Bo Tarn", 815.3)):
        job.by = by
        again = value == 815.3
        job.read("cabinet-luminance", "luminance_cd_m2", "R1C1", value, again=again, confirmed=True)
    rows = rows_of(under(document_data(job), "Read again"))
    (row,) = [one for one in rows if "R1C1: 831" in one["Was read"]]
    assert row["Who"] == "Ada Plim"
    assert row["Was read"].startswith("Luminance of every cabinet, Luminance at")
    assert row["Counts now"] == "814 ± 17 cd/m², mean of 813, 815.3, read by Bo Tarn"


def test_what_was_corrected_twice_says_what_stands_now_and_with_which_meter(job: OpenJob) -> None:
    taken = job.read("cabinet-luminance", "luminance_cd_m2", "R1C1", 640.0, confirmed=True)
    assert isinstance(taken.body, e.ReadingTaken)
    job.correct(taken.id, replace(taken.body, value=650.0), "typed wrong")
    job.correct(taken.id, replace(taken.body, value=613.0), "typed wrong again")
    job.correct(taken.id, replace(taken.body, value=613.0, instrument=None), "by eye")
    _, *rows = rows_of(under(document_data(job), "Corrections"))
    where = "Luminance of every cabinet, Luminance at the cabinet's centre, R1C1: "
    meter = ", with Luminance meter, 1 degree, serial LM-2045"
    eye = f"{where}613 cd/m², with no instrument"
    assert [(row["Was written"], row["Became"]) for row in rows] == [
        (f"{where}640 cd/m²{meter}", f"{where}650 cd/m²{meter}; stands now: {eye}"),
        (f"{where}650 cd/m²{meter}", f"{where}613 cd/m²{meter}; stands now: {eye}"),
        (f"{where}613 cd/m²{meter}", eye),
    ]


def test_a_table_that_was_taken_back_whole_is_one_row_of_the_corrections(job: OpenJob) -> None:
    table = [
        job.reading("cabinet-luminance", "luminance_cd_m2", f"R1C{column}", 640.0, confirmed=True)
        for column in range(1, 8)
    ]
    for _ in range(2):
        job.record_all(table)
        undo(job, "the wrong table")
    for _ in range(2):
        job.record_all(table[:2])
        undo(job)
    _, *rows = rows_of(under(document_data(job), "Corrections"))
    assert [row["Reason"] for row in rows] == ["the wrong table"] * 2 + ["typed wrong"] * 4
    assert rows[0]["Was written"] == (
        "Luminance of every cabinet: 7 readings logged in one go, at R1C1, R1C2, R1C3 and 4 more; "
        "each is in the record"
    )
    assert {row["Became"] for row in rows} == {"withdrawn"}
    assert {row["Was written"].partition(": ")[2] for row in rows[2:]} == {"640 cd/m²"}


def test_old_and_undated_instruments_are_told(job: OpenJob) -> None:
    spot, sync = rows_of(under(document_data(job), "Instruments and method"))
    assert spot["Warning"] == "Calibration was out of date for 103 of 103 readings."
    assert sync["Warning"] == "No calibration date is recorded."


def test_the_punch_list_tells_the_whole_history(job: OpenJob) -> None:
    tinted = under(document_data(job), "Punch list and its history")[2]
    assert [step["what"] for step in tinted["history"]] == [
        "found: a little green",
        "mended: module changed",
        "looked at again, good: looked at with the client",
    ]


def test_as_built_of_the_demo_wall(job: OpenJob) -> None:
    """500 mm / 200 px, 12 x 6 cabinets of 8.2 kg and 160 W: worked by hand."""
    document = document_data(job)
    facts = facts_of(under(document, "As built"))
    assert facts["Pitch"] == "2.5 mm"
    assert facts["Size"] == "6000 × 3000 mm"
    assert facts["Pixels"].startswith("2400 × 1200")
    assert facts["Aspect ratio of the canvas"] == "2:1"
    assert facts["Mass of the cabinets"] == "590.4 kg"
    assert facts["Power, all white at full level"] == "11.52 kW"
    assert facts["Heat into the room, at most"] == "11.52 kW"
    assert rows_of(under(document, "Ports and chains"))[0] == {
        "Port": "P1",
        "Return": "P7",
        "Cabinets": "12",
        "From and to": "R1C1 to R2C1",
        "Load, px": "480,000",
        "Of the port": "73.8 %",
    }
    circuit = rows_of(under(document, "Circuits"))[0]
    assert circuit["Cabinets"] == "R1C1 to R2C6"
    assert circuit["Designed"] == "8.8 A"  # 12 x 160 W / 230 V / 0.95


def test_contradictions_of_the_documents_are_listed(job: OpenJob) -> None:
    found = rows_of(under(document_data(job), "Documents compared", "contradictions"))
    assert any("2.6" in row["What"] and row["Found"] == "contradiction" for row in found)


def test_a_us_job_prints_us_units_and_paper(tmp_path: Path) -> None:
    changes = [('mounting = "flown"', 'mounting = "flown"\nunits = "us"')]
    document = document_data(make_job(tmp_path, changes=changes))
    facts = facts_of(under(document, "As built"))
    assert document["paper"] == "us-letter"
    # 6 m = 236.22 in and 3 m = 118.11 in, to a sixteenth; 590.4 kg / 0.45359237.
    assert facts["Size"] == "19' 8 1/4\" × 9' 10 1/8\""
    assert facts["Mass of the cabinets"] == "1302 lb"
    # 11.52 kW at 1055.05585262 J a BTU.
    assert facts["Heat into the room, at most"] == "39,308 BTU/h"
    assert document["cover"]["date"] == "Jun 8, 2026"


# --- the content specification


def test_the_content_specification_names_canvas_text_and_sound(job: OpenJob) -> None:
    document = document_data(job)
    facts = facts_of(under(document, "Content specification", "facts"))
    text = under(document, "Text, grey and white")
    assert facts["Canvas"].startswith("2400 × 1200 px")
    # 16 arcmin at 24 m is 111.7 mm, over 2.5 mm: 44.7, so 45 whole pixels.
    assert "45 px" in text[0]
    assert "46 px" in text[1]
    assert under(document, "Sound")[-1].startswith("No delay of the sound is needed")
    (grey,) = [line for line in text if line.startswith("Darkest safe grey: ")]
    assert "5 % signal, 8-bit code 13 in full range, 27 in limited" in grey


def test_nothing_measured_is_said_so(tmp_path: Path) -> None:
    document = document_data(make_job(tmp_path))
    assert under(document, "Sound") == ["Sound against picture was not measured."]
    assert "Darkest safe grey: not measured." in under(document, "Text, grey and white")


@pytest.mark.parametrize(
    ("nearest", "farthest", "expected"),
    [
        (68.0, -7.0, "Delay the sound by at least 23 ms, for -125 to 45 ms"),
        (68.0, -120.0, "No one delay of the sound brings every seat within -125 to 45 ms"),
        (0.0, -7.0, "No delay of the sound is needed"),
    ],
)
def test_the_delay_serves_every_seat(
    job: OpenJob, nearest: float, farthest: float, expected: str
) -> None:
    """ITU-R BT.1359-1: detectable beyond 45 ms early or 125 ms late; the rest is arithmetic."""
    job.read("sound-picture", "offset_ms", "nearest seat", nearest)
    job.read("sound-picture", "offset_ms", "farthest seat", farthest)
    sound = under(document_data(job), "Sound")
    assert sound[-1].startswith(expected)
    assert sound[0].startswith("Nearest seat: sound " + ("68 ms early" if nearest else "and"))


@pytest.mark.parametrize(
    ("level", "expected"),
    [
        # 700 lx x 0.9 / pi x 2 = 401.1 cd/m2; (401.1 / 600)^(1 / 2.2) = 0.833.
        (600.0, "83 % signal, 8-bit code 212 in full range, 198 in limited range"),
        (300.0, "full signal"),
    ],
)
def test_white_is_held_to_what_leaves_the_presenter_visible(
    job: OpenJob, level: float, expected: str
) -> None:
    job.record(
        e.Instrument(
            key="lux", name="Light meter", serial="1", accuracy={"lx": Accuracy(percent=3.0)}
        )
    )
    job.read("front-light", "presenter_lx", "Lectern", 700.0)
    job.read("front-light", "presenter_lx", "Centre stage", 900.0)
    job.read("front-light", "wall_white_cd_m2", "wall", level)
    *_, white, highest = under(document_data(job), "Text, grey and white")
    assert white == f"White at the house level: {level:g} cd/m² as measured."
    assert expected in highest


def test_darkest_grey_stands_clear_of_the_step_below_and_of_the_veil() -> None:
    levels = {0.0: 0.1, 5.0: 0.1, 10.0: 0.5, 15.0: 2.0}
    assert darkest_grey(levels, 0.0) == 10.0
    assert darkest_grey(levels, 0.9) == 15.0
    assert darkest_grey(levels, 5.0) is None
    assert darkest_grey({}, 0.0) is None


def test_templates_fit_the_canvas() -> None:
    wall = parse_wall(FELLMOOR.read_text(encoding="utf-8"))
    found = {name: place for name, *place in templates(wall).rows}
    # 1200 x 16/9 = 2133.3
    assert found["16:9 picture in the middle"] == ["2132 × 1200", "x 134, y 0"]
    assert found["House right half"] == ["1200 × 1200", "x 1200, y 0"]


# --- paper and page


def test_paper_and_page_say_nothing_of_their_own_twice() -> None:
    """What both say comes from the document: no literal of three words stands in both templates."""
    rooms = ROOT / "commission_tui" / "handover"
    page = (rooms / "formats" / "page.html.jinja").read_text("utf-8")
    paper = "\n".join(path.read_text("utf-8") for path in (rooms / "typeset").glob("*.typ"))
    said = {text.strip(" .:,") for text in re.findall(r'"([^"\n]*)"', paper)}
    assert any(len(text.split()) > 2 for text in said)
    assert [text for text in said if len(text.split()) > 2 and text in page] == []


# --- printing


@pytest.mark.parametrize(
    ("cells", "expected"),
    [
        ([], "none"),
        ([Cell(1, 1)], "R1C1"),
        ([Cell(1, 2), Cell(1, 1)], "R1C1 to R1C2"),
        ([Cell(1, 1), Cell(1, 2), Cell(2, 1), Cell(2, 2)], "R1C1 to R2C2"),
        ([Cell(1, 1), Cell(1, 2), Cell(1, 4), Cell(2, 1)], "R1C1 to R1C2, R1C4, R2C1"),
    ],
)
def test_cells_in_few_words(cells: list[Cell], expected: str) -> None:
    assert cells_text(cells) == expected


def test_quantities_and_values() -> None:
    assert Printing(us=False).quantity(652.0, "lx") == "652 lx"
    assert Printing(us=True).quantity(652.0, "lx") == "60.57 fc"
    assert Printing(us=False).value(True, "") == "yes"
    assert Printing(us=False).value("dark", "") == "dark"
    assert as_sentence("  it is so ") == "It is so."
    assert as_sentence("") == ""

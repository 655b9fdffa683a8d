"""JSON, CSV and HTML: whole figures, no formula, no markup of a person's making."""

from __future__ import annotations

import csv
import html
import io
import json
import re
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path

import openpyxl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from commission_tui.handover.formats.open_formats import _cell, _csv
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.record_form import record_bytes
from commission_tui.logbook.job import OpenJob
from tests.handover.filled_job import filled
from tests.handover.helping import (
    HOSTILE,
    document_data,
    export_csv,
    export_html,
    export_json,
    export_spreadsheet,
    make_job,
    squeezed,
    under,
)


@pytest.fixture
def job(tmp_path: Path) -> OpenJob:
    return filled(tmp_path)


def table(content: bytes) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(content.decode("utf-8-sig"), newline="")))


def test_json_holds_the_record_and_the_verdicts(job: OpenJob) -> None:
    content = export_json(job)
    found = json.loads(content)
    assert list(found) == ["fingerprint", "job", "program", "record", "verdicts"]
    assert found["record"] == json.loads(record_bytes(job.state.entries.values()))
    verdicts = {row["check"]: row["verdict"] for row in found["verdicts"]}
    assert verdicts == {key: str(outcome.verdict) for key, outcome in job.outcomes().items()}
    assert content == export_json(job)


def test_readings_of_every_visit_are_in_the_table_with_their_visit(job: OpenJob) -> None:
    place = {"check": "brightness", "field": "luminance_cd_m2"}
    before = [r for r in table(export_csv(job)["readings"]) if place.items() <= r.items()]
    assert {r["visit"] for r in before} == {"first visit"}
    job.record(e.VisitBegun(name="30 days"))
    job.read("brightness", "luminance_cd_m2", "point 1", 590.0, confirmed=True)
    after = [r for r in table(export_csv(job)["readings"]) if place.items() <= r.items()]
    assert after[:-1] == before, "what is read again takes nothing away"
    assert (after[-1]["visit"], after[-1]["value"]) == ("30 days", "590.0")
    assert after[-1]["stands"] == "yes"


def test_what_a_meters_own_clock_said_stands_last_where_one_said_it(job: OpenJob) -> None:
    before = table(export_csv(job)["readings"])
    assert list(before[0])[-1] == "visit"
    place, at = ("brightness", "luminance_cd_m2", "point 1"), "2026-05-03 21:04"
    job.record(job.reading(*place, 590.0, confirmed=True, meter_time=at))
    content = export_csv(job)["readings"]
    rows = table(content)
    assert [*rows[0]] == [*before[0], "meter_time"]
    assert [row["meter_time"] for row in rows if row["meter_time"]] == [at]
    sheet = openpyxl.load_workbook(io.BytesIO(export_spreadsheet(job)))["readings"]
    heads, *values = sheet.iter_rows(values_only=True)
    assert heads[-1] == "meter_time"
    assert at in {row[-1] for row in values}


def test_json_gives_figures_with_limit_source_and_full_precision(job: OpenJob) -> None:
    found = json.loads(export_json(job))
    row = next(v for v in found["verdicts"] if v["check"] == "brightness")
    mean = next(f for f in row["figures"] if f["limit"] and f["limit"]["low"] == 540.0)
    assert mean["value"] == pytest.approx((8 * 600 + 601.5) / 9 - 0.04, rel=1e-9)
    assert mean["limit"]["standing"] == "common practice"


def test_csv_readings_are_complete_and_say_which_stands(job: OpenJob) -> None:
    rows = table(export_csv(job)["readings"])
    taken = sum(isinstance(entry.body, e.ReadingTaken) for entry in job.state.entries.values())
    assert len(rows) == taken
    point = [r for r in rows if r["check"] == "brightness" and r["place"] == "point 1"]
    assert [(r["value"], r["stands"]) for r in point] == [("600.0", "no"), ("601.5", "yes")]
    room = next(r for r in rows if r["field"] == "room_cd_m2")
    assert (room["value"], room["corrected"], room["unit"]) == ("0.04", "yes", "cd/m2")
    assert room["at"].endswith("Z")


def test_repeats_all_stand_and_are_printed_with_their_mean(job: OpenJob) -> None:
    for value in (598.0, 603.0):
        job.read("brightness", "luminance_cd_m2", "point 1", value, again=True, confirmed=True)
    rows = table(export_csv(job)["readings"])
    point = [r for r in rows if r["check"] == "brightness" and r["place"] == "point 1"]
    stands = [(r["value"], r["stands"]) for r in point]
    assert stands == [("600.0", "no"), ("601.5", "yes"), ("598.0", "yes"), ("603.0", "yes")]
    said = str(under(document_data(job), "Appendix: every reading"))
    assert "cd/m², mean of 601.5, 598, 603" in said
    assert "'601 ± " in said


def test_a_reading_typed_in_another_unit_is_whole_but_on_the_pages(job: OpenJob) -> None:
    """Tables and record have what it was converted to; a page has the digits that were typed."""
    logged = job.read("brightness", "luminance_cd_m2", "point 2", 853.1385158092123, confirmed=True)
    (row,) = [one for one in table(export_csv(job)["readings"]) if one["id"] == logged.id]
    assert row["value"] == "853.1385158092123"
    assert b"853.1385158092" in export_json(job)
    said = str(under(document_data(job), "Appendix: every reading"))
    assert "853.13" not in said
    assert "853.1 ±" in said


def test_csv_tables_agree_with_the_job(job: OpenJob) -> None:
    tables = {name: table(content) for name, content in export_csv(job).items()}
    assert list(tables) == ["readings", "verdicts", "faults", "instruments", "corrections"]
    assert {row["check"] for row in tables["verdicts"]} == set(job.outcomes())
    assert [row["state"] for row in tables["faults"]] == ["accepted", "mended", "verified", "open"]
    assert tables["faults"][0]["accepted_by"] == "Marit Hollis"
    assert tables["instruments"][0]["calibration_due"] == "2026-05-31"
    (row,) = tables["corrections"]
    assert json.loads(row["was"])["value"] == 40.0
    assert json.loads(row["now"])["value"] == 0.04


def test_an_empty_job_has_empty_tables(tmp_path: Path) -> None:
    tables = export_csv(make_job(tmp_path))
    assert table(tables["readings"]) == table(tables["faults"]) == []


def test_a_reading_names_its_instrument_as_it_is_called_now(job: OpenJob) -> None:
    """Its key is made of the name that was typed first and stays, whatever was wrong with it."""
    spot = job.state.instruments["spot"]
    job.correct(spot.id, replace(spot.body, name="Spot meter, half a degree"), "mistyped")
    rows = table(export_csv(job)["readings"])
    named = {
        (r["instrument_name"], r["instrument_serial"]) for r in rows if r["instrument"] == "spot"
    }
    assert named == {("Spot meter, half a degree", "LM-2045")}
    assert {r["instrument_name"] for r in rows if not r["instrument"]} == {""}


@pytest.mark.parametrize(
    "typed",
    [
        "=1+1",
        "+cmd|' /C calc'!A0",
        "-2+3",
        "@SUM(A1)",
        "\t=1",
        "\r=1",
        "=cmd|'/C calc'!A0",
        "-",
        "+",
    ],
)
def test_no_cell_begins_a_formula(typed: str) -> None:
    assert _cell(typed).startswith(f"'{typed[0]}")


@pytest.mark.parametrize("typed", ["-1.5", "+3", "-1e-3", "plain", "", "1=2", "-.5"])
def test_plain_numbers_and_words_stay(typed: str) -> None:
    assert _cell(typed) == typed


def test_numbers_are_not_quoted() -> None:
    assert _cell(-1.5) == "-1.5"
    assert _cell(None) == ""
    assert _cell(True) == "yes"


def test_csv_cells_of_hostile_text_come_back_as_text(tmp_path: Path) -> None:
    job = make_job(tmp_path)
    job.fault("=HYPERLINK(1)", "R1C1", "near", note=f'{HOSTILE}, "quoted"\nsecond line')
    (row,) = table(export_csv(job)["faults"])
    assert row["fault"] == "'=HYPERLINK(1)"
    assert row["note"] == f'{HOSTILE}, "quoted"\nsecond line'


class Reader(HTMLParser):
    """Collects tags, attributes and words."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: set[str] = set()
        self.links: list[str] = []
        self.words: list[str] = []
        self.open: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.add(tag)
        self.links += [value or "" for key, value in attrs if key in {"src", "href", "action"}]
        if tag not in {"meta", "br"}:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.handle_starttag(tag, attrs)
        self.handle_endtag(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        self.words.append(data)


def test_html_is_one_page_that_needs_nothing_else(job: OpenJob) -> None:
    reader = Reader()
    reader.feed(export_html(job).decode("utf-8"))
    assert reader.links == []
    assert "script" not in reader.tags
    assert "svg" in reader.tags
    assert reader.open == []
    text = squeezed(" ".join(reader.words))
    for words in (job.state.title.name, "Luminance of every cabinet", "decimal point forgotten"):
        assert squeezed(words) in text
    for fault in job.state.faults:
        assert squeezed(fault.found.body.fault) in text


def test_html_shows_what_was_typed_as_text(tmp_path: Path) -> None:
    changes = [('"LP1-1-L1"', f'"""{HOSTILE}"""')]
    job = make_job(tmp_path, name=HOSTILE, client=HOSTILE, changes=changes)
    job.fault(HOSTILE, "R1C1", "near", note=HOSTILE, seen_on=HOSTILE)
    job.record(e.Note(text=HOSTILE))
    page = export_html(job).decode("utf-8")
    assert "<script>" not in page
    reader = Reader()
    reader.feed(page)
    assert "".join(reader.words).count(HOSTILE) >= 8


def test_html_says_exceptions_in_words(job: OpenJob) -> None:
    page = html.unescape(export_html(job).decode("utf-8"))
    number, what = document_data(job)["exceptions"]["body"]["rows"][0]
    assert f'<li value="{number}">{what}' in page
    assert "{'" not in page


def test_html_names_what_cannot_be_seen(tmp_path: Path) -> None:
    page = export_html(make_job(tmp_path, client="Coun\u200bcil")).decode("utf-8")
    assert "\u200b" not in page
    assert "Coun[U+200B]cil" in page


def test_html_repeats_byte_for_byte(job: OpenJob) -> None:
    assert export_html(job) == export_html(job)


PARTS = st.lists(
    st.sampled_from([";", "|", "\t", "\n", ",", '"', " ", "=", "+1", "-3 dB", "@", "a"])
)


@given(PARTS.map("".join))
def test_no_cell_begins_a_formula_where_it_is_parted_otherwise(typed: str) -> None:
    """By a semicolon, as spreadsheets of many countries do, by tabs, bars or lines."""
    line = _csv("a,b", [(typed, "x")]).decode("utf-8-sig").split("\r\n", 1)[1]
    for separator in ";|\t":
        for piece in re.split(rf"[{separator}\n]", line):
            bare = piece.strip(' "\r')
            assert bare[:1] not in {"=", "@", "+"} or bare.startswith("+1"), (
                typed,
                separator,
                piece,
            )


def test_numbers_after_a_semicolon_stay_as_they_were_typed() -> None:
    assert _csv("a", [("gain; -3 dB",)]).decode("utf-8-sig") == "a\r\ngain; -3 dB\r\n"


@pytest.mark.parametrize("sign", "=+-@＝＋－＠\t\r\n")
def test_no_cell_begins_a_formula_in_full_width_either(sign: str) -> None:
    """OWASP, CSV Injection: the signs that spreadsheets take for the beginning of a formula."""
    assert _cell(f"{sign}1+1") == f"'{sign}1+1"

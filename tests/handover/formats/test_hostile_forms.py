"""Hostile words in every field of every entry, in every form of export: each prints them as words.

PDF is read by poppler's pdftotext, the spreadsheet by openpyxl, HTML by Python's own parser.
"""

from __future__ import annotations

import csv
import io
from datetime import date
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from commission_tui.checks.places.places import places
from commission_tui.handover.progress_steps import FORMATS
from commission_tui.handover.verify.parse_document import read_back
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.entry_factory import body
from commission_tui.logbook.entries.record_form import record_bytes
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.state.fault_steps import AsItIs
from tests.handover.helping import (
    HOSTILE,
    export,
    export_pdf,
    export_record,
    make_job,
    pdf_text,
    photo,
    squeezed,
)

AS_A_FORMULA = f"=1+1 {HOSTILE}"


def hostile_job(folder: Path, words: str = HOSTILE) -> OpenJob:
    """Return a job whose every free field of every kind of entry says the same hostile words."""
    job = make_job(folder, name=words, client=words)
    limit = {
        "name": "mean_cd_m2",
        "unit": "cd/m2",
        "low": 1,
        "source": words,
        "standing": "contract",
    }
    named: list[tuple[type[e.Body], dict[str, Any]]] = [
        (e.Instrument, {"key": "m", "name": words, "serial": words, "certificate": words,
                        "calibration_due": date(2027, 1, 1), "accuracy": {"cd/m2": {"percent": 2}}}),
        (e.NotApplicable, {"check": "spares", "reason": words}),
        (e.FaultFound, {"fault": words, "location": "R1C1", "severity": "near", "note": words,
                        "seen_on": words}),
        (e.Note, {"text": words}),
        (e.LimitChanged, {"check": "brightness", "limit": limit, "agreed_by": words, "reason": words}),
        (e.SettingLogged, {"setting": "brightness", "value": words, "note": words}),
        (e.PartFitted, {"part": "module", "location": "R1C1", "serial": words, "batch": words,
                        "note": words}),
        (e.SparePut, {"part": "module", "serial": words, "batch": words, "kept_at": words}),
        (e.FileKept, {"sha256": "a" * 64, "name": words, "size": 1, "what": "other", "note": words}),
        (e.Person, {"name": words, "role": words, "organisation": words, "phone": words,
                    "mail": words}),
        (e.TableMapping, {"name": words, "check": "brightness", "columns": {words: "place"}}),
        (e.Signature, {"role": words, "name": words, "organisation": words, "statement": words,
                       "fingerprint": "b" * 64, "exceptions": 0}),
        (e.DocumentIssued, {"number": words, "fingerprint": "b" * 64, "sha256": "c" * 64}),
        (e.VisitBegun, {"name": words, "reason": words}),
    ]  # fmt: skip
    job.record_all([body(kind, **values) for kind, values in named])
    fault = job.state.faults[0]
    job.work(fault, "accepted", note=words, taken=AsItIs(words, words, date(2026, 7, 14)))
    _every_field_of_words(job, words)
    picture = photo(folder, "wall.png", (64, 36))
    job.photo(picture, about=fault.id, caption=words)
    job.photo(picture, check="loop-failure", caption=words)
    note = next(x for x in job.state.entries.values() if isinstance(x.body, e.Note))
    job.correct(note.id, e.Note(text=f"{words} again"), words)
    return job


def _every_field_of_words(job: OpenJob, words: str) -> None:
    """Write the words into every field of every check that takes words, at its first place."""
    job.record_all(
        [
            job.reading(check.id, item.name, there[0], words, confirmed=True)
            for check in job.state.checklist
            for item in check.fields
            if item.kind == "text" and check.id != "spares"
            if (there := places(item.where, job.state.wall))
        ]
    )


class Words(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.found: list[str] = []
        self.tags: set[str] = set()

    def handle_starttag(self, tag: str, attrs: object) -> None:  # noqa: ARG002
        self.tags.add(tag)

    def handle_data(self, data: str) -> None:
        self.found.append(data)


@pytest.fixture(scope="module", params=[AS_A_FORMULA, "x" * 200])
def hostile(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> tuple[str, OpenJob]:
    """Return hostile words and the job that is full of them."""
    words: str = request.param
    return words, hostile_job(tmp_path_factory.mktemp("hostile"), words)


@pytest.mark.outside
def test_every_form_prints_hostile_words_as_words(
    hostile: tuple[str, OpenJob], tmp_path: Path
) -> None:
    """Read with PyPI ``openpyxl`` and the standard library's csv and html.parser."""
    words, job = hostile
    forms = [form for form in FORMATS if form not in {"pdf", "png"}]  # the document: see below
    made = {path.name: path.read_bytes() for path in export(job, tmp_path / "out", forms)}
    page = Words()
    page.feed(next(content for name, content in made.items() if name.endswith(".html")).decode())
    assert "script" not in page.tags
    assert sum(text.count(words) for text in page.found) >= 100
    book = openpyxl.load_workbook(
        io.BytesIO(next(content for name, content in made.items() if name.endswith(".xlsx")))
    )
    cells = [cell for sheet in book for row in sheet.iter_rows() for cell in row]
    assert all(cell.data_type != "f" for cell in cells)
    assert sum(cell.value == words for cell in cells) >= 5
    for name, content in made.items():
        if name.endswith(".csv"):
            for row in csv.reader(io.StringIO(content.decode("utf-8-sig"), newline="")):
                assert not any(cell.startswith(("=", "@", "\t", "\r")) for cell in row)


@pytest.mark.outside
def test_the_document_prints_them_and_carries_them(
    hostile: tuple[str, OpenJob], tmp_path: Path
) -> None:
    """Read with poppler's pdftotext."""
    words, job = hostile
    content = export_pdf(job)
    printed = squeezed(pdf_text(content, tmp_path))
    assert printed.count(squeezed(words)) >= 100
    assert record_bytes(read_back(content, "a.pdf").entries) == export_record(job)


@pytest.mark.parametrize("words", ["\x1b[31m", "a\u202eb", "x" * 10_000, "\x00"])
def test_what_would_deceive_a_reader_is_no_entry_at_all(tmp_path: Path, words: str) -> None:
    from commission_tui.errors import CommissionError

    with pytest.raises(CommissionError):
        hostile_job(tmp_path, words)

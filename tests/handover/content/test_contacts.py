"""A document without people's contact data: whole, verified, and of the same fingerprint."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from commission_tui.handover.record import read_record, record_fingerprint
from commission_tui.handover.verify.document_import import import_document
from commission_tui.handover.verify.verification import verify_content, verify_file
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.chain import chain_breaks, chain_ends, with_digests
from commission_tui.logbook.entries.record_form import fingerprint
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.logbook import Logbook
from commission_tui.logbook.store.database_check import verify_database
from tests.handover.helping import export, export_pdf, export_record, make_job, pdf_text
from tests.handover.signing_help import A_SMALL_WALL

SECRETS = ("Marit Hollis", "01632 960 001", "marit@example.org", "01632 960 002", "Dale Ferris")
TEXTS = ("json", "record", "csv", "html", "schema", "dxf")


@pytest.fixture
def job(tmp_path: Path) -> OpenJob:
    """Contact data among other entries: corrected, withdrawn, the last one."""
    made = make_job(tmp_path, text=A_SMALL_WALL)
    person = e.Person(name="Marit Hollis", role="client", phone=SECRETS[1], mail=SECRETS[2])
    first = made.record(person)
    made.record(e.Note(text="House dark."))
    gone = made.record(e.Person(name="Dale Ferris", role="fitter", phone=SECRETS[1]))
    made.correct(first.id, replace(person, phone=SECRETS[3]), "a new number")
    made.correct(gone.id, None, "asked to be left out")
    made.skip("legibility", "no text is shown")
    made.record(person)
    return made


def test_no_entry_names_contact_data_and_the_chain_holds_with_and_without_it(job: OpenJob) -> None:
    entries = list(job.state.entries.values())
    without = read_record(export_record(job, without_contacts=True))
    assert len(entries) - len(without) == 4
    assert chain_breaks(with_digests(entries)) == chain_breaks(with_digests(without)) == ()
    assert (
        chain_ends(with_digests(entries))
        == chain_ends(with_digests(without))
        == job._store.ends(job.id)
    )
    assert len(chain_ends(with_digests(entries))) == 1
    assert verify_database(job.database) == []


def test_the_fingerprint_is_the_same_with_and_without(job: OpenJob) -> None:
    without = read_record(export_record(job, without_contacts=True))
    assert fingerprint(without) == record_fingerprint(job)
    job.record(e.Note(text="One more."))
    assert fingerprint(without) != record_fingerprint(job)


def test_no_form_holds_contact_data(job: OpenJob, tmp_path: Path) -> None:
    with_ = export(job, tmp_path / "with", TEXTS)
    assert any(SECRETS[3].encode() in path.read_bytes() for path in with_)
    for path in export(job, tmp_path / "without", TEXTS, without_contacts=True):
        assert not [one for one in SECRETS if one.encode() in path.read_bytes()], path.name


def test_the_pages_do_not_hold_contact_data(job: OpenJob, tmp_path: Path) -> None:
    assert SECRETS[3] in pdf_text(export_pdf(job), tmp_path)
    text = pdf_text(export_pdf(job, without_contacts=True), tmp_path)
    assert not [one for one in SECRETS if one in text]


def test_what_is_left_verifies_also_against_the_logbook_and_comes_in(
    job: OpenJob, tmp_path: Path
) -> None:
    (path,) = export(job, tmp_path / "out", without_contacts=True)
    checked = verify_file(path, database=job.database)
    assert checked.holds, checked.first_failure
    assert [one.holds for one in checked.findings if one.what == "pages"] in ([True], [])
    book = Logbook(tmp_path / "other.db")
    done = import_document(book, path)
    again = book.open(done.job, "B")
    assert record_fingerprint(again) == record_fingerprint(job)
    assert export_pdf(again) == path.read_bytes()
    assert import_document(book, _whole(job, tmp_path)).added == 4
    assert len(book.open(done.job, "B").state.people) == len(job.state.people)
    book.close()


def _whole(job: OpenJob, folder: Path) -> Path:
    (path,) = export(job, folder / "whole")
    return path


def test_an_entry_taken_out_that_is_no_contact_data_is_still_found(job: OpenJob) -> None:
    lines = export_record(job, without_contacts=True).decode().splitlines()
    note = next(line for line in lines if "House dark." in line)
    lines.remove(note)
    found = verify_content(("\n".join(lines) + "\n").encode(), "record.json")
    assert not found.holds

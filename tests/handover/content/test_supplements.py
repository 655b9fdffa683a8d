"""What is signed is frozen: a later change makes the next document a supplement that says so."""

from __future__ import annotations

import hashlib
from dataclasses import replace
from pathlib import Path

import pytest

from commission_tui.errors import DocumentError
from commission_tui.handover.content.acceptance import signature_blocks
from commission_tui.handover.content.document_inputs import Context
from commission_tui.handover.record import record_fingerprint
from commission_tui.handover.signing.document_signing import sign_document
from commission_tui.handover.signing.signing_log import log_signature, refuse_unloggable
from commission_tui.handover.verify.parse_document import read_back
from commission_tui.handover.verify.record_comparison import compare_with_logbook
from commission_tui.handover.verify.verification import verify_content
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.entry_factory import body
from commission_tui.logbook.job import OpenJob
from tests.handover.helping import (
    document_data,
    export_html,
    export_pdf,
    make_job,
    pdf_text,
    squeezed,
)
from tests.handover.signing_help import INTEGRATOR, SECOND, key, short_job


def signed(job: OpenJob, content: bytes | None = None, *, client: bool = False) -> bytes:
    block = SECOND if client else INTEGRATOR
    before = content or export_pdf(job)
    refuse_unloggable(job, before, block)
    after = sign_document(before, key(), block)
    log_signature(job, after, block)
    return after


def test_signing_is_logged_and_changes_no_fingerprint(tmp_path: Path) -> None:
    job = short_job(tmp_path)
    mark = record_fingerprint(job)
    content = signed(job)
    assert record_fingerprint(job) == mark
    (signature,) = job.state.signatures
    assert signature.body.fingerprint == mark
    assert signature.body.strokes == INTEGRATOR.strokes
    assert signature.body.organisation == INTEGRATOR.organisation
    (issued,) = job.state.documents
    assert issued.body.sha256 == hashlib.sha256(content).hexdigest()
    assert (issued.body.number, issued.body.fingerprint) == ("FTH-26-014/1", mark)
    assert issued.body.supplements is None
    assert issued.body.paper == "A4"


@pytest.mark.outside
def test_a_later_change_makes_a_supplement_that_names_what_it_supplements(tmp_path: Path) -> None:
    """The words are read by poppler's pdftotext."""
    job = short_job(tmp_path)
    first = signed(job, signed(job), client=True)
    digest = hashlib.sha256(first).hexdigest()
    assert [logged.body.number for logged in job.state.documents] == ["FTH-26-014/1"] * 2
    assert job.state.documents[-1].body.sha256 == digest, (
        "the second signer signs the same document"
    )
    assert document_data(job)["document"] == {"number": "FTH-26-014/1", "supplement": None}
    mark = record_fingerprint(job)
    job.record(e.Note(text="found the week after"))
    said = document_data(job)["document"]
    assert said["number"] == "FTH-26-014/2"
    assert (said["supplement"]["number"], said["supplement"]["sha256"]) == ("FTH-26-014/1", digest)
    assert said["supplement"]["fingerprint"] == mark
    content = export_pdf(job)
    text = squeezed(pdf_text(content, tmp_path).split("\f")[0])
    for words in ("Supplement to document FTH-26-014/1", digest, mark, "signed on 8 June 2026"):
        assert squeezed(words) in text or squeezed(words.replace("June", "Jun")) in text
    assert digest in export_html(job).decode("utf-8")
    found = verify_content(content, "a.pdf")
    assert found.supplements == f"FTH-26-014/1 (SHA-256 {digest})"
    signed(job, content)
    assert job.state.documents[-1].body.supplements == digest
    assert document_data(job)["document"]["supplement"]["sha256"] == digest
    job.record(e.Note(text="and a month later"))
    third = document_data(job)["document"]
    assert (third["number"], third["supplement"]["number"]) == ("FTH-26-014/3", "FTH-26-014/2")


def test_a_document_of_an_older_record_is_not_signed_into_the_logbook(tmp_path: Path) -> None:
    job = short_job(tmp_path)
    content = export_pdf(job)
    job.record(e.Note(text="later"))
    with pytest.raises(
        DocumentError, match="first signature stands under all that is logged; export it again"
    ):
        refuse_unloggable(job, content, INTEGRATOR)


def test_the_next_signs_the_file_that_was_signed_whatever_was_logged_since(tmp_path: Path) -> None:
    """An entry between two signatures refused the client, whose signature is of the file all the same."""
    job = short_job(tmp_path)
    mark, first = record_fingerprint(job), signed(job)
    job.record(e.Note(text="between the two"))
    second = signed(job, first, client=True)
    assert [one.body.fingerprint for one in job.state.signatures] == [mark, mark]
    found = verify_content(second, "a.pdf")
    assert found.holds
    assert len(found.signatures) == 2
    compare_with_logbook(found, read_back(second, "a.pdf"), tmp_path / "book.db")
    assert found.holds
    (said,) = [one.said for one in found.findings if one.what == "logbook"]
    assert "has 1 entry more, the first entry" in said
    rows = signature_blocks(Context(job))
    assert {row.stands for row in rows if row.signed} == {
        "Covers the record as it stood then, without 1 later entry."
    }
    supplement = document_data(job)["document"]
    assert (supplement["number"], supplement["supplement"]["sha256"]) == (
        "FTH-26-014/2",
        hashlib.sha256(second).hexdigest(),
    )
    assert verify_content(export_pdf(job), "b.pdf").holds, "it knows whose record was signed"
    with pytest.raises(DocumentError, match="let the next sign the file that was signed"):
        signed(job, first)


def test_who_signs_next_in_the_same_file_accepts_the_record_in_it(tmp_path: Path) -> None:
    job = short_job(tmp_path)
    mark = record_fingerprint(job)
    block = {"name": "N", "statement": "So.", "fingerprint": mark, "exceptions": 9}
    job.record(body(e.Signature, role="integrator", **block))
    job.record(e.Note(text="between the two"))
    job.record(body(e.Signature, role="client", **block))
    assert job.acceptance().state.is_accepted
    assert job.acceptance().later == 1


def test_a_document_of_another_job_is_not_signed_into_the_logbook(tmp_path: Path) -> None:
    job = short_job(tmp_path)
    content = export_pdf(job)
    (tmp_path / "other").mkdir()
    other = make_job(tmp_path / "other")
    other.id = "019ea751-0000-7400-8000-000000000000"
    with pytest.raises(DocumentError, match="found one of job"):
        refuse_unloggable(other, content, INTEGRATOR)


def test_a_job_without_a_reference_is_named_by_its_id(tmp_path: Path) -> None:
    job = make_job(tmp_path)
    opened = next(x for x in job.state.entries.values() if isinstance(x.body, e.JobOpened))
    assert isinstance(opened.body, e.JobOpened)
    job.correct(opened.id, replace(opened.body, reference=None), "none")
    assert document_data(job)["document"]["number"] == f"{job.id[-12:]}/1"

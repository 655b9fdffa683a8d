"""What the logbook learns of a signed document: the signature, and the file as it left."""

from __future__ import annotations

import hashlib

from commission_tui.errors import DocumentError
from commission_tui.handover.pdf_reading import OpenedPdf
from commission_tui.handover.reading_back import read_back
from commission_tui.handover.record import fingerprint
from commission_tui.handover.signature_block import SignatureBlock
from commission_tui.logbook import entries as e
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.making import body


def may_log(job: OpenJob, content: bytes, block: SignatureBlock) -> None:
    """Refuse before anything is signed what could not be logged afterwards.

    Raises
    ------
    DocumentError, InputError
        When the document is not of this job as it stands, or a word cannot be an entry.
    """
    _ = _signature(job, block)
    read = read_back(content, "document")
    if read.job != job.id:
        raise DocumentError(f"document: found one of job {read.job}, expected one of {job.id}")
    now = fingerprint(job.state.entries.values())
    if read.fingerprint != now:
        raise DocumentError(
            "document: the logbook has changed since it was made "
            f"(fingerprint {read.fingerprint[:16]}, now {now[:16]}); export it again"
        )


def log_signature(job: OpenJob, signed: bytes, block: SignatureBlock) -> None:
    """Log a signature of a document, and the file that it left, in one transaction."""
    note = OpenedPdf(signed).note
    before = note.get("supplements")
    issued = body(
        e.DocumentIssued,
        number=note.get("document"),
        fingerprint=note.get("fingerprint"),
        sha256=hashlib.sha256(signed).hexdigest(),
        paper="Letter" if note.get("paper") == "us-letter" else "A4",
        supplements=before.get("sha256") if isinstance(before, dict) else None,
    )
    job.record_all([_signature(job, block), issued])


def _signature(job: OpenJob, block: SignatureBlock) -> e.Signature:
    return body(
        e.Signature,
        role=block.role,
        name=block.name,
        organisation=block.organisation or None,
        statement=block.statement,
        fingerprint=fingerprint(job.state.entries.values()),
        exceptions=block.exceptions,
        strokes=block.strokes,
    )

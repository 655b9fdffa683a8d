"""A document signed where it lies, and what the logbook learns of it: the signature, and the file."""

from __future__ import annotations

import hashlib
from pathlib import Path

from commission_tui.errors import DocumentError
from commission_tui.files import write_all, write_whole
from commission_tui.handover.record import kept_files, record_fingerprint
from commission_tui.handover.signing.document_signing import sign_document
from commission_tui.handover.signing.keys import SigningKey
from commission_tui.handover.typeset.signature_block import SignatureBlock
from commission_tui.handover.verify.parse_document import ReadBack, document_issued, read_back
from commission_tui.handover.verify.pdf_reading import read_file
from commission_tui.logbook.actions.signature_entry import is_client
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.entry_factory import body
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.store.store import StoredFile

_THERE = "there is a file already; nothing was written: give another name"


def sign_file(
    path: Path,
    key: SigningKey,
    block: SignatureBlock,
    *,
    output: Path | None = None,
    job: OpenJob | None = None,
    tsa: str | None = None,
) -> Path:
    """Sign a document and write it, over itself unless another place is given, where no file may be.

    With a job, its logbook gets the signature and the file; a document that is not of the job as it
    stands is refused before anything is signed, unless it is the file that somebody signed before.

    Raises
    ------
    DocumentError, InputError, StoreError
        One line; what was there before is left as it was.
    """
    content = read_file(path)
    target = output or path
    originals: list[StoredFile] = []
    if job is not None:
        originals = _lacking(job, refuse_unloggable(job, content, block))
    signed = sign_document(content, key, block, tsa=tsa, originals=originals)
    if read_file(path) != content:  # another program signed it in these seconds
        raise DocumentError(
            f"{path}: was changed while it was being signed; nothing was written: sign it as it is now"
        )
    if output is None:
        write_whole(target, signed, DocumentError)
    else:
        write_all(target.parent, {target.name: signed}, DocumentError, lambda _: _THERE)
    if job is not None:
        log_signature(job, signed, block)
        job.leave_end(str(target.absolute()))
    return target


def _lacking(job: OpenJob, read: ReadBack) -> list[StoredFile]:
    """Return the photos and files of the job that the document was too small to carry."""
    named = kept_files(read.entries)
    held = {digest: job.file(digest) for digest in read.lacking}
    return [
        StoredFile(digest, named[digest].media_type, content)
        for digest, content in held.items()
        if content is not None
    ]


def refuse_unloggable(job: OpenJob, content: bytes, block: SignatureBlock) -> ReadBack:
    """Refuse before anything is signed what could not be logged afterwards; return what was read.

    Raises
    ------
    DocumentError, InputError
        When the document is not of this job as it stands, or a word cannot be an entry.
    """
    _ = _signature(job, block, record_fingerprint(job))
    read = read_back(content, "document")
    if read.job != job.id:
        raise DocumentError(f"document: found one of job {read.job}, expected one of {job.id}")
    now = record_fingerprint(job)
    if read.fingerprint != now and not _is_last_signed(job, content):
        raise DocumentError(
            "document: more was logged since it was made "
            f"(fingerprint {read.fingerprint[:16]}, now {now[:16]}), and the first signature stands "
            "under all that is logged; export it again, or let the next sign the file that was signed"
        )
    return read


def _is_last_signed(job: OpenJob, content: bytes) -> bool:
    """Whether a file is as the last who signed one left it: the next signs the record in it too."""
    left = [one.body.sha256 for one in job.state.documents[-1:]]
    return left == [hashlib.sha256(content).hexdigest()]


def earlier_state(job: OpenJob, path: Path) -> str:
    """Say of a file that is signed that it is of the state before what was logged since; nothing if not."""
    if document_issued(read_file(path)).fingerprint == record_fingerprint(job):
        return ""
    return "It is of the state before what was logged since: a supplement has that"


def log_signature(job: OpenJob, signed: bytes, block: SignatureBlock) -> None:
    """Log a signature of a document, and the file that it left, in one transaction."""
    issued = document_issued(signed)
    job.record_all([_signature(job, block, issued.fingerprint), issued])


def _signature(job: OpenJob, block: SignatureBlock, mark: str) -> e.Signature:
    return body(
        e.Signature,
        role=block.role,
        name=block.name,
        organisation=block.organisation or None,
        statement=block.statement,
        fingerprint=mark,
        exceptions=block.exceptions,
        strokes=block.strokes,
        **_decided(job, block),
    )


def _decided(job: OpenJob, block: SignatureBlock) -> dict[str, object]:
    """Take over what the client decided on this record, whose key now says the same."""
    before = job.acceptance().signature
    if before is None or not is_client(block.role) or job.acceptance().later:
        return {}
    return {"decision": before.body.decision, "taken": before.body.taken}

"""Is this what it says it is? A document, a record or a database, checked without any network.

``verify_file(path)`` says of a file: what was looked at, whether each thing holds, and who signed
which bytes. It needs nothing but the file; with a database it also compares the entries. Call it from
a thread without a running event loop.

Three answers are kept apart: whether the pages follow from the record, whether anything was changed
since it was signed, and who signed with a key and who only by name.
"""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from itertools import zip_longest
from pathlib import Path
from typing import TYPE_CHECKING

from commission_tui.errors import CommissionError, DocumentError, NoDocumentError
from commission_tui.files import read_bounded
from commission_tui.handover.record import RECORD_NAME, kept_files
from commission_tui.handover.typeset.attachments import MANIFEST_NAME, attached_name
from commission_tui.handover.verify.allowed_content import first_not_allowed
from commission_tui.handover.verify.parse_document import ReadBack, read_back, read_back_pdf
from commission_tui.handover.verify.pdf_reading import (
    OpenedPdf,
    is_pdf,
    read_file,
)
from commission_tui.handover.verify.record_comparison import (
    compare_ends,
    compare_with_logbook,
    has_job,
    signed_otherwise,
)
from commission_tui.handover.verify.signature_checks import signatures_of
from commission_tui.handover.verify.verification_result import Kind, Verification
from commission_tui.logbook.entries import chain
from commission_tui.logbook.entries.models import DocumentIssued, Signature
from commission_tui.logbook.integrity.kept_results import odd_results
from commission_tui.logbook.store.database_check import (
    UNCHAINED,
    absent_files,
    database_digest,
    is_database,
    verify_database,
)
from commission_tui.logbook.store.store import StoredFile
from commission_tui.text import counted

if TYPE_CHECKING:
    from asn1crypto import x509

_LARGEST_CERTIFICATE = 1_000_000


def verify_file(
    path: Path,
    *,
    trusted: Sequence[Path] = (),
    database: Path | None = None,
    against: Sequence[Path] = (),
    usual: Path | None = None,
    again: bool = True,
) -> Verification:
    """Check a document (PDF), a record (JSON) or a database.

    Parameters
    ----------
    path : Path
        What to check.
    trusted : sequence of Path
        Certificates (PEM or DER) that vouch for signers; every signature must reach one of them.
    database : Path, optional
        A logbook whose entries of this job must be the same, for a document or a record.
    against : sequence of Path
        Further logbooks; of a database, copies, documents and records whose ends it must still hold,
        besides those that it finds by itself.
    usual : Path, optional
        A logbook that is compared only where none was given and it has the job.
    again : bool
        Set the document again from its record and compare, where all else holds; see `reproduction`.

    Raises
    ------
    DocumentError, StoreError
        When there is nothing that can be looked at: no such file, a file of another kind.
    """
    if is_database(path):
        return _database(path, against)
    content = read_file(path)
    databases = dict.fromkeys([*([] if database is None else [database]), *against])
    return verify_content(
        content, str(path), read_certificates(trusted), [*databases], usual=usual, again=again
    )


def verify_content(
    file: bytes | OpenedPdf,
    name: str,
    trusted: Sequence[x509.Certificate] = (),
    databases: Sequence[Path] = (),
    *,
    usual: Path | None = None,
    again: bool = True,
    originals: Sequence[StoredFile] = (),
) -> Verification:
    """Check a document or a record that was read, or a document that was opened; see `verify_file`.

    `originals` are photos and files of the job that the document does not carry.
    """
    content = file if isinstance(file, bytes) else file.content
    kind: Kind = "document" if is_pdf(content) else "record"
    found = Verification(kind, hashlib.sha256(content).hexdigest())
    pdf = read = None
    try:
        if kind == "document":
            pdf = OpenedPdf(content, name) if isinstance(file, bytes) else file
            read = _document(found, pdf, trusted)
        else:
            read = read_back(content, name)
            _record(found, read)
    except CommissionError as error:
        found.add(kind, False, str(error))
        found.is_other = isinstance(error, NoDocumentError)
    if read is None:
        return found
    found.read = read
    _chain(found, read)
    if usual is not None and not databases and has_job(usual, read.job):
        databases = (usual,)
    for database in databases:
        compare_with_logbook(found, read, database)
    _work_out_again(found, pdf if again else None, read, originals)
    return found


def read_certificates(paths: Sequence[Path]) -> list[x509.Certificate]:
    """Read certificates that vouch for signers.

    Raises
    ------
    DocumentError
        When a file holds none.
    """
    from asn1crypto import pem, x509

    found = []
    for path in paths:
        content = read_bounded(path, _LARGEST_CERTIFICATE, "a certificate", DocumentError)
        try:
            parts = [der for _, _, der in pem.unarmor(content, multiple=True)]
        except ValueError:
            parts = [content]
        try:
            made = [x509.Certificate.load(der, strict=True) for der in parts]
            _ = [(one.subject.native, one.public_key.native) for one in made]
        except Exception:
            # What is no certificate makes the parser trip anywhere, by any error.
            raise DocumentError(f"{path}: found no certificate, expected PEM or DER") from None
        found += made
    return found


def _document(found: Verification, pdf: OpenedPdf, trusted: Sequence[x509.Certificate]) -> ReadBack:
    _signatures(found, pdf, trusted)
    read = read_back_pdf(pdf)
    _record(found, read)
    _printed(found, pdf, read)
    found.document = str(pdf.note.get("document", ""))
    before = pdf.note.get("supplements")
    if isinstance(before, dict):
        found.supplements = f"{before.get('number', '')} (SHA-256 {before.get('sha256', '')})"
    _carried(found, pdf, read)
    _by_name(found, read)
    return read


def _record(found: Verification, read: ReadBack) -> None:
    said = f"{read.name}: {len(read.entries)} entries, fingerprint {read.fingerprint}"
    found.add("record", True, said)


def _carried(found: Verification, pdf: OpenedPdf, read: ReadBack) -> None:
    """Look at what it holds besides its pages: its own files, and nothing else."""
    named = {attached_name(body) for body in kept_files(read.entries).values()}
    stranger = first_not_allowed(pdf, named | {RECORD_NAME, MANIFEST_NAME})
    nothing = "no script, no action, no note on a page, no other file"
    found.add("contents", not stranger, stranger or nothing)
    if read.lacking:
        lacking = counted(len(read.lacking), "original")
        found.add("files", None, f"not in it, only by hash: {lacking}")
    elif read.files:
        one, more = (
            "photo or file has the hash it names",
            "photos and files have the hashes they name",
        )
        found.add("files", True, counted(len(read.files), one, more))


def _work_out_again(
    found: Verification, pdf: OpenedPdf | None, read: ReadBack, originals: Sequence[StoredFile]
) -> None:
    """Compare what follows from a record with what stands beside it: pages, or an export's results."""
    if pdf is None and read.exported is None:
        return
    if not found.holds:
        if pdf is not None:
            found.add("pages", None, "not set again, since something else fails already")
        return
    # Here, not at the top: the typesetter is large, and not wanted for a record.
    from commission_tui.handover.verify.reproduction import compare_pages, compare_results

    try:
        if pdf is not None:
            compare_pages(found, pdf, read, originals)
        elif read.exported is not None:
            found.add("results", *compare_results(read, read.exported))
    except CommissionError as error:
        found.add("results" if pdf is None else "pages", False, str(error))


def _by_name(found: Verification, read: ReadBack) -> None:
    """Tell who signed, by what the record says, which proves nothing by itself.

    A signature with a key is logged with the file that it left, under the same record.
    """
    for logged, after in zip_longest(read.entries, read.entries[1:]):
        body, left = logged.body, after.body if after else None
        if not isinstance(body, Signature):
            continue
        if isinstance(left, DocumentIssued) and left.fingerprint == body.fingerprint:
            found.add(
                f"signed with a key, {body.name} ({body.role})",
                None,
                f"by the record of {logged.by}, {logged.at[:10]} in UTC, in another file, "
                f"SHA-256 {left.sha256}: verify that one",
            )
        else:
            found.add(
                f"signed by name, {body.name} ({body.role})",
                None,
                f"logged by {logged.by}, {logged.at[:10]} in UTC: no key, so only the record says so",
            )


def _signatures(found: Verification, pdf: OpenedPdf, trusted: Sequence[x509.Certificate]) -> None:
    found.signatures = signatures_of(pdf, trusted)
    for one in found.signatures:
        detail = "; ".join(one.failures) or f"covers {one.covers}; {one.trust}"
        holds = one.holds and (one.trusted or not trusted)
        if one.advice:
            detail += f" ({'; '.join(one.advice)})"
        found.add(f"signature {one.field} of {one.name or one.subject}", holds, detail)
    if not found.signatures:
        detail = "none with a key, so nothing proves who stands behind it"
        found.add("signatures", False if trusted else None, detail)


def _printed(found: Verification, pdf: OpenedPdf, read: ReadBack) -> None:
    """Compare the fingerprint of the record with what the document says in its own two places."""
    fingerprints = {*pdf.printed_marks, str(pdf.note.get("fingerprint", "none"))}
    others = sorted(fingerprints - {read.fingerprint})
    said = "matches the attached record"
    if others:
        said = f"the document says {others[0]}, its record has {read.fingerprint}"
    found.add("fingerprint", not others, said)


def _chain(found: Verification, read: ReadBack) -> None:
    broken = chain.chain_breaks(chain.with_digests(read.entries))
    for one in signed_otherwise(read.entries):
        found.add("signed record", False, f"{chain.entry_name(one)} was put under another record")
    if not broken:
        found.add("chain", True, "each entry names the one before it")
    elif all(entry.previous is None for entry in read.entries):
        found.add("chain", None, "its entries were written before there was a chain")
    else:
        more = f" ({len(broken)} in all)" if len(broken) > 1 else ""
        found.add("chain", False, f"{broken[0]}{more}")


def _database(path: Path, against: Sequence[Path]) -> Verification:
    found = Verification("database", database_digest(path))
    for line in verify_database(path):
        if line == UNCHAINED:
            found.add("chain", None, line)
        else:
            found.add("database", False, line)
    if found.findings:
        return found
    found.add("database", True, "every entry and file is as it was written")
    odd = odd_results(path)
    if not odd:
        found.add("results", True, "lists, verdicts and views say what follows from the entries")
    for line in absent_files(path):
        found.add("files", None, line)
    compare_ends(found, path, against)
    for line in odd:  # last: entries that are gone weigh more
        found.add("results", False, line)
    return found

"""Is this what it says it is? A document, a record or a database, checked without any network.

``verify_file(path)`` says of a file: what was looked at, whether each thing holds, and who signed
which bytes. It needs nothing but the file; with a database it also compares the entries. Call it from
a thread without a running event loop.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from commission_tui.errors import CommissionError, DocumentError
from commission_tui.files import read_bounded
from commission_tui.handover.verify.parse_document import ReadBack, read_back, read_back_pdf
from commission_tui.handover.verify.pdf_reading import OpenedPdf, entry, is_pdf, one_line, read_file
from commission_tui.handover.verify.record_comparison import first_difference
from commission_tui.handover.verify.signature_checks import SignatureFound, signatures_of
from commission_tui.logbook.entries import chain
from commission_tui.logbook.store.database_check import is_database, verify_database
from commission_tui.text import counted

if TYPE_CHECKING:
    from asn1crypto import x509

_FINGERPRINT = re.compile(r"record ([0-9a-f]{64})")
_LARGEST_CERTIFICATE = 1_000_000
Kind = Literal["document", "record", "database"]


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing that was looked at; `holds` is None where nobody can tell."""

    what: str
    holds: bool | None
    said: str


@dataclass(slots=True)
class Verification:
    """What was found of a file."""

    kind: Kind
    sha256: str
    findings: list[Finding] = field(default_factory=list)
    signatures: list[SignatureFound] = field(default_factory=list)
    document: str = ""
    """The number that a document calls itself by."""
    supplements: str = ""

    @property
    def holds(self) -> bool:
        """Whether nothing that was looked at fails; an unsigned file can hold."""
        return all(finding.holds is not False for finding in self.findings)

    @property
    def first_failure(self) -> str:
        failed = (f"{one.what}: {one.said}" for one in self.findings if one.holds is False)
        return next(failed, "")

    def add(self, what: str, holds: bool | None, said: str) -> None:
        self.findings.append(Finding(what, holds, said))


def verify_file(
    path: Path,
    *,
    trusted: Sequence[Path] = (),
    database: Path | None = None,
    again: bool = False,
) -> Verification:
    """Check a document (PDF), a record (JSON) or a database.

    Parameters
    ----------
    path : Path
        What to check.
    trusted : sequence of Path
        Certificates (PEM or DER) that vouch for signers.
    database : Path, optional
        A logbook whose entries of this job must be the same.
    again : bool
        Also set the document again from its record and compare; see `setting_again`.

    Raises
    ------
    DocumentError, StoreError
        When there is nothing that can be looked at: no such file, a file of another kind.
    """
    if is_database(path):
        return _database(path)
    content = read_file(path)
    return verify_content(content, str(path), read_certificates(trusted), database, again=again)


def verify_content(
    content: bytes,
    name: str,
    trusted: Sequence[x509.Certificate] = (),
    database: Path | None = None,
    *,
    again: bool = False,
) -> Verification:
    """Check a document or a record that was read already."""
    kind: Kind = "document" if is_pdf(content) else "record"
    found = Verification(kind, hashlib.sha256(content).hexdigest())
    read = None
    try:
        if kind == "document":
            read = _document(found, content, name, trusted, again=again)
        else:
            read = read_back(content, name)
            found.add("record", True, _told(read))
    except CommissionError as error:
        found.add(kind, False, str(error))
    if read is not None:
        _chain(found, read)
        if database is not None:
            _against(found, read, database)
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


def _document(
    found: Verification,
    content: bytes,
    name: str,
    trusted: Sequence[x509.Certificate],
    *,
    again: bool,
) -> ReadBack:
    pdf = OpenedPdf(content, name)
    _signatures(found, pdf, trusted)
    read = read_back_pdf(pdf)
    found.add("record", True, _told(read))
    _printed(found, pdf, read)
    found.document = str(pdf.note.get("document", ""))
    before = pdf.note.get("supplements")
    if isinstance(before, dict):
        found.supplements = f"{before.get('number', '')} (SHA-256 {before.get('sha256', '')})"
    if read.lacking:
        found.add(
            "files", None, f"not in it, only by hash: {counted(len(read.lacking), 'original')}"
        )
    elif read.files:
        count = len(read.files)
        said = (
            "photo or file has the hash it names"
            if count == 1
            else ("photos and files have the hashes they name")
        )
        found.add("files", True, f"{count} {said}")
    if again:
        # Here, not at the top: the typesetter is large, and seldom wanted.
        from commission_tui.handover.verify.reproduction import pages_as_recorded

        found.add("pages", *pages_as_recorded(pdf, read))
    return read


def _signatures(found: Verification, pdf: OpenedPdf, trusted: Sequence[x509.Certificate]) -> None:
    found.signatures = signatures_of(pdf, trusted)
    for one in found.signatures:
        said = "; ".join(one.failures) or f"covers {one.covers}; {one.trust}"
        found.add(f"signature {one.field} of {one.name or one.subject}", one.holds, said)
    if not found.signatures:
        found.add("signatures", None, "none, so changes to its pages cannot be detected")


def _told(read: ReadBack) -> str:
    return f"{read.name}: {len(read.entries)} entries, fingerprint {read.fingerprint}"


def _printed(found: Verification, pdf: OpenedPdf, read: ReadBack) -> None:
    """Compare the fingerprint of the record with what the document says in its own two places."""
    with one_line(pdf.name):
        subject = str(entry(pdf.reader.trailer["/Info"], "/Subject") or "")
        metadata = pdf.reader.root["/Metadata"].data.decode("utf-8", "replace")
    said = set(_FINGERPRINT.findall(subject)) | set(_FINGERPRINT.findall(metadata))
    said.add(str(pdf.note.get("fingerprint", "none")))
    others = sorted(said - {read.fingerprint})
    if others:
        found.add(
            "fingerprint",
            False,
            f"the document says {others[0]}, its record has {read.fingerprint}",
        )
    else:
        found.add("fingerprint", True, "matches the attached record")


def _chain(found: Verification, read: ReadBack) -> None:
    broken = chain.breaks(read.entries)
    if not broken:
        found.add("chain", True, "each entry names the one before it")
    elif all(entry.previous is None for entry in read.entries):
        found.add("chain", None, "its entries were written before there was a chain")
    else:
        more = f" ({len(broken)} in all)" if len(broken) > 1 else ""
        found.add("chain", False, f"{broken[0]}{more}")


def _against(found: Verification, read: ReadBack, database: Path) -> None:
    difference = first_difference(read, database)
    if difference is None:
        found.add("logbook", True, f"{database} has the same entries")
    else:
        found.add("logbook", difference.holds, difference.said)


def _database(path: Path) -> Verification:
    with path.open("rb") as file:
        digest = hashlib.file_digest(file, "sha256").hexdigest()
    found = Verification("database", digest)
    for line in verify_database(path):
        found.add("database", False, line)
    if not found.findings:
        found.add("database", True, "every entry and file is as it was written")
    return found


__all__ = [
    "Finding",
    "SignatureFound",
    "Verification",
    "read_certificates",
    "verify_content",
    "verify_file",
]

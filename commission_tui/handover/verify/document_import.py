"""A job taken into the logbook from its document or record."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from commission_tui.errors import DocumentError
from commission_tui.handover.verify.parse_document import ReadBack, document_issued
from commission_tui.handover.verify.pdf_reading import is_pdf, read_file
from commission_tui.handover.verify.verification import verify_content
from commission_tui.logbook.entries.models import DocumentIssued, Signature
from commission_tui.logbook.integrity.merge import document_source, merge
from commission_tui.logbook.logbook import Logbook
from commission_tui.text import counted


@dataclass(frozen=True, slots=True)
class Imported:
    """What came in."""

    job: str
    name: str
    added: int
    known: int
    """Entries that were there already."""
    files: int
    told: tuple[str, ...]
    """What people must look at themselves."""


def import_document(book: Logbook, path: Path, by: str = "") -> Imported:
    """Bring a job from its document (PDF) or record (JSON) into the logbook, whole or not at all.

    A photo or file that an entry names by its hash and that is not here is filled in. Of a signed
    document it is logged that it was issued, by who imports it: the next one is its supplement.

    Raises
    ------
    DocumentError
        When it is not what it says it is.
    StoreError
        When the logbook has an entry of the same id with other content.
    """
    content = read_file(path)
    if not is_pdf(content) and (digest := book.store.fill(content)):
        filled = f"SHA-256 {digest}: named by an entry, and here from now on"
        return Imported("", path.name, 0, 0, 1, (filled,))
    checked = verify_content(content, str(path), again=False)
    read = checked.read
    if read is None or not checked.holds:
        raise DocumentError(
            f"{path}: not imported: it failed verification: {checked.first_failure}"
        )
    issued = _issued(read, content, by_key=bool(checked.signatures))
    done = merge(book, [document_source(str(path), read.entries, read.files)])
    notes = list(done.told)
    if read.lacking:
        notes.append(f"not in it, only by hash: {counted(len(read.lacking), 'original')}")
    if issued is not None:
        notes += _logged(book, read.job, issued, by)
    return Imported(read.job, read.name, done.added, done.known, len(read.files), tuple(notes))


def _issued(read: ReadBack, content: bytes, *, by_key: bool) -> DocumentIssued | None:
    """Return the entry that a signed document left; nothing of one that is not signed, or a record."""
    signatures = (entry.body for entry in read.entries if isinstance(entry.body, Signature))
    signed = by_key or any(body.fingerprint == read.fingerprint for body in signatures)
    return document_issued(content) if signed and is_pdf(content) else None


def _logged(book: Logbook, job: str, issued: DocumentIssued, by: str) -> Iterator[str]:
    """Log that a document left, unless that is known; say so where nobody is named who could."""
    opened = book.open(job, by)
    if issued.fingerprint in {logged.body.fingerprint for logged in opened.state.documents}:
        return
    if by:
        opened.record(issued)
        yield f"document {issued.number} is logged as issued; the next one is its supplement"
    else:
        yield (
            f"document {issued.number} was issued, and nobody is named who could log that: "
            "import it again with --as NAME before the next one is exported"
        )

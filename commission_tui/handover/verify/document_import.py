"""A job taken into the logbook from its document or record."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from commission_tui.errors import DocumentError
from commission_tui.handover.verify.document_check import verify_content
from commission_tui.handover.verify.parse_document import read_back
from commission_tui.handover.verify.pdf_reading import is_pdf, read_file
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


def import_document(book: Logbook, path: Path) -> Imported:
    """Bring a job from its document (PDF) or record (JSON) into the logbook, whole or not at all.

    A photo or file that an entry names by its hash and that is not here is filled in.

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
    if not checked.holds:
        raise DocumentError(
            f"{path}: not imported: it failed verification: {checked.first_failure}"
        )
    read = read_back(content, str(path))
    done = merge(book, [document_source(str(path), read.entries, read.files)])
    notes = list(done.told)
    if read.lacking:
        notes.append(f"not in it, only by hash: {counted(len(read.lacking), 'original')}")
    return Imported(read.job, read.name, done.added, done.known, len(read.files), tuple(notes))

"""A job read back from its document, or from the record alone: entries and files, whole or refused."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from commission_tui.errors import CommissionError, DocumentError, NoDocumentError
from commission_tui.handover.record import RECORD_NAME, kept_files, read_entries, read_record
from commission_tui.handover.typeset.attachments import attached_name
from commission_tui.handover.verify.pdf_reading import OpenedPdf, is_pdf
from commission_tui.logbook.entries.chain import canonical_json
from commission_tui.logbook.entries.entry_factory import body
from commission_tui.logbook.entries.models import DocumentIssued, Entry
from commission_tui.logbook.entries.record_form import fingerprint, record_bytes
from commission_tui.logbook.state.fold import folded
from commission_tui.logbook.store.rows import SaidTwiceError, each_key_once
from commission_tui.logbook.store.store import StoredFile
from commission_tui.text import quoted

LARGEST_RECORD = 64_000_000
_LARGEST_LAID_OUT = 40_000_000
"""JSON laid out otherwise is read as a whole, which takes many times its size."""
_RECORD_KEYS = frozenset({"entries", "photos", "record"})
_EXPORT_KEYS = frozenset({"fingerprint", "job", "program", "record", "verdicts"})
_CHANGED = "the record is not in its canonical form; it was changed"
_HEAD, _MIDDLE = b'{"entries":[', b'],"photos":['


@dataclass(frozen=True, slots=True)
class ReadBack:
    """A job as a document or record holds it."""

    job: str
    name: str
    entries: list[Entry]
    files: list[StoredFile]
    lacking: list[str]
    """Hashes of photos and files that entries name and the document does not carry."""
    fingerprint: str
    exported: Mapping[str, Any] | None = None
    """An export in JSON as it was read, to be held against what its record gives."""


def read_back(content: bytes, name: str) -> ReadBack:
    """Return the job that a document (PDF) or record (JSON) holds.

    Raises
    ------
    DocumentError
        When it cannot be read, is not whole, or says another fingerprint than its record has.
    """
    if is_pdf(content):
        return read_back_pdf(OpenedPdf(content, name))
    entries, exported = _from_json(content, name)
    stated = None if exported is None else str(exported["fingerprint"])
    return replace(_checked(entries, [], stated, name), exported=exported)


def _parse_record(content: bytes, name: str) -> list[Entry]:
    """Read a canonical record an entry at a time; what is not canonical was changed by hand."""
    if not content.startswith(_HEAD):
        raise DocumentError(f"{name}: found no record in its canonical form")
    lines = content.split(b"\n")
    end = next((i for i, line in enumerate(lines) if line.startswith(_MIDDLE)), None)
    if end is None:
        raise DocumentError(f"{name}: the record ends before its entries do")
    entries = read_entries((line.removesuffix(b",") for line in lines[1:end]), name)
    if record_bytes(entries) != content:
        raise DocumentError(f"{name}: {_CHANGED}")
    return entries


def _from_json(content: bytes, name: str) -> tuple[list[Entry], dict[str, Any] | None]:
    """Return the entries of a record or of an export in JSON, and the export as it stands."""
    if content.startswith(_HEAD):
        if len(content) > LARGEST_RECORD:
            raise DocumentError(f"{name}: found more than {LARGEST_RECORD} bytes")
        return _parse_record(content, name), None
    if len(content) > _LARGEST_LAID_OUT:
        raise DocumentError(
            f"{name}: found more than {_LARGEST_LAID_OUT} bytes of what is no record, expected a "
            "document or a record"
        )
    found = _loaded(content, name)
    exported = found if "record" in found and "entries" not in found else None
    inner = found if exported is None else exported["record"]
    if not found.keys() & (_RECORD_KEYS | _EXPORT_KEYS):
        raise NoDocumentError(f"{name}: found another program's JSON, expected a record")
    wanted = _RECORD_KEYS if exported is None else _EXPORT_KEYS
    if odd := sorted(found.keys() ^ wanted):
        raise DocumentError(
            f"{name}: found {quoted(odd[0], 40)} {'there' if odd[0] in found else 'missing'}, expected "
            f"{', '.join(sorted(wanted))}"
        )
    try:
        entries = read_record(canonical_json(inner).encode("utf-8", "surrogatepass"))
    except (DocumentError, ValueError) as error:
        raise DocumentError(f"{name}: {error}") from None
    if json.loads(record_bytes(entries)) != inner:
        raise DocumentError(f"{name}: {_CHANGED}")
    return entries, exported


def _loaded(content: bytes, name: str) -> dict[str, Any]:
    try:
        found = json.loads(
            content.decode("utf-8"), object_pairs_hook=each_key_once, parse_constant=_no_number
        )
    except SaidTwiceError as error:
        raise DocumentError(f"{name}: {error}") from None
    except (UnicodeDecodeError, ValueError, RecursionError):
        found = None
    if not isinstance(found, dict):
        said = f"{name}: found neither PDF nor JSON, expected a document or a record"
        raise DocumentError(said) if b'"entries"' in content else NoDocumentError(said)
    return found


def _no_number(text: str) -> None:
    raise ValueError(f"found {text}, expected a number")


def read_back_pdf(pdf: OpenedPdf) -> ReadBack:
    """Return the job that an opened document holds; see `read_back`."""
    record = pdf.attachment(RECORD_NAME, LARGEST_RECORD)
    if record is None:
        said = f"{pdf.name}: found no {RECORD_NAME} in it, expected a handover"
        raise DocumentError(said) if pdf.bears_our_mark else NoDocumentError(said)
    entries = _parse_record(record, f"{pdf.name}: {RECORD_NAME}")
    files = []
    for digest, kept in kept_files(entries).items():
        content = pdf.attachment(attached_name(kept))
        if content is None:
            continue
        if hashlib.sha256(content).hexdigest() != digest:
            raise DocumentError(f"{pdf.name}: {attached_name(kept)}: its bytes have another hash")
        files.append(StoredFile(digest, kept.media_type, content))
    stated = pdf.note.get("fingerprint")
    return _checked(entries, files, stated if isinstance(stated, str) else None, pdf.name)


def document_issued(content: bytes) -> DocumentIssued:
    """Return the entry that says which document (PDF) left, by what it says of itself and its hash.

    Raises
    ------
    InputError
        When it says no number.
    """
    note = OpenedPdf(content).note
    before = note.get("supplements")
    return body(
        DocumentIssued,
        number=note.get("document"),
        fingerprint=note.get("fingerprint"),
        sha256=hashlib.sha256(content).hexdigest(),
        paper="Letter" if note.get("paper") == "us-letter" else "A4",
        supplements=before.get("sha256") if isinstance(before, dict) else None,
    )


def _checked(
    entries: list[Entry], files: list[StoredFile], stated: str | None, name: str
) -> ReadBack:
    """Hold what was read to what it must be: one job, whole, under the fingerprint it says."""
    if not entries:
        raise DocumentError(f"{name}: found a record without entries, expected a job")
    jobs = {entry.job for entry in entries}
    if len(jobs) > 1 or len({entry.id for entry in entries}) < len(entries):
        raise DocumentError(f"{name}: expected the entries of one job, each once")
    mark = fingerprint(entries)
    if stated is not None and stated != mark:
        raise DocumentError(f"{name}: says fingerprint {stated[:64]}, its record has {mark}")
    try:
        state = folded(Path(name), entries)
    except CommissionError as error:
        raise DocumentError(str(error)) from None
    held = {file.sha256 for file in files}
    lacking = [digest for digest in kept_files(entries) if digest not in held]
    return ReadBack(entries[0].job, state.title.name, entries, files, lacking, mark)

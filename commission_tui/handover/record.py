"""A record by its name in a document, read back, and the files that it names (see `record_form`)."""

from __future__ import annotations

import json
from collections.abc import Iterable

from pydantic import ValidationError

from commission_tui.errors import DocumentError
from commission_tui.logbook.entries.entry_factory import refusal
from commission_tui.logbook.entries.models import ENTRY, Correction, Entry, FileKept, Photo
from commission_tui.logbook.entries.record_form import RECORD_VERSION, fingerprint
from commission_tui.logbook.job import OpenJob

RECORD_NAME = "record.json"
"""Name of the record where it is attached to a document."""


def short_fingerprint(digest: str) -> str:
    """Return the first 16 digits in fours, as every page prints them."""
    return " ".join(digest[i : i + 4] for i in range(0, 16, 4))


def record_fingerprint(job: OpenJob) -> str:
    """Return the fingerprint of a job's record as it stands: what a signature names now."""
    return fingerprint(job.state.entries.values())


def read_record(content: bytes) -> list[Entry]:
    """Read a record back into entries.

    Raises
    ------
    DocumentError
        When it is not a record of this form, or one of its entries is not sound.
    """
    try:
        found = json.loads(content.decode("utf-8"))
    except (UnicodeDecodeError, ValueError, RecursionError):
        raise DocumentError("record: found no JSON in UTF-8, expected a record") from None
    version = found.get("record") if isinstance(found, dict) else None
    listed = found.get("entries") if isinstance(found, dict) else None
    if version != RECORD_VERSION or not isinstance(listed, list):
        raise DocumentError(
            f"record: found no entries of version {RECORD_VERSION}, expected a record"
        )
    return read_entries(map(json.dumps, listed), "record")


def read_entries(texts: Iterable[str | bytes], name: str) -> list[Entry]:
    """Read entries of a record, each from its JSON; the first that is not sound is refused."""
    entries = []
    for number, text in enumerate(texts, start=1):
        try:
            entries.append(ENTRY.validate_json(text))
        except ValidationError as error:
            raise DocumentError(f"{name}: entry {number}: {refusal(error, Entry)}") from None
    return entries


def kept_files(entries: Iterable[Entry]) -> dict[str, Photo | FileKept]:
    """Return every photo and file that an entry names, as logged or as corrected, by its hash."""
    found: dict[str, Photo | FileKept] = {}
    for entry in sorted(entries, key=lambda entry: entry.id):
        body = entry.body.replacement if isinstance(entry.body, Correction) else entry.body
        if isinstance(body, Photo | FileKept):
            found.setdefault(body.sha256, body)
    return found

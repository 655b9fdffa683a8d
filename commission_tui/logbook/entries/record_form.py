"""The canonical form of a job's record, and its fingerprint: what a signature names.

The record is JSON (RFC 8259) in UTF-8 that any program can read, and reads well line by line:

* ``entries``: every entry, one a line, in the order of their ids;
* ``photos``: every photo that an entry names, one a line, with its SHA-256 and size;
* ``record``: the version of this form, 1.

It is canonical, so that the same entries give the same bytes wherever they are kept: keys are sorted
by code point, nothing stands between tokens, text is not escaped beyond what JSON demands, numbers
are the shortest that read back to the same double, and a key without a value is left out (a later
version may add a key to an entry without changing the record of a job that does not use it).

The fingerprint is the SHA-256 of the record *without its signatures*, without the documents that
were issued from it and without people's contact data. Contact data can be left out of the record too:
no other entry names it (see `chain.is_contact`), so the chain and the fingerprint hold without it, and
what was signed with it is the same as what is handed on without it. The names of those who logged
stay: they are who answers for what was measured. A signature names the fingerprint of what is signed, so it cannot be part of it;
signing does not change what was signed, and the second signer signs the same fingerprint as the
first.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Iterator
from typing import Any

from commission_tui.logbook.entries.chain import canonical_json, entries_chained, entry_json
from commission_tui.logbook.entries.models import (
    Correction,
    DocumentIssued,
    Entry,
    Photo,
    Signature,
)

RECORD_VERSION = 1


def record_bytes(entries: Iterable[Entry]) -> bytes:
    """Return the canonical record of a job's entries."""
    listed = sorted(entries, key=lambda entry: entry.id)
    lines = [f'{{"entries":[\n{_lines(entry_json(entry) for entry in listed)}],']
    lines.append(f'"photos":[\n{_lines(_photos(listed))}],')
    lines.append(f'"record":{RECORD_VERSION}}}\n')
    return "".join(lines).encode("utf-8")


def fingerprint(entries: Iterable[Entry]) -> str:
    """Return the SHA-256, in hex, of the record without its signatures and contact data."""
    unsigned = (
        entry
        for entry in entries_chained(entries)
        if not isinstance(entry.body, Signature | DocumentIssued)
    )
    return hashlib.sha256(record_bytes(unsigned)).hexdigest()


def photos_of(entries: Iterable[Entry]) -> Iterator[Photo]:
    """Yield every photo that an entry names, as logged or as corrected."""
    for entry in entries:
        body = entry.body.replacement if isinstance(entry.body, Correction) else entry.body
        if isinstance(body, Photo):
            yield body


def _lines(items: Iterable[dict[str, Any]]) -> str:
    text = ",\n".join(canonical_json(item) for item in items)
    return f"{text}\n" if text else ""


def _photos(entries: Iterable[Entry]) -> Iterator[dict[str, Any]]:
    known = {photo.sha256: photo for photo in photos_of(entries)}
    for digest in sorted(known):
        photo = known[digest]
        yield {"media_type": photo.media_type, "sha256": digest, "size": photo.size}

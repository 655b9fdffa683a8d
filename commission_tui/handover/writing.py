"""Files written whole or not at all, under names that every file system takes."""

from __future__ import annotations

import contextlib
import hashlib
import os
import re
import unicodedata
from collections.abc import Mapping
from pathlib import Path

from commission_tui.errors import DocumentError
from commission_tui.files import FOR_ITS_OWNER, write_all

_LONGEST_NAME = 60
_RESERVED = {"con", "prn", "aux", "nul", *(f"{d}{n}" for d in ("com", "lpt") for n in range(1, 10))}
_SIGNED = b"/ByteRange"
"""In the clear in every signed PDF: it is filled in when all else is written (ISO 32000-1, 12.8.1, from
memory)."""
_INSTEAD = "nothing written: take another folder, or move it away first"
_MOST_KEPT = 1_000_000
"""Characters of the list of exports that are looked at, the latest: some 15,000 files."""


def file_stem(name: str) -> str:
    """Return a safe file name made from a job's name: small letters, digits and hyphens."""
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode("ascii")
    stem = re.sub(r"[^a-z0-9]+", "-", plain.lower()).strip("-")[:_LONGEST_NAME].strip("-")
    return f"job-{stem}" if stem in _RESERVED else stem or "job"


def write_files(
    folder: Path, files: Mapping[str, bytes], database: Path | None = None
) -> list[Path]:
    """Write every file, or leave everything as it was.

    What bears signatures is never written over. With a logbook's database a file gives way only where
    it is as an export of that logbook left it.

    Raises
    ------
    DocumentError
        One line: which file, and what the system said, or that it stays and what to do.
    """
    own = set() if database is None else _exported(database, files)

    def why_it_stays(content: bytes) -> str:
        if _SIGNED in content:
            return f"bears signatures and stays; {_INSTEAD}"
        if database is None or _digest(content) in own:
            return ""
        return f"not as this logbook wrote it, and stays; {_INSTEAD}"

    return write_all(folder, files, DocumentError, why_it_stays)


def _exported(database: Path, files: Mapping[str, bytes]) -> set[str]:
    """Return the SHA-256 of each file that a logbook exported, and keep those of the ones to come.

    What cannot be kept only makes the next export more careful.
    """
    path = database.with_name(f"{database.name}.exports")
    new = {_digest(content) for content in files.values()}
    known: list[str] = []
    with contextlib.suppress(OSError):
        if path.is_file():
            known = path.read_text("ascii", "replace")[-_MOST_KEPT:].split()
    with contextlib.suppress(OSError):
        handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_APPEND, FOR_ITS_OWNER)
        with os.fdopen(handle, "wb") as file:
            file.write("".join(f"{digest}\n" for digest in sorted(new - {*known})).encode())
    return new | {*known}


def _digest(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()

"""Files written whole or not at all, under names that every file system takes."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping
from pathlib import Path

from commission_tui.errors import DocumentError
from commission_tui.files import write_all

_LONGEST_NAME = 60
_RESERVED = {"con", "prn", "aux", "nul", *(f"{d}{n}" for d in ("com", "lpt") for n in range(1, 10))}


def file_stem(name: str) -> str:
    """Return a safe file name made from a job's name: small letters, digits and hyphens."""
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode("ascii")
    stem = re.sub(r"[^a-z0-9]+", "-", plain.lower()).strip("-")[:_LONGEST_NAME].strip("-")
    return f"job-{stem}" if stem in _RESERVED else stem or "job"


def write_files(folder: Path, files: Mapping[str, bytes]) -> list[Path]:
    """Write every file, or leave everything as it was.

    Raises
    ------
    DocumentError
        One line: which file, and what the system said.
    """
    return write_all(folder, files, DocumentError)

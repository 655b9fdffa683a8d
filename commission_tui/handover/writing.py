"""Files written whole or not at all, under names that every file system takes."""

from __future__ import annotations

import os
import re
import tempfile
import unicodedata
from collections.abc import Mapping
from pathlib import Path

from commission_tui.errors import DocumentError

_LONGEST_NAME = 60
_RESERVED = {"con", "prn", "aux", "nul", *(f"{d}{n}" for d in ("com", "lpt") for n in range(1, 10))}


def file_stem(name: str) -> str:
    """Return a safe file name made from a job's name: small letters, digits and hyphens."""
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode("ascii")
    stem = re.sub(r"[^a-z0-9]+", "-", plain.lower()).strip("-")[:_LONGEST_NAME].strip("-")
    return f"job-{stem}" if stem in _RESERVED else stem or "job"


def write_files(folder: Path, files: Mapping[str, bytes]) -> list[Path]:
    """Write every file to a temporary one first; then give them their names.

    A failure leaves every earlier file as it was and nothing half-written.

    Raises
    ------
    DocumentError
        One line: which file, and what the system said.
    """
    waiting: list[tuple[Path, Path]] = []
    target = folder
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for name, content in files.items():
            target = folder / name
            waiting.append((_temporary(folder, content), target))
        for _, target in waiting:
            if target.is_dir():
                raise DocumentError(f"{target}: found a folder, expected a file; nothing written")
        for temporary, target in waiting:
            temporary.replace(target)
    except OSError as error:
        what = error.strerror or str(error)
        raise DocumentError(f"{target}: cannot be written: {what}; nothing written") from None
    finally:
        for temporary, _ in waiting:
            temporary.unlink(missing_ok=True)
    return [target for _, target in waiting]


def _temporary(folder: Path, content: bytes) -> Path:
    handle, name = tempfile.mkstemp(dir=folder, prefix=".", suffix=".part")
    path = Path(name)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        path.chmod(0o644)
    except BaseException:
        path.unlink(missing_ok=True)
        raise
    return path

"""A file read whole, never more of it than makes sense; files written whole or not at all."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Mapping
from pathlib import Path

from commission_tui.errors import CommissionError
from commission_tui.text import counted


def read_bounded(path: Path, largest: int, expected: str, error: type[CommissionError]) -> bytes:
    """Return a file's bytes.

    What the file system says of the size is not asked: a pipe has none and a device no end.

    Raises
    ------
    CommissionError
        The given one, when the file cannot be read or holds more than `largest` bytes.
    """
    try:
        with path.open("rb") as file:
            content = file.read(largest + 1)
    except OSError as cause:
        raise error(f"{path}: cannot be read: {cause.strerror}") from None
    except ValueError as cause:  # a path with a NUL or with bytes of no encoding
        raise error(f"{str(path)!r}: cannot be read: {cause}") from None
    if len(content) > largest:
        raise error(f"{path}: found more than {counted(largest, 'byte')}, expected {expected}")
    return content


def read_text(path: Path, largest: int, expected: str, error: type[CommissionError]) -> str:
    """Return a file's text; some editors put a byte-order mark in front."""
    try:
        return read_bounded(path, largest, expected, error).decode("utf-8-sig")
    except UnicodeDecodeError as cause:
        raise error(f"{path}: cannot be read: byte {cause.start} is not UTF-8 text") from None


def write_whole(path: Path, content: bytes, error: type[CommissionError]) -> None:
    """Write a file so that its name never stands for a part of it.

    Raises
    ------
    CommissionError
        The given one; what was there before is left as it was.
    """
    try:
        waiting = _waiting(path.parent, content)
        try:
            waiting.replace(path)
        except BaseException:
            waiting.unlink(missing_ok=True)
            raise
    except OSError as cause:
        raise error(
            f"{path}: cannot be written: {cause.strerror or cause}; nothing written"
        ) from None
    except ValueError as cause:
        raise error(f"{str(path)!r}: cannot be written: {cause}") from None


def write_all(folder: Path, files: Mapping[str, bytes], error: type[CommissionError]) -> list[Path]:
    """Write every file under a name that is for the moment, then give them their own.

    Raises
    ------
    CommissionError
        The given one: which file, and what the system said. Every earlier file is as it was and
        nothing is half-written.
    """
    waiting: list[tuple[Path, Path]] = []
    target = folder
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for name, content in files.items():
            target = folder / name
            waiting.append((_waiting(folder, content), target))
        for _, target in waiting:
            if target.is_dir():
                raise error(f"{target}: found a folder, expected a file; nothing written")
        for temporary, target in waiting:
            temporary.replace(target)
    except OSError as cause:
        what = cause.strerror or str(cause)
        raise error(f"{target}: cannot be written: {what}; nothing written") from None
    finally:
        for temporary, _ in waiting:
            temporary.unlink(missing_ok=True)
    return [target for _, target in waiting]


def _waiting(folder: Path, content: bytes) -> Path:
    """Write a file that waits for its name, and is on the disk before it gets it."""
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

"""A file read whole, never more of it than makes sense; files written whole or not at all."""

from __future__ import annotations

import contextlib
import os
import secrets
import shutil
import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from commission_tui.errors import CommissionError
from commission_tui.text import counted, listed

FOR_ITS_OWNER = 0o600
_FOR_OTHERS = 0o666
"""What a file for others may be at most; the umask of who writes it takes the rest away."""
_PART = ".commission-tui-"
_LONG_S = 60.0
"""A file that waits for its name is written within seconds; after this it is nobody's."""


def is_database_in_use(path: Path) -> bool:
    """Whether a file is a database that a program has open: its log lies beside it.

    SQLite alone may open and close such a file. A process that has it open and closes it in another way
    loses its locks on it; the next program to end then removes the log, and with it what was logged
    (sqlite.org, "How To Corrupt An SQLite Database File", 2.2; fcntl of POSIX.1).
    """
    try:
        file = path.resolve()  # SQLite puts the log beside the file that a link leads to
        return file.with_name(f"{file.name}-wal").exists()
    except (OSError, RuntimeError, ValueError):
        return False


def read_bounded(path: Path, largest: int, expected: str, error: type[CommissionError]) -> bytes:
    """Return a file's bytes.

    What the file system says of the size is not asked: a pipe has none and a device no end.

    Raises
    ------
    CommissionError
        The given one, when the file cannot be read or holds more than `largest` bytes.
    """
    if is_database_in_use(path):
        raise error(f"{path}: found a logbook that is open, expected {expected}")
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


def write_whole(
    path: Path, content: bytes, error: type[CommissionError], *, mode: int = _FOR_OTHERS
) -> None:
    """Write a file so that its name never stands for a part of it.

    `mode` are the rights of the file, of which the umask takes away what it does.

    Raises
    ------
    CommissionError
        The given one; what was there before is left as it was.
    """
    try:
        remove_leftovers(path.parent)
        waiting = _waiting(path.parent, content, mode)
        try:
            waiting.replace(path)
        except BaseException:
            waiting.unlink(missing_ok=True)
            raise
        with contextlib.suppress(OSError):
            flush_to_disk(path.parent)
    except OSError as cause:
        raise error(
            f"{path}: cannot be written: {cause.strerror or cause}; nothing written"
        ) from None
    except ValueError as cause:
        raise error(f"{str(path)!r}: cannot be written: {cause}") from None


def _gives_way(_: bytes) -> str:
    return ""


def write_all(
    folder: Path,
    files: Mapping[str, bytes],
    error: type[CommissionError],
    why_it_stays: Callable[[bytes], str] = _gives_way,
) -> list[Path]:
    """Write every file under a name that is for the moment, then give them their own.

    Parameters
    ----------
    why_it_stays
        Says of what a file that is there holds why it is not written over; nothing where it gives way.

    Raises
    ------
    CommissionError
        The given one: which file, and what the system said, or why it stays. Every earlier file is as
        it was and nothing is half-written; where the system refuses even the way back, the line says
        what is new.
    """
    waiting: list[tuple[Path, Path]] = []
    given: list[_Given] = []
    target = folder
    try:
        folder.mkdir(parents=True, exist_ok=True)
        remove_leftovers(folder)
        for name, content in files.items():
            target = folder / name
            waiting.append((_waiting(folder, content), target))
        for _, target in waiting:
            _no_folder(target, error)
        for temporary, target in waiting:
            given.append(_Given(target, _set_aside(target), temporary))
            _give_name(given[-1], error, why_it_stays)
        with contextlib.suppress(OSError):
            flush_to_disk(folder)
    except OSError as cause:
        what = cause.strerror or str(cause)
        new = _taken_back(given)
        said = f"written: {listed(new, 5)}" if new else "nothing written"
        raise error(f"{target}: cannot be written: {what}; {said}") from None
    except BaseException:
        _taken_back(given)
        raise
    finally:
        for hidden in (*(part for part, _ in waiting), *(one.earlier for one in given)):
            if hidden is not None:
                with contextlib.suppress(OSError):
                    hidden.unlink(missing_ok=True)
    return [target for _, target in waiting]


def _no_folder(target: Path, error: type[CommissionError]) -> None:
    if target.is_dir():
        raise error(f"{target}: found a folder, expected a file; nothing written")


@dataclass(frozen=True, slots=True)
class _Given:
    """A name that a new file is given, and what stood there before."""

    target: Path
    earlier: Path | None
    waiting: Path
    """Where the new file is until it has the name, or beside it."""

    @property
    def has_name(self) -> bool:
        """Whether the name is the new file's: not another's that got there first."""
        return not self.waiting.exists() or self.target.samefile(self.waiting)


def _set_aside(target: Path) -> Path | None:
    """Keep what a file is now under a hidden name beside its own; None where there is none."""
    if not target.exists():
        return None
    aside = hidden_name(target.parent)
    try:
        os.link(target, aside)
    except OSError:  # a file system without links
        shutil.copy2(target, aside)
    return aside


def _give_name(
    one: _Given, error: type[CommissionError], why_it_stays: Callable[[bytes], str]
) -> None:
    """Give a file its name; where nothing had it, what got there meanwhile stays, and is an error."""
    if one.earlier is not None:
        if stays := why_it_stays(one.earlier.read_bytes()):
            raise error(f"{one.target}: {stays}")
        one.waiting.replace(one.target)
        return
    try:
        one.target.hardlink_to(one.waiting)
    except FileExistsError:
        raise
    except OSError:  # a file system without links
        one.target.touch(exist_ok=False)
        try:
            one.waiting.replace(one.target)
        except BaseException:
            one.target.unlink()
            raise


def _taken_back(given: Sequence[_Given]) -> list[str]:
    """Put every earlier file back; return the names of those that are new all the same."""
    new = []
    for one in reversed(given):
        try:
            if one.earlier is None:
                if one.target.exists() and one.has_name:
                    one.target.unlink()
            elif not one.target.exists() or not one.target.samefile(one.earlier):
                one.earlier.replace(one.target)
        except OSError:
            new.append(one.target.name)
    return new[::-1]


def _waiting(folder: Path, content: bytes, mode: int = _FOR_OTHERS) -> Path:
    """Write a file that waits for its name, and is on the disk before it gets it."""
    path = hidden_name(folder)
    handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0), mode)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
    except BaseException:
        path.unlink(missing_ok=True)
        raise
    return path


def close_to_others(folder: Path) -> bool:
    """Take from others what they may do in a folder; whether there was anything to take."""
    with contextlib.suppress(OSError):  # not there yet, or somebody else's
        if os.name == "posix" and folder.stat().st_mode & 0o077:
            folder.chmod(0o700)
            return True
    return False


def hidden_name(folder: Path) -> Path:
    """Return a name for a file that waits for its own, by which `remove_leftovers` knows whose it is."""
    return folder / f"{_PART}{os.getpid()}-{secrets.token_hex(8)}.part"


def remove_leftovers(folder: Path) -> None:
    """Remove what a killed program left waiting; what one that runs may still write stays."""
    for path in folder.glob(f"{_PART}*.part"):
        process = path.name.removeprefix(_PART).partition("-")[0]
        with contextlib.suppress(OSError):
            if time.time() - path.stat().st_mtime > _LONG_S and not _runs(process):
                path.unlink()


def _runs(process: str) -> bool:
    """Whether there is a process of a number here; on Windows a file that is open stays anyway."""
    if os.name != "posix" or not process.isdecimal():
        return False
    try:
        os.kill(int(process), 0)
    except (ProcessLookupError, OverflowError):
        return False
    except OSError:  # somebody else's
        return True
    return True


def flush_to_disk(path: Path) -> None:
    """Have a file's content, or the names in a folder, written now; Windows takes only files."""
    is_folder = path.is_dir()
    if is_folder and os.name != "posix":
        return
    handle = os.open(path, os.O_RDONLY if is_folder else os.O_RDWR)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


_DELIMITERS = ";\t,"
"""The comma last: beside as many of another it begins decimals."""


def delimiter_of(text: str) -> str:
    """Return what parts the cells: what the first lines hold most of, all alike."""
    lines = [line for line in text.split("\n", 20)[:20] if line.strip()]
    header = lines[0] if lines else ""
    if len(lines) > 1 and not any(map(header.count, _DELIMITERS)):
        header = lines[-1]
    in_lines = {sign: sum(sign in line for line in lines) for sign in _DELIMITERS}
    return max(_DELIMITERS, key=lambda sign: (header.count(sign), in_lines[sign]))

"""Every reader of a file that somebody else may have written, and what it must never do."""

from __future__ import annotations

import contextlib
import os
import re
import sys
import tempfile
import unicodedata
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

from commission_tui.checks.checklists.check_cases import try_cases
from commission_tui.checks.checklists.checklist_file import (
    file_errors,
    files_with,
    parse_checklist,
    shipped_files,
)
from commission_tui.checks.faults.kinds import read_catalogue
from commission_tui.errors import ChecklistError, CommissionError
from commission_tui.files import read_text
from commission_tui.handover.signing.keys import read_key
from commission_tui.handover.typeset.signature_block import read_strokes
from commission_tui.handover.typeset.typst_document import downscaled
from commission_tui.handover.verify.parse_document import read_back
from commission_tui.handover.verify.pdf_reading import read_file
from commission_tui.handover.verify.verification import read_certificates, verify_file
from commission_tui.logbook.integrity.merge import database_source
from commission_tui.logbook.logbook import Logbook
from commission_tui.logbook.store.backup import restore
from commission_tui.logbook.store.database_check import verify_database
from commission_tui.logbook.store.photos import read_photo
from commission_tui.logbook.tables.part_list_import import read_parts
from commission_tui.logbook.tables.table_import import read_table
from commission_tui.logbook.tables.table_mapping import new_mapping
from commission_tui.wall.mapping.observed.observation import read_looks
from commission_tui.wall.mapping.scan import read_scan_table
from commission_tui.wall.model.wall_file import read_wall
from tests.fuzz.seeds import PASSPHRASE, Seeds

Reads = Callable[[Seeds, Path], object]
_CHECK = "cabinet-luminance"
_FIELD = "luminance_cd_m2"


def _checklist(_: Seeds, path: Path) -> object:
    folder = path.parent / "own"
    folder.mkdir()
    path.rename(folder / "own.toml")
    text = next(text for name, text in files_with(folder).items() if name.endswith("own/own.toml"))
    for line in file_errors("own.toml", text):
        _printable(line)
    return parse_checklist({"own.toml": text})


def _cases(seeds: Seeds, path: Path) -> object:
    folder = path.parent / "own" / "cases"
    folder.mkdir(parents=True)
    path.rename(folder / "cases.toml")
    tried = try_cases(folder.parent, parse_checklist(shipped_files()), seeds.job.state.wall)
    for line in tried.errors:
        _printable(line)
    if tried.errors:
        raise ChecklistError(tried.errors[0])
    return tried


def _readings(seeds: Seeds, path: Path) -> object:
    whole = b"check" in path.read_bytes()[:400]
    check, field = (None, None) if whole else (_CHECK, _FIELD)
    found = read_table(seeds.job, path, check=check, field=field)
    for line in (*found.bad, *found.odd, *found.notes):
        _printable(str(line))
    return found


def _mapped(seeds: Seeds, path: Path) -> object:
    check = seeds.job.state.checklist.check(_CHECK)
    mapping = new_mapping(check, "meter", {"Point": "place", "L (fL)": _FIELD})
    return read_table(seeds.job, path, check=_CHECK, mapping=mapping)


def _photo(_: Seeds, path: Path) -> object:
    return downscaled(read_photo(path).content)


def _handed_over(_: Seeds, path: Path) -> object:
    found = verify_file(path)
    for finding in found.findings:
        _printable(finding.said)
    return read_back(read_file(path), str(path))


def _database(_: Seeds, path: Path) -> object:
    """Verify, merge from, restore and open it: all that a person would try with it."""
    with contextlib.suppress(CommissionError):
        for line in verify_database(path):
            _printable(line)
    with contextlib.suppress(CommissionError), database_source(path) as source:
        list(source.files)
    with contextlib.suppress(CommissionError):
        restore(path.parent / "restored.db", path)
    book = Logbook(path)
    try:
        for row in book.jobs():
            _printable(row.damage)
            with contextlib.suppress(CommissionError):
                book.open(row.id, "A. Reader").outcomes()
    finally:
        book.close()
    return None


READERS: dict[str, tuple[str, Reads]] = {
    "wall": ("wall.toml", lambda _, path: read_wall(path)),
    "checklist": ("own.toml", _checklist),
    "cases": ("cases.toml", _cases),
    "faults": (
        "faults.toml",
        lambda _, path: read_catalogue(read_text(path, 10**7, "a catalogue", CommissionError)),
    ),
    "readings": ("meter.csv", _readings),
    "mapped": ("meter.csv", _mapped),
    "parts": ("parts.csv", lambda seeds, path: read_parts(seeds.small.state, path)),
    "observations": ("seen.csv", lambda seeds, path: read_looks(path, seeds.job.state.wall)),
    "scan": ("scan.csv", lambda seeds, path: read_scan_table(path, seeds.job.state.wall)),
    "record": ("record.json", _handed_over),
    "document": ("handover.pdf", _handed_over),
    "photo": ("photo.jpg", _photo),
    "strokes": ("strokes.json", lambda _, path: read_strokes(path)),
    "certificate": ("signer.crt", lambda _, path: read_certificates([path])),
    "key": ("own.p12", lambda _, path: read_key(path, PASSPHRASE)),
    "database": ("logbook.db", _database),
}
"""Reader to the name its file has and how it is read."""


class Unsafe(AssertionError):  # noqa: N818 (named for what it says)
    """A reader did what no file may make it do."""


def _printable(text: str) -> None:
    odd = {unicodedata.category(letter) for letter in text} & {"Cc", "Cf", "Cs", "Zl", "Zp"}
    if odd:
        raise Unsafe(f"text with {sorted(odd)}: {text[:200]!r}")


class Watch:
    """Notices, by Python's audit events, what is written elsewhere and what is started."""

    def __init__(self) -> None:
        self.inside: Path | None = None
        self.seen: list[str] = []
        sys.addaudithook(self._hook)

    def _hook(self, event: str, arguments: tuple[Any, ...]) -> None:
        if self.inside is None:
            return
        if event in _STARTS:
            self.seen.append(f"{event} {arguments[:1]!r:.200}")
        elif event in _WRITES and self._writes(event, arguments):
            self.seen.append(f"{event} {arguments[:2]!r:.200}")

    def _writes(self, event: str, arguments: tuple[Any, ...]) -> bool:
        path = arguments[0]
        if event == "open":
            flags = arguments[2] if isinstance(arguments[2], int) else 0
            if not flags & (os.O_WRONLY | os.O_RDWR | os.O_CREAT | os.O_TRUNC):
                return False
        if isinstance(path, int) or (event == "os.remove" and arguments[1] != -1):
            return False  # by a handle: of a temporary folder that goes with all that is in it
        if event == "sqlite3.connect" and path == ":memory:":
            return False  # no file: the shipped schema, made to be compared with
        text = os.fsdecode(path) if isinstance(path, str | bytes | os.PathLike) else str(path)
        # What Python itself keeps of a module that is imported only now.
        elsewhere = not Path(text.removeprefix("file://")).is_relative_to(str(self.inside))
        return elsewhere and not re.search(r"__pycache__|\.pyc\b", text) and text != os.devnull

    @contextlib.contextmanager
    def over(self, folder: Path) -> Iterator[None]:
        self.inside, self.seen = folder, []
        try:
            yield
        finally:
            self.inside = None


_STARTS = {
    *("os.system", "os.exec", "os.posix_spawn", "os.fork", "subprocess.Popen", "pickle.find_class"),
    *("socket.connect", "socket.bind", "ctypes.dlopen.hostile", "webbrowser.open"),
}
_WRITES = {"open", "os.mkdir", "os.rename", "os.remove", "os.link", "os.symlink", "sqlite3.connect"}
_WATCH = Watch()


def attempt(seeds: Seeds, reader: str, content: bytes, scratch: Path) -> str:
    """Have a reader read something; return what came of it: ``read`` or ``refused``.

    Raises
    ------
    Unsafe
        When its one line does not print, it wrote elsewhere or started anything.
    Exception
        Whatever else the reader let out, which is a fault of it.
    """
    name, reads = READERS[reader]
    with tempfile.TemporaryDirectory(dir=scratch) as held:
        folder = Path(held)
        (folder / name).write_bytes(content)
        with _all_in(folder):
            came = _tried(seeds, reads, folder / name)
        if _WATCH.seen:
            raise Unsafe(f"{reader}: {'; '.join(_WATCH.seen[:5])}")
    return came


@contextlib.contextmanager
def _all_in(folder: Path) -> Iterator[None]:
    """Have temporary files made in the folder too, and watch."""
    before, tempfile.tempdir = tempfile.tempdir, str(folder)
    try:
        with _WATCH.over(folder):
            yield
    finally:
        tempfile.tempdir = before


def _tried(seeds: Seeds, reads: Reads, path: Path) -> str:
    try:
        reads(seeds, path)
    except CommissionError as error:
        text = str(error)
        if not text.strip():
            raise Unsafe("an error that says nothing") from None
        _printable(text)
        return "refused"
    return "read"

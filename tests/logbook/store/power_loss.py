"""Power lost at any moment, on a disk that keeps only what it was told to keep.

A program that logs is watched (strace): each write, each cut, each order to write to the disk, and each
acknowledgement, in their order. At a moment chosen by lot the power goes: of every file there is what it
was at its last order to keep it, and of what was written since then any part, in any order, torn where a
sector ends. The program's next start must find every entry that was acknowledged before that moment.
"""

from __future__ import annotations

import random
import re
import shutil
import subprocess
import sys
from dataclasses import dataclass, field
from pathlib import Path

from commission_tui.logbook.logbook import Logbook
from commission_tui.logbook.store.database_check import verify_database

SECTOR = 512
LOGS = """
import os, sys
from pathlib import Path
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.logbook import Logbook, body
job = Logbook(Path(sys.argv[1])).open(sys.argv[2], "B")
for number in range(int(sys.argv[3])):
    job.record(body(e.Note, text=f"note {number}"))
    os.write(1, b"acknowledged")
os._exit(0)
"""
_CALL = re.compile(r"(\w+)\(\d+<([^>]*)>(.*)\)\s+= (\d+)")
_WRITTEN = re.compile(r', "((?:\\x[0-9a-f]{2})*)", \d+(?:, (\d+))?$')


@dataclass(frozen=True)
class Call:
    """One call of the program on a file; of an acknowledgement the name is ``ack``."""

    name: str
    file: str = ""
    at: int = 0
    data: bytes = b""


@dataclass
class _Disk:
    """What a file is for the program, and what of it the disk keeps without more."""

    kept: bytes
    since: list[Call] = field(default_factory=list)

    def told(self, call: Call) -> None:
        if call.name == "sync":
            self.kept, self.since = _with(self.kept, self.since), []
        else:
            self.since.append(call)

    def after_loss(self, rng: random.Random) -> bytes:
        """Return the file with any part of what was not kept yet."""
        there = []
        for call in rng.sample(self.since, rng.randint(0, len(self.since))):
            torn = rng.randrange(0, len(call.data) + 1, SECTOR) if rng.random() < 0.3 else None
            there.append(Call(call.name, call.file, call.at, call.data[:torn]))
        return _with(self.kept, there)


def _with(content: bytes, calls: list[Call]) -> bytes:
    whole = bytearray(content)
    for call in calls:
        if call.name == "cut":
            del whole[call.at :]
            whole.extend(bytes(call.at - len(whole)))
        elif call.data:
            whole.extend(bytes(max(0, call.at - len(whole))))
            whole[call.at : call.at + len(call.data)] = call.data
    return bytes(whole)


def recorded(database: Path, job_id: str, notes: int) -> list[Call]:
    """Let a program log so many notes, and return what it told the disk."""
    seen = database.with_name("calls")
    command = [
        *(shutil.which("strace") or "strace", "-f", "-y", "-xx", "-s", "70000", "-o", str(seen)),
        *("-e", "trace=write,pwrite64,fsync,fdatasync,ftruncate"),
    ]
    program = [sys.executable, "-c", LOGS, str(database), job_id, str(notes)]
    subprocess.run([*command, *program], check=True, stdout=subprocess.DEVNULL, timeout=600)
    calls = []
    with seen.open(encoding="ascii") as lines:
        for line in lines:
            if found := _CALL.search(line):
                calls += _call(found, database.name)
    seen.unlink()
    return calls


def _call(found: re.Match[str], database: str) -> list[Call]:
    name, path, rest, _ = found.groups()
    file = _text(path).rpartition("/")[2]
    if file not in (database, f"{database}-wal"):
        acknowledged = name == "write" and b"acknowledged".hex() in rest.replace("\\x", "")
        return [Call("ack")] if acknowledged else []
    if name.endswith("sync"):
        return [Call("sync", file)]
    if name == "ftruncate":
        return [Call("cut", file, int(rest.strip(", ")))]
    written = _WRITTEN.search(rest)
    assert written, rest[:200]
    return [Call("write", file, int(written[2]), _bytes(written[1]))]


def _bytes(escaped: str) -> bytes:
    return bytes.fromhex(escaped.replace("\\x", ""))


def _text(path: str) -> str:
    return _bytes(path).decode() if path.startswith("\\x") else path


def kept(database: Path) -> dict[str, bytes]:
    """Return what the disk keeps of a database and its log before anybody writes."""
    both = (database, database.with_name(f"{database.name}-wal"))
    return {path.name: path.read_bytes() for path in both if path.exists()}


def lose_power(
    before: dict[str, bytes], calls: list[Call], at: int, rng: random.Random, folder: Path
) -> int:
    """Put the files as they are after a loss of power before a call; return what was acknowledged."""
    disks = {name: _Disk(content) for name, content in before.items()}
    acknowledged = 0
    for call in calls[:at]:
        if call.name == "ack":
            acknowledged += 1
        else:
            disks.setdefault(call.file, _Disk(b"")).told(call)
    folder.mkdir()
    for name, disk in disks.items():
        (folder / name).write_bytes(disk.after_loss(rng))
    return acknowledged


def lost(database: Path, job_id: str, acknowledged: int) -> list[str]:
    """Open a database after a loss of power, and name what is not as it was acknowledged."""
    book = Logbook(database)
    notes = [one.body.text for one in book.open(job_id, "C").state.notes]
    book.close()
    # One that was written and not yet acknowledged may be there.
    sound = notes in ([f"note {n}" for n in range(acknowledged + more)] for more in (0, 1))
    return (
        []
        if sound
        else [f"{acknowledged} acknowledged, found {notes[-1:]}", *verify_database(database)]
    )


def losses(
    database: Path, job_id: str, folder: Path, *, notes: int, count: int, seed: int
) -> tuple[int, list[str]]:
    """Lose power so often while notes are logged; return what was acknowledged in all, and what was lost."""
    before = kept(database)
    calls = recorded(database, job_id, notes)
    assert sum(call.name == "ack" for call in calls) == notes
    rng = random.Random(seed)  # noqa: S311 (which moment, not a secret)
    acknowledged, wrong = 0, []
    for number in range(count):
        place = folder / f"loss {number}"
        known = lose_power(before, calls, rng.randint(0, len(calls)), rng, place)
        wrong += lost(place / database.name, job_id, known)
        acknowledged += known
        shutil.rmtree(place)
    return acknowledged, wrong


def without_syncs(calls: list[Call]) -> list[Call]:
    """Return the calls of a program that never tells the disk to keep anything."""
    return [call for call in calls if call.name != "sync"]

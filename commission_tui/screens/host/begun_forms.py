"""What was typed and not logged, by the name of its form; kept beside the logbook, so that no crash loses it."""

from __future__ import annotations

import contextlib
import glob
import json
import secrets
from collections.abc import Mapping
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import Any

from commission_tui.errors import CommissionError, InputError
from commission_tui.files import FOR_ITS_OWNER, read_text, write_whole
from commission_tui.logbook.state.state import State
from commission_tui.screens.host.program_lock import ProgramLock

NOT_LOGGED = "Not logged. Opened again here, it has what you typed; quitting drops it"


class Drafts(dict[str, dict[str, str]]):
    """Unfinished forms; what Esc left is there until the program ends, the rest outlives it."""

    def __init__(self) -> None:
        super().__init__()
        self._put_aside: set[str] = set()

    def begin(self, name: str, typed: dict[str, str]) -> None:
        """Hold what is being typed; nothing typed is no draft."""
        self._put_aside.discard(name)
        if typed:
            self[name] = typed
        else:
            self.pop(name, None)

    def put_aside(self, name: str, typed: dict[str, str]) -> bool:
        """Hold what Esc said is not to be logged; whether that is anything."""
        self.begin(name, typed)
        if typed:
            self._put_aside.add(name)
        return bool(typed)

    def is_aside(self, name: str) -> bool:
        return name in self._put_aside

    def since(self, name: str) -> str:
        """Say from when a form has something typed in it already; nothing when it has not."""
        if not self.get(name):
            return ""
        return "typed before Esc" if self.is_aside(name) else "half typed when the program ended"

    @property
    def to_keep(self) -> dict[str, dict[str, str]]:
        """What a crash or the next start must not lose."""
        return {name: typed for name, typed in self.items() if name not in self._put_aside}


_LONGEST = 1_000_000
_MOST_LEFT = 64
"""Files of programs that have ended; what is older than these goes."""
_LOCK = ".lock"


def reading_draft(at: Mapping[str, str]) -> str:
    """Return the name under which a value waits where it was typed."""
    return f"reading {at.get('check')} {at.get('field')} {at.get('place')}"


def visit_now(state: State) -> str:
    """Return the id of the visit that is being made; nothing on the first."""
    return state.visits[-1].id if state.visits else ""


def is_of_visit(kept: Mapping[str, str], state: State) -> bool:
    """Whether a value was half typed on this visit: one of an earlier visit is no reading of this."""
    return kept.get("visit", "") == visit_now(state)


@dataclass(frozen=True, slots=True)
class Begun:
    """What one person has begun in one job: drafts by name, and the place of the walk."""

    job: str
    by: str
    drafts: Mapping[str, Mapping[str, str]]
    walk: Mapping[str, str]

    @property
    def is_empty(self) -> bool:
        return not self.drafts and not self.walk

    @property
    def has_value(self) -> bool:
        """Whether anything is typed at the place of the walk, or waits there."""
        return bool(self.walk.get("value") or self.walk.get("waits"))

    def together(self, left: Begun) -> tuple[Begun, Begun]:
        """Return this with what another program left, and what of that has no room beside it."""
        drafts = {**left.drafts, **self.drafts}
        gives_way = not self.walk or (left.has_value and not self.has_value)
        walk, other = (left.walk, self.walk) if gives_way else (self.walk, left.walk)
        rest = {name: typed for name, typed in left.drafts.items() if drafts[name] != typed}
        has_room = not other.get("value") or (
            drafts.setdefault(reading_draft(other), other) == other  # it waits where it was typed
        )
        over = {} if has_room and not other.get("waits") else other
        return replace(self, drafts=drafts, walk=walk), replace(left, drafts=rest, walk=over)


class Unfinished:
    """What is begun in each job, beside the logbook: in a file for each running program and job.

    A file is its program's as long as that runs. What one that has ended left is taken up once, by the
    next start of the same person in the same job.
    """

    def __init__(self, database: Path) -> None:
        self._beside, self._name = database.parent, f"{database.name}.unfinished"
        self._own: dict[str, tuple[Path, ProgramLock]] = {}
        self._kept: dict[str, str] = {}

    def recall(self, job: str, by: str) -> tuple[dict[str, dict[str, str]], dict[str, str]]:
        """Return the drafts and the place of the walk of a job; nothing when none can be read."""
        begun = Begun(job, by, {}, {})
        if job in self._own:
            begun = _read(self._own[job][0], by) or begun
        for number, path in enumerate(self._left()):
            lock = ProgramLock.taken(_lock_of(path))
            if lock is None:
                continue
            left = _read(path, by)
            if left is not None and (left.job, left.by) == (job, by):
                more, rest = begun.together(left)
                if self._keep(more) and _written(path, rest):  # kept here before it goes there
                    begun = more
            elif number >= _MOST_LEFT:
                path.unlink(missing_ok=True)
            lock.end()
        return {name: dict(typed) for name, typed in begun.drafts.items()}, dict(begun.walk)

    def keep(
        self, job: str, by: str, drafts: Mapping[str, Mapping[str, str]], walk: Mapping[str, str]
    ) -> None:
        """Write what is begun, when it changed; a disk that is full keeps nobody from working."""
        self._keep(Begun(job, by, drafts, walk))

    def let_go(self) -> None:
        """Leave what is begun to the next start: this program ends."""
        for _, lock in self._own.values():
            lock.end()
        self._own.clear()

    def _keep(self, begun: Begun) -> bool:
        """Write what is begun into this program's own file; whether it is there."""
        text = _text(begun)
        if text == self._kept.get(begun.job):
            return True
        if begun.job not in self._own:
            if begun.is_empty:
                return True
            path = self._beside / f"{self._name}-{secrets.token_hex(8)}"
            lock = ProgramLock.taken(_lock_of(path))
            if lock is None:
                return False
            self._own[begun.job] = path, lock
        if not _written(self._own[begun.job][0], begun):
            return False
        self._kept[begun.job] = text
        return True

    def _left(self) -> list[Path]:
        """Return the files of other programs, the latest first; a lock without a file goes."""
        own = {path for path, _ in self._own.values()}
        found = set(self._beside.glob(f"{glob.escape(self._name)}*")) - own
        locks = {path for path in found if path.name.endswith(_LOCK)}
        left = found - locks
        for path in locks - {_lock_of(path) for path in own | left}:
            if lock := ProgramLock.taken(path):
                lock.end()
        return sorted(left, key=_age)


def _lock_of(path: Path) -> Path:
    return path.with_name(f"{path.name}{_LOCK}")


def _age(path: Path) -> float:
    with contextlib.suppress(OSError):
        return -path.stat().st_mtime
    return 0.0


def _text(begun: Begun) -> str:
    return json.dumps(asdict(begun))


def _written(path: Path, begun: Begun) -> bool:
    """Write a file, or remove it where nothing is begun; whether that could be done."""
    text = _text(begun)
    if len(text) > _LONGEST:
        return False
    try:
        if begun.is_empty:
            path.unlink(missing_ok=True)
        else:
            write_whole(path, text.encode(), InputError, mode=FOR_ITS_OWNER)
    except (CommissionError, OSError):
        return False
    return True


def _read(path: Path, by: str) -> Begun | None:
    """Return what a file keeps; one in which nobody is named is of whoever comes."""
    try:
        found = json.loads(read_text(path, _LONGEST, "unfinished work", InputError))
    except (CommissionError, ValueError, RecursionError):
        return None
    if not isinstance(found, dict):
        return None
    drafts = found.get("drafts")
    listed = drafts.items() if isinstance(drafts, dict) else ()
    return Begun(
        str(found.get("job")),
        str(found.get("by", by)),
        {str(name): _words(said) for name, said in listed},
        _words(found.get("walk")),
    )


def _words(found: Any) -> dict[str, str]:
    """Return what is text of a table that anybody may have written."""
    if not isinstance(found, dict):
        return {}
    return {str(key): said for key, said in found.items() if isinstance(said, str)}

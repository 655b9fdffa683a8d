"""What was typed and not logged, by the name of its form; kept beside the logbook, so that no crash loses it."""

from __future__ import annotations

import contextlib
import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from commission_tui.errors import CommissionError, InputError
from commission_tui.files import FOR_ITS_OWNER, read_text, write_whole

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


class Unfinished:
    """Unfinished forms and the place of the walk, of one job at a time."""

    def __init__(self, database: Path) -> None:
        self._path = database.with_name(database.name + ".unfinished")
        self._kept = ""

    def recall(self, job: str) -> tuple[dict[str, dict[str, str]], dict[str, str]]:
        """Return the drafts and the place of the walk of a job; nothing when none can be read."""
        try:
            found = json.loads(read_text(self._path, _LONGEST, "unfinished work", InputError))
        except (CommissionError, ValueError, RecursionError):
            return {}, {}
        if not isinstance(found, dict) or found.get("job") != job:
            return {}, {}
        drafts = found.get("drafts")
        listed = drafts.items() if isinstance(drafts, dict) else ()
        return {str(name): _words(said) for name, said in listed}, _words(found.get("walk"))

    def keep(
        self, job: str, drafts: Mapping[str, Mapping[str, str]], walk: Mapping[str, str]
    ) -> None:
        """Write what is unfinished, when it changed; a disk that is full keeps nobody from working."""
        text = json.dumps({"job": job, "drafts": drafts, "walk": walk})
        if text == self._kept or len(text) > _LONGEST:
            return
        with contextlib.suppress(CommissionError, OSError):
            write_whole(self._path, text.encode(), InputError, mode=FOR_ITS_OWNER)
            self._kept = text


def _words(found: Any) -> dict[str, str]:
    """Return what is text of a table that anybody may have written."""
    if not isinstance(found, dict):
        return {}
    return {str(key): said for key, said in found.items() if isinstance(said, str)}

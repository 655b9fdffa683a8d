"""What was typed and not yet logged, kept beside the logbook so that a crash loses none of it."""

from __future__ import annotations

import contextlib
import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from commission_tui.errors import CommissionError, InputError
from commission_tui.files import FOR_ITS_OWNER, read_text, write_whole

_LONGEST = 1_000_000

Drafts = dict[str, dict[str, str]]


class Unfinished:
    """Unfinished forms and the place of the walk, of one job at a time."""

    def __init__(self, database: Path) -> None:
        self._path = database.with_name(database.name + ".unfinished")
        self._kept = ""

    def recall(self, job: str) -> tuple[Drafts, dict[str, str]]:
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

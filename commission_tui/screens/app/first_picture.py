"""The first screen as it was last shown: painted at once at the next start while it still says what is so."""

from __future__ import annotations

import os
import shutil
import time
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from commission_tui import __version__
from commission_tui.logbook.store import splash_cache

if TYPE_CHECKING:
    from textual.screen import Screen

_COLOURS = ("NO_COLOR", "FORCE_COLOR", "COMMISSION_TUI_COLOURS")
_TERMINAL = ("TERM", "COLORTERM", "TTY_", "TEXTUAL", "UNICODE_VERSION")


@dataclass(frozen=True, slots=True)
class FirstPicture:
    """Of a job's overview, or of the list of jobs when no job is named."""

    database: Path
    by: str
    job: str | None = None
    ascii_only: bool = False

    def stands(self) -> list[str] | None:
        """Return all that the picture depends on as it is now; None when there is nothing to show."""
        logged = splash_cache.facts(self.database, self.job)
        if logged is None:
            return None
        size = shutil.get_terminal_size()
        told = {
            name: value
            for name, value in sorted(os.environ.items())
            if name in _COLOURS or name.startswith(_TERMINAL)
        }
        return [
            __version__, f"{size.columns} x {size.lines}", f"ascii {self.ascii_only}", str(told),
            str(self.database), self.by, str(self.job), *_today(), logged,
        ]  # fmt: skip

    def recall(self) -> list[str] | None:
        """Return the picture's lines, ready for the terminal; None when there is none that holds."""
        stands = self.stands()
        return None if stands is None else splash_cache.recall(self.database, stands)

    def remember(self, stands: Sequence[str], lines: Sequence[str]) -> None:
        """Keep a picture that was made after `stands` was looked up, unless that has changed since."""
        if self.stands() == stands:
            splash_cache.remember(self.database, stands, lines)


def _today() -> tuple[str, str]:
    return str(datetime.now().astimezone().date()), str(time.tzname)


def lines_of(screen: Screen[object]) -> list[str]:
    """Return what a screen shows, a line a row with its colours, as the terminal gets it."""
    console = screen.app.console
    return [strip.render(console) for strip in screen._compositor.render_strips()]

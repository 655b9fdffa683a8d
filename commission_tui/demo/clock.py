"""The clock of the invented job: it moves only as the story says."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta


class ScriptClock:
    """A clock that moves by a millisecond at each look, and by what the story says passes."""

    def __init__(self) -> None:
        self.moment = datetime(2026, 6, 8, 13, 0, tzinfo=UTC)
        self._each = timedelta(milliseconds=1)

    def __call__(self) -> datetime:
        self.moment += self._each
        return self.moment

    def pass_minutes(self, minutes: float) -> None:
        self.moment += timedelta(minutes=minutes)

    @contextmanager
    def each(self, minutes: float) -> Iterator[None]:
        """Let so many minutes pass before each entry that is written meanwhile."""
        before, self._each = self._each, timedelta(minutes=minutes, milliseconds=1)
        try:
            yield
        finally:
            self._each = before

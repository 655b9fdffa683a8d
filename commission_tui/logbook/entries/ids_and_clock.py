"""Time-ordered unique ids and the clock, both replaceable so that a job can be played again."""

from __future__ import annotations

import secrets
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from uuid import UUID

Clock = Callable[[], datetime]
RandomBits = Callable[[int], int]


def now() -> datetime:
    return datetime.now(UTC)


_SHORT = 4
CLOCKS_APART = timedelta(minutes=5)
"""From which difference on two clocks are told to differ."""


def short_id(entry_id: str) -> str:
    """Return the end of an id: what names an entry on every laptop, whatever number it has there."""
    return entry_id[-_SHORT:]


def moment_of(entry_id: str) -> datetime:
    """Return when an entry was made, or the entry before it where the clock was set back then."""
    return datetime.fromtimestamp((UUID(entry_id).int >> 80) / 1000, UTC)


class IdSource:
    """Version 7 UUIDs (RFC 9562, 5.7), strictly increasing within one source.

    Two entries of the same millisecond, or after the clock was set back, still sort in the order in
    which they were made: the 74 free bits count up from a random start, by random steps (RFC 9562, 6.2,
    method 2): two programs that go on behind the same entry do not give the same id.
    """

    def __init__(self, random_bits: RandomBits = secrets.randbits) -> None:
        self._random_bits = random_bits
        self._last = 0

    def after(self, last_id: str | None) -> None:
        """Never give an id that sorts before one already seen."""
        if last_id:
            value = UUID(last_id).int
            tail = (value >> 64 & 0xFFF) << 62 | value & (1 << 62) - 1
            self._last = max(self._last, (value >> 80) << 74 | tail)

    def next(self, at: datetime) -> str:
        """Return the next id for a moment."""
        fresh = int(at.timestamp() * 1000) << 74 | self._random_bits(73)
        self._last = fresh if fresh > self._last else self._last + 1 + self._random_bits(32)
        milliseconds, tail = self._last >> 74, self._last & (1 << 74) - 1
        value = milliseconds << 80 | 7 << 76 | tail >> 62 << 64 | 2 << 62 | tail & (1 << 62) - 1
        return str(UUID(int=value))

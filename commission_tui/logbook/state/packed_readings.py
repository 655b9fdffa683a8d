"""The readings of one field at one place, packed: a large job has a hundred thousand of them.

A reading as an object takes a kilobyte, most of it the same for all of them; packed it takes fifty bytes
and is made again when somebody asks. What is asked of all readings at once (whose is the last, which
are of this visit, what does the last one say) is answered without.
"""

from __future__ import annotations

import struct
from bisect import bisect_left
from collections.abc import Iterable, Iterator, Sequence
from functools import lru_cache
from typing import NamedTuple, overload

from commission_tui.checks.model.types import Value
from commission_tui.logbook.entries.logged import Logged
from commission_tui.logbook.entries.models import ReadingTaken

Reading = Logged[ReadingTaken]
_ROW = struct.Struct("<16sqd")
"""Id, time as the digits of it, and the value where it is a number."""


_AFTER_ALL = b"\xff" * 17


class _Common(NamedTuple):
    """What readings share with those before and after them."""

    by: str
    unit: str
    instrument: str | None
    meter_time: str | None
    again: bool | None
    odd: str
    corrected: bool
    words: str | bool | None
    """The value where it is no number."""


@lru_cache(maxsize=4096)
def _shared(
    by: str,
    unit: str,
    instrument: str | None,
    meter_time: str | None,
    again: bool | None,
    odd: str,
    corrected: bool,
    words: str | bool | None,
) -> _Common:
    """Return one object for the readings that share it, as long as they come near each other."""
    return _Common(by, unit, instrument, meter_time, again, odd, corrected, words)


@lru_cache(maxsize=256)
def _alike(common: tuple[_Common, ...]) -> tuple[_Common, ...]:
    """Return one tuple for places that were read alike."""
    return common


class Readings(Sequence[Reading]):
    """An immutable sequence of logged readings in the order of their ids."""

    __slots__ = ("_common", "_rows", "check", "field", "place")

    def __init__(
        self, check: str, field: str, place: str, rows: bytes, common: tuple[_Common, ...]
    ) -> None:
        self.check, self.field, self.place = check, field, place
        self._rows, self._common = rows, common

    @classmethod
    def of(cls, readings: Iterable[Reading]) -> Readings:
        """Pack readings of one check, field and place; at least one, in any order."""
        listed = sorted(readings, key=lambda logged: logged.id)
        first = listed[0].body
        return cls(
            first.check,
            first.field,
            first.place,
            b"".join(_row(x.id, x.at, x.body.value) for x in listed),
            tuple(_common(x.by, x.body, x.corrected) for x in listed),
        )

    def added(self, logged: Reading) -> Readings:
        """Return these and one more, which nearly always comes last."""
        if logged.id > self.last_id:
            return self + Readings.of((logged,))
        return Readings.of((*self, logged))

    def without(self, entry_id: str) -> Readings | None:
        """Return these without one; None when nothing is left."""
        at = self._from(entry_id)
        if at == len(self) or self.id_at(at) != entry_id:
            return self
        return self._between(0, at) + self._between(at + 1, len(self)) or None

    def between(self, begin: str, end: str) -> Readings:
        """Return those whose id is at or after one and before another."""
        first, after = self._from(begin), self._from(end)
        return self if (first, after) == (0, len(self)) else self._between(first, after)

    def id_at(self, at: int) -> str:
        at += len(self) if at < 0 else 0
        return _id(self._rows[at * _ROW.size : at * _ROW.size + 16])

    @property
    def last_id(self) -> str:
        return self.id_at(-1)

    @property
    def last_key(self) -> bytes:
        """The id of the last one, packed: it sorts as the id does."""
        return self._rows[-_ROW.size : -_ROW.size + 16]

    @property
    def last_value(self) -> Value:
        """What the last reading says."""
        words = self._common[-1].words
        return (
            _ROW.unpack_from(self._rows, len(self._rows) - _ROW.size)[2] if words is None else words
        )

    @property
    def people(self) -> tuple[str, ...]:
        """Who took them, the first first."""
        return tuple(dict.fromkeys(common.by for common in self._common))

    @property
    def instruments(self) -> frozenset[str | None]:
        return frozenset(common.instrument for common in self._common)

    @property
    def repeats(self) -> int:
        """How many of the latest are of the same thing: one, and those that say "again"."""
        count = min(1, len(self))
        while 0 < count < len(self) and self._common[-count].again:
            count += 1
        return count

    def __len__(self) -> int:
        return len(self._common)

    @overload
    def __getitem__(self, at: int) -> Reading: ...
    @overload
    def __getitem__(self, at: slice) -> tuple[Reading, ...]: ...
    def __getitem__(self, at: int | slice) -> Reading | tuple[Reading, ...]:
        if isinstance(at, slice):
            return tuple(self._made(i) for i in range(*at.indices(len(self))))
        if not -len(self) <= at < len(self):
            raise IndexError(at)
        return self._made(at + len(self) if at < 0 else at)

    def __iter__(self) -> Iterator[Reading]:
        return map(self._made, range(len(self)))

    def __add__(self, others: Readings) -> Readings:
        return self._with(self._rows + others._rows, self._common + others._common)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Readings) and self._all() == other._all()

    def __hash__(self) -> int:
        return hash(self._rows)

    def __repr__(self) -> str:
        return f"Readings({list(self)!r})"

    def _all(self) -> tuple[object, ...]:
        return self.check, self.field, self.place, self._rows, self._common

    def _from(self, entry_id: str) -> int:
        """Return the place of the first reading whose id is not before one."""
        return bisect_left(range(len(self)), _key(entry_id), key=self._key_at)

    def _key_at(self, at: int) -> bytes:
        return self._rows[at * _ROW.size : at * _ROW.size + 16]

    def _between(self, first: int, after: int) -> Readings:
        size = _ROW.size
        return self._with(self._rows[first * size : after * size], self._common[first:after])

    def _with(self, rows: bytes, common: tuple[_Common, ...]) -> Readings:
        return Readings(self.check, self.field, self.place, rows, common)

    def _made(self, at: int) -> Reading:
        common = self._common[at]
        packed_id, digits, number = _ROW.unpack_from(self._rows, at * _ROW.size)
        body = ReadingTaken(
            check=self.check,
            field=self.field,
            place=self.place,
            value=number if common.words is None else common.words,
            unit=common.unit,
            instrument=common.instrument,
            meter_time=common.meter_time,
            again=True if common.again else None,
            odd=common.odd,
        )
        return Logged(_id(packed_id), _time(digits), common.by, body, common.corrected)


class Growing:
    """Readings of one check, field and place that come in the order of their ids."""

    __slots__ = ("_common", "_rows")

    def __init__(self) -> None:
        self._rows = bytearray()
        self._common: list[_Common] = []

    def take(self, entry_id: str, at: str, by: str, body: ReadingTaken) -> None:
        self._rows += _row(entry_id, at, body.value)
        self._common.append(_common(by, body, False))

    def readings(self, check: str, field: str, place: str) -> Readings:
        return Readings(check, field, place, bytes(self._rows), _alike(tuple(self._common)))


def _row(entry_id: str, at: str, value: Value) -> bytes:
    return _ROW.pack(
        bytes.fromhex(entry_id.replace("-", "")),
        int(at.encode().translate(None, b"-T:.Z")),
        0.0 if isinstance(value, bool | str) else value,
    )


def _common(by: str, body: ReadingTaken, corrected: bool) -> _Common:
    value = body.value
    return _shared(
        by, body.unit, body.instrument, body.meter_time, body.again, body.odd, corrected,
        value if isinstance(value, bool | str) else None,
    )  # fmt: skip


def _key(entry_id: str) -> bytes:
    """Return what sorts as an id does; anything that is no id sorts before or after all of them."""
    try:
        return bytes.fromhex(entry_id.replace("-", ""))
    except ValueError:
        return _AFTER_ALL


def _id(packed: bytes) -> str:
    text = packed.hex()
    return f"{text[:8]}-{text[8:12]}-{text[12:16]}-{text[16:20]}-{text[20:]}"


def _time(digits: int) -> str:
    text = f"{digits:017d}"
    return (
        f"{text[:4]}-{text[4:6]}-{text[6:8]}T{text[8:10]}:{text[10:12]}:{text[12:14]}.{text[14:]}Z"
    )

"""The entries of a job in the order of their ids, those of long ago packed.

An entry as an object takes a kilobyte; a page of them, as the text that the database keeps, packs to sixty
bytes each. All that follows from the entries stands in the state; the entries themselves are asked for one
at a time (a correction, the history of a fault) or all in a row (the record), seldom.
"""

from __future__ import annotations

import zlib
from bisect import bisect_right
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence, ValuesView
from dataclasses import dataclass
from functools import lru_cache
from itertools import islice

from pydantic import TypeAdapter

from commission_tui.logbook.entries.models import Entry

PAGE = 256
"""Entries packed together: many, since they share most of their text; not too many to look one up."""
_OPENED = 8
"""Pages kept as objects: entries asked for one after the other mostly lie near each other."""
_QUICK = 1
_ENTRIES: TypeAdapter[tuple[Entry, ...]] = TypeAdapter(tuple[Entry, ...])


@dataclass(frozen=True, slots=True)
class Page:
    """Some entries in a row, packed."""

    first_id: str
    count: int
    packed: bytes

    @classmethod
    def of(cls, first_id: str, texts: Sequence[str]) -> Page:
        """Pack entries given as JSON, one text each."""
        text = f"[{','.join(texts)}]"
        return cls(first_id, len(texts), zlib.compress(text.encode(), _QUICK))

    def read(self) -> tuple[Entry, ...]:
        return _ENTRIES.validate_json(zlib.decompress(self.packed))


@lru_cache(maxsize=_OPENED)
def _opened(page: Page) -> dict[str, Entry]:
    return {entry.id: entry for entry in page.read()}


class Entries(Mapping[str, Entry]):
    """An immutable mapping of id to entry, in the order of the ids."""

    __slots__ = ("_count", "_firsts", "_pages", "_tail")

    def __init__(self, pages: tuple[Page, ...] = (), tail: tuple[Entry, ...] = ()) -> None:
        self._pages, self._tail = pages, tail
        self._firsts = tuple(page.first_id for page in pages)
        self._count = sum(page.count for page in pages) + len(tail)

    def added(self, entry: Entry) -> Entries:
        """Return these and one more, whose id sorts after theirs."""
        tail = (*self._tail, entry)
        if len(tail) < PAGE:
            return self._with(self._pages, self._firsts, tail)
        page = packed(tail)
        return self._with((*self._pages, page), (*self._firsts, page.first_id), ())

    def without(self, ids: Collection[str]) -> Entries:
        """Return these without some of them."""
        return Entries.of(entry for entry in self.in_order() if entry.id not in ids)

    @classmethod
    def of(cls, entries: Iterable[Entry]) -> Entries:
        """Pack entries that come in the order of their ids."""
        left = iter(entries)
        pages = []
        while len(some := tuple(islice(left, PAGE))) == PAGE:
            pages.append(packed(some))
        return cls(tuple(pages), some)

    def _with(
        self, pages: tuple[Page, ...], firsts: tuple[str, ...], tail: tuple[Entry, ...]
    ) -> Entries:
        made = Entries.__new__(Entries)
        made._pages, made._firsts, made._tail = pages, firsts, tail
        made._count = self._count + 1
        return made

    def __getitem__(self, entry_id: str) -> Entry:
        if self._tail and entry_id >= self._tail[0].id:
            return {entry.id: entry for entry in self._tail}[entry_id]
        at = bisect_right(self._firsts, entry_id) - 1
        if at < 0:
            raise KeyError(entry_id)
        return _opened(self._pages[at])[entry_id]

    def __len__(self) -> int:
        return self._count

    def __iter__(self) -> Iterator[str]:
        return (entry.id for entry in self.in_order())

    def values(self) -> ValuesView[Entry]:
        return _InOrder(self)

    def in_order(self) -> Iterator[Entry]:
        """Yield the entries, the first first."""
        for page in self._pages:
            yield from page.read()
        yield from self._tail

    def latest_first(self) -> Iterator[Entry]:
        yield from reversed(self._tail)
        for page in reversed(self._pages):
            yield from reversed(page.read())

    def beyond(self, known: Entries) -> Iterator[Entry]:
        """Yield the entries that others lack; quick where these began as those."""
        same = 0
        for page, other in zip(self._pages, known._pages, strict=False):
            if page is not other:
                break
            same += 1
        rest = Entries(self._pages[same:], self._tail)
        there = {entry.id for entry in Entries(known._pages[same:], known._tail).in_order()}
        return (entry for entry in rest.in_order() if entry.id not in there)

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, Entries):
            return NotImplemented
        return len(self) == len(other) and all(
            a == b for a, b in zip(self.in_order(), other.in_order(), strict=True)
        )

    def __hash__(self) -> int:
        return hash((self._count, self._firsts))


def packed(entries: Sequence[Entry]) -> Page:
    return Page.of(entries[0].id, [entry.model_dump_json() for entry in entries])


class _InOrder(ValuesView[Entry]):
    _mapping: Entries

    def __iter__(self) -> Iterator[Entry]:
        return self._mapping.in_order()

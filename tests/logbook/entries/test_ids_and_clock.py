"""Ids of entries: in the order in which they were made, and never twice."""

from __future__ import annotations

from datetime import UTC, datetime

from commission_tui.logbook.entries.ids_and_clock import IdSource


def test_two_programs_behind_the_same_entry_give_different_ids_that_sort_after_it() -> None:
    moment = datetime(2026, 5, 4, tzinfo=UTC)
    last = IdSource(lambda bits: (1 << bits) - 1).next(moment)
    one, other = IdSource(), IdSource()
    for source in (one, other):
        source.after(last)
    given = [one.next(moment), other.next(moment)]
    assert len({last, *given}) == 3
    assert min(given) > last

"""What stood before an entry, as far as its writer knew: of another laptop's entries he knew nothing."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cached_property

from commission_tui.logbook.entries import chain
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.state.state import State


class KnownBefore:
    """Of corrections and limits of a job, what their writers knew of each other; worked out once."""

    def __init__(self, state: State) -> None:
        self._state = state

    def knew(self, entry_id: str, other: str) -> bool:
        """Whether the writer of a correction or a limit knew another one: else both were made apart."""
        if self._apart is None:
            return other < entry_id
        return other in self._apart.get(entry_id, ())

    def stood(self, entry: e.Entry, before: str) -> e.AnyBody | None:
        """Return an entry as the writer of a later correction or limit knew it; None when withdrawn."""
        body: e.AnyBody | None = entry.body
        for later in self._state.corrections.get(entry.id, ()):
            if isinstance(later.body, e.Correction) and self.knew(before, later.id):
                body = later.body.replacement
        return body

    def corrections(
        self, entry: e.Entry
    ) -> Iterator[tuple[e.Entry, e.Correction, e.AnyBody | None]]:
        """Yield every correction of an entry, oldest first, with what it says and what stood before it."""
        for later in self._state.corrections.get(entry.id, ()):
            if isinstance(later.body, e.Correction):
                yield later, later.body, self.stood(entry, later.id)

    @cached_property
    def _apart(self) -> dict[str, frozenset[str]] | None:
        """Which each knew; None where nobody's entries were made apart, and all before was known."""
        entries = self._state.entries.values()
        ids = [entry.id for entry in entries if isinstance(entry.body, _CHANGE)]
        if len(ids) < 2 or not chain.has_forks(entries):
            return None
        return chain.known_to_writers(entries, ids)


_CHANGE = (e.Correction, e.LimitsFrozen, e.LimitChanged)

"""What two technicians' work left for people to look at, asked on every redraw and so kept quick."""

from __future__ import annotations

from commission_tui.logbook.entries.logged import Logged
from commission_tui.logbook.entries.models import Design, VisitBegun
from commission_tui.logbook.integrity.clashes import (
    Clash,
    found_by_several,
    made_apart,
    people_who_read,
)
from commission_tui.logbook.state.state import CheckReadings, State


class Differing:
    """Asks a job's state; looks again only at what has changed since it last did."""

    def __init__(self) -> None:
        self._seen: dict[str, tuple[CheckReadings, int]] = {}
        self._visits: tuple[Logged[VisitBegun], ...] = ()
        self._designs: tuple[tuple[Logged[Design], ...], tuple[str, ...]] = ((), ())
        self._of: tuple[object, ...] = ()
        self._clashes: tuple[Clash, ...] = ()
        self._digests: dict[str, str] = {}

    def read_by_several(self, state: State) -> dict[str, int]:
        """Return check to how many of its readings more than one person took, on one visit."""
        if self._visits is not state.visits:
            self._visits, self._seen = state.visits, {}
        found = {}
        for check, slots in state.readings.items():
            seen, count = self._seen.get(check, (None, 0))
            if seen is not slots:
                count = sum(len(people_who_read(slot, state)) > 1 for slot in slots.values())
                self._seen[check] = (slots, count)
            if count:
                found[check] = count
        return found

    def designs_apart(self, state: State) -> tuple[str, ...]:
        """Name the design revisions that were made apart and that none has settled."""
        if len(state.designs) < 2:
            return ()
        if self._designs[0] is not state.designs:
            # Here, not at the top: only a job with a revised design needs it.
            from commission_tui.logbook.entries.chain import designs_apart

            self._designs = (state.designs, designs_apart(state.entries.values()))
        return self._designs[1]

    def made_apart(self, state: State) -> tuple[Clash, ...]:
        """Return what people said otherwise of one thing, readings apart, and faults that may be one."""
        of = tuple(getattr(state, name) for name in _SPOKEN_OF)
        if len(self._of) != len(of) or any(x is not y for x, y in zip(self._of, of, strict=True)):
            self._of = of
            self._clashes = (
                *made_apart(state, self._digests),
                *found_by_several(state, self._digests),
            )
        return self._clashes


_SPOKEN_OF = (
    "corrections", "limits", "settings", "parts", "spares", "found", "work", "skipped", "features",
    "scopes", "checklists", "visits", "mappings", "chosen", "documents", "signatures",
)  # fmt: skip
"""Fields of a state of which more than one can speak."""

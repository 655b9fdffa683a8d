"""What two technicians' work left for people to look at, asked on every redraw and so kept quick."""

from __future__ import annotations

from commission_tui.logbook.entries.logged import Logged
from commission_tui.logbook.entries.models import Design, VisitBegun
from commission_tui.logbook.judging.visits import readings_between, visit_of
from commission_tui.logbook.state.state import CheckReadings, Readings, State


class Differing:
    """Asks a job's state; looks again only at what has changed since it last did."""

    def __init__(self) -> None:
        self._seen: dict[str, tuple[CheckReadings, int]] = {}
        self._visits: tuple[Logged[VisitBegun], ...] = ()
        self._designs: tuple[tuple[Logged[Design], ...], tuple[str, ...]] = ((), ())

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


def people_who_read(slot: Readings, state: State) -> tuple[str, ...]:
    """Return who read something on the visit on which it was read last, the first first."""
    if len(slot) > 1 and state.visits:
        last = visit_of(state, slot[-1].id)
        slot = readings_between(slot, state.visits[last - 1].id if last else "")
    return readers(slot)


def readers(slot: Readings) -> tuple[str, ...]:
    """Return who read something, the first first."""
    return tuple(dict.fromkeys(logged.by for logged in slot))

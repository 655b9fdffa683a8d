"""Which meter a reading was made with: the one that its writer knew under the key, whatever came from elsewhere."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from commission_tui.logbook.entries import chain
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.logged import Logged
from commission_tui.logbook.state.state import State

UNKNOWN = "not known"
"""Stands for a name or a serial number that nobody knows."""

Stated = list[Logged[e.Instrument]]
"""What stands of the entries that state one meter, in the order of their ids."""


def is_same_meter(one: e.Instrument, other: e.Instrument) -> bool:
    """Whether two entries are of one meter: by its serial number, by its name too where that is not known."""
    first, second = (body.serial.strip().casefold() for body in (one, other))
    return first == second and (first != UNKNOWN or is_named_alike(one, other))


def is_named_alike(one: e.Instrument, other: e.Instrument) -> bool:
    return one.name.strip().casefold() == other.name.strip().casefold()


def all_meters(state: State) -> list[Logged[e.Instrument]]:
    """Return every meter as it stands, by its key; two that laptops gave one key are two."""
    by_key = _by_key(state)
    return [stated[-1] for key in sorted(by_key) for stated in by_key[key]]


def meters_apart(state: State) -> dict[str, Logged[e.Instrument]]:
    """Return, where one key was given to several meters, id of each of its readings to its meter."""
    apart = {key: meters for key, meters in _by_key(state).items() if len(meters) > 1}
    if not apart:
        return {}
    made = [
        (logged, _writer(state, logged))
        for slots in state.readings.values()
        for slot in slots.values()
        for logged in slot
        if logged.body.instrument in apart
    ]
    of = {one.id: stated for meters in apart.values() for stated in meters for one in stated}
    knew = _known(state, of, [writer for _, writer in made])
    found = {}
    for logged, writer in made:
        of_key = [one for one in knew[writer] if of[one][-1].body.key == logged.body.instrument]
        if of_key:
            found[logged.id] = of[max(of_key)][-1]
    return found


def _by_key(state: State) -> Mapping[str, list[Stated]]:
    """Return key to its meters, told apart by what was written: a corrected serial makes no other."""
    found: dict[str, list[Stated]] = {}
    for logged in state.chosen:
        if isinstance(logged.body, e.Instrument):
            meters = found.setdefault(logged.body.key, [])
            for stated in meters:
                if _written_alike(state, stated[-1].id, logged.id):
                    stated.append(logged)
                    break
            else:
                meters.append([logged])
    return found


def _written_alike(state: State, one: str, other: str) -> bool:
    first, second = state.entries[one].body, state.entries[other].body
    if not (isinstance(first, e.Instrument) and isinstance(second, e.Instrument)):
        return False
    stands = state.effective(one)
    corrected = isinstance(stands, e.Instrument) and is_same_meter(stands, second)
    return corrected or is_same_meter(first, second)


def _writer(state: State, logged: Logged[e.ReadingTaken]) -> str:
    """Return the id of the entry that says with what a reading was made."""
    written = state.entries[logged.id].body
    is_so = isinstance(written, e.ReadingTaken) and written.instrument == logged.body.instrument
    return logged.id if is_so else [*state.history(logged.id)][-1].id


def _known(
    state: State, meters: Mapping[str, Stated], writers: Sequence[str]
) -> Mapping[str, frozenset[str]]:
    """Return of each writer which entries of meters he knew; where nobody wrote apart all before."""
    entries = state.entries.values()
    if chain.has_forks(entries):
        return chain.known_to_writers(entries, [*meters], writers)
    return {one: frozenset(known for known in meters if known < one) for one in writers}

"""What may be corrected: every entry but a signature; entries a job needs can be replaced, not removed."""

from __future__ import annotations

from collections.abc import Sequence
from operator import attrgetter
from typing import Any, NamedTuple

from commission_tui.errors import InputError
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.entry_factory import body, in_words
from commission_tui.logbook.entries.logged import Logged
from commission_tui.logbook.state.state import State
from commission_tui.text import quoted


def correction_body(
    state: State, entry_id: str, replacement: e.Body | None, reason: str
) -> e.Correction:
    """Make the entry that says what an earlier one should have been; None withdraws it.

    Raises
    ------
    InputError
        When there is no such entry, it is a signature, or the reason is empty or a number.
    """
    entry = state.entries.get(entry_id)
    if entry is None or isinstance(entry.body, e.Correction | e.Signature):
        raise InputError(f"entry: found {quoted(entry_id)}, expected one that can be corrected")
    if replacement is not None and replacement.__class__ is not entry.body.__class__:
        raise InputError(f"correction: expected another {entry.body.kind}")
    sole = (
        isinstance(entry.body, e.JobOpened)
        or (isinstance(entry.body, e.Design) and len(state.designs) < 2)
        or (isinstance(entry.body, e.ChecklistSet) and len(state.checklists) < 2)
    )
    if replacement is None and sole:
        raise InputError(f"correction: the {entry.body.kind} entry can be replaced, not removed")
    if replacement is not None and replacement == state.as_corrected(entry):
        raise InputError("correction: found what stands already, expected what it should have been")
    return body(e.Correction, corrects=entry_id, replacement=replacement, reason=in_words(reason))


class LastAct(NamedTuple):
    """What was done last, and what takes it back."""

    at: str
    """Id of the entry that did it."""
    entry: str
    """Id of the entry that is to be corrected."""
    before: e.Body | None
    """What stood there before; nothing where it was logged anew, and is withdrawn."""


def last_act(state: State) -> LastAct | None:
    """Return the latest reading, skip, fault, work or note that still stands, or correction of one."""
    lists: list[Sequence[Logged[Any]]] = [state.found, state.notes, *state.skipped.values()]
    lists += state.work.values()
    for slots in state.readings.values():
        lists += slots.values()
    stand = (logged.id for kept in lists for logged in kept)
    return max((_act(state, entry) for entry in stand), default=None, key=attrgetter("at"))


def _act(state: State, entry_id: str) -> LastAct:
    """Return what made an entry what it is: its latest correction that was not taken back, or itself."""
    made = list(state.history(entry_id))
    said = [
        one.body.replacement if isinstance(one.body, e.Correction) else one.body for one in made
    ]
    since = said.index(said[-1])
    return LastAct(made[since].id, entry_id, said[since - 1] if since else None)

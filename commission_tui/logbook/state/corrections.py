"""What may be corrected: every entry but a signature; entries a job needs can be replaced, not removed."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

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


def last_to_undo(state: State) -> str | None:
    """Return the latest reading, skip, fault, work or note that still stands."""
    lists: list[Sequence[Logged[Any]]] = [state.found, state.notes, *state.skipped.values()]
    lists += state.work.values()
    for slots in state.readings.values():
        lists += slots.values()
    return max((kept[-1].id for kept in lists if kept), default=None)

"""What may be corrected: every entry but a signature; entries a job needs can be replaced, not removed."""

from __future__ import annotations

from commission_tui.errors import InputError
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.entry_factory import body, in_words
from commission_tui.logbook.state.state import State
from commission_tui.text import quoted


def correction_body(
    state: State,
    entry_id: str,
    replacement: e.Body | None,
    reason: str,
    *,
    undoes: str | None = None,
) -> e.Correction:
    """Make the entry that says what an earlier one should have been; None withdraws it.

    `undoes` is the id of what it takes back where it was told to take back what was done last.

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
    if replacement is None and is_sole(state, entry.body):
        raise InputError(f"correction: the {entry.body.kind} entry can be replaced, not removed")
    if replacement is not None and replacement == state.as_corrected(entry):
        raise InputError("correction: found what stands already, expected what it should have been")
    return body(
        e.Correction,
        corrects=entry_id,
        replacement=replacement,
        reason=in_words(reason),
        undoes=undoes,
    )


def is_sole(state: State, body: e.Body) -> bool:
    """Whether a job needs an entry: the one that opened it, its only design or checklists."""
    return (
        isinstance(body, e.JobOpened)
        or (isinstance(body, e.Design) and len(state.designs) < 2)
        or (isinstance(body, e.ChecklistSet) and len(state.checklists) < 2)
    )

"""Taking back what was done last, and letting stand again what was withdrawn.

The entry stays; a correction says that it was taken back, and names it (`Correction.undoes`), so that
taking back once more goes on to what was done before it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import islice
from typing import NamedTuple

from commission_tui.errors import InputError
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.chain import is_contact
from commission_tui.logbook.entries.logged import Logged
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.state.corrections import correction_body, is_sole
from commission_tui.logbook.state.entry_words import words_with_subject
from commission_tui.logbook.state.state import State
from commission_tui.text import listed


class LastAct(NamedTuple):
    """What was done last, and what takes it back."""

    at: str
    """Id of the entry that did it."""
    entry: str
    """Id of the entry that is to be corrected."""
    before: e.Body | None
    """What stood there before; nothing where it was logged anew, and is withdrawn."""
    refused: str = ""
    """Why it is not taken back this way, and how it is."""


def last_acts(state: State) -> tuple[LastAct, ...]:
    """Return what was done last and was not taken back; what was done in one go together, latest first.

    Signatures and documents are no acts of this kind: whoever goes past them is asked. Nothing where
    only what opened the job is left.
    """
    undone = {one.undoes for one in _corrections(state)}
    acts = (
        act
        for entry in reversed(state.in_order())
        if entry.id not in undone and (act := _act(state, entry)) is not None
    )
    done = [*islice(acts, 1)]
    for act in acts:
        if not _in_one_go(state.entries[done[-1].at], state.entries[act.at]):
            break
        done.append(act)
    return tuple(done)


def taken_back_words(state: State, acts: Sequence[LastAct]) -> list[str]:
    """Say what is taken back, each in one line.

    Raises
    ------
    InputError
        When there is nothing, or it is not taken back this way.
    """
    if not acts:
        raise InputError("undo: found nothing to withdraw")
    for act in acts:
        if act.refused:
            raise InputError(
                f"undo: the latest entry is: {words_with_subject(state, act.entry)}; it is not taken back "
                f"this way: {act.refused}"
            )
    return [
        words_with_subject(state, act.entry)
        if state.effective(act.entry) is not None
        else f"{words_with_subject(state, act.entry, act.before)}, withdrawn"
        for act in acts
    ]


def authors(state: State, acts: Sequence[LastAct], but: str) -> list[str]:
    """Say who else did what was done last; an empty list for nobody else."""
    people = {state.entries[act.at].by for act in acts} - {but}
    return [f"logged by {listed(sorted(people))}"] if people else []


def signed_since(state: State, entry_id: str) -> list[str]:
    """Say who signed since an entry; an empty list for nobody."""
    return _signed(one for one in state.signatures if one.id > entry_id)


def issued_since(state: State, entry_id: str) -> list[str]:
    """Say which documents were issued since an entry; an empty list for none."""
    return _issued(one for one in state.documents if one.id > entry_id)


def since_signed(state: State, *entries: str) -> list[str]:
    """Say who signed and which documents were issued over entries as they stand now.

    One that was changed after a signature and put back is again what was signed.
    """

    def stood(one: Logged[e.Body]) -> bool:
        return any(_stood_so(state, entry, one.id) for entry in entries)

    return [*_signed(filter(stood, state.signatures)), *_issued(filter(stood, state.documents))]


def _stood_so(state: State, entry_id: str, at: str) -> bool:
    """Whether an entry stood at another, which is later, as it stands now."""
    made = [one.body for one in state.history(entry_id) if one.id < at]
    if not made:
        return False
    last = made[-1]
    return state.effective(entry_id) == (
        last.replacement if isinstance(last, e.Correction) else last
    )


def _signed(signatures: Iterable[Logged[e.Signature]]) -> list[str]:
    people = dict.fromkeys(f"{one.body.name} ({one.body.role})" for one in signatures)
    return [f"{listed(list(people))} signed since"] if people else []


def _issued(documents: Iterable[Logged[e.DocumentIssued]]) -> list[str]:
    # A document that is signed with a key is issued once more under its number.
    numbers = dict.fromkeys(one.body.number for one in documents)
    return [f"document {listed(list(numbers))} issued since"] if numbers else []


def take_back(job: OpenJob, acts: Sequence[LastAct], reason: str) -> e.Entry:
    """Take back what was done last, all that was done in one go; return the entry that does the latest.

    Raises
    ------
    InputError
        As `taken_back_words`.
    """
    state = job.state
    taken_back_words(state, acts)
    return job.record_all(
        [correction_body(state, act.entry, act.before, reason, undoes=act.at) for act in acts]
    )[0]


def undo(job: OpenJob, reason: str = "typed wrong") -> e.Entry:
    """Take back what was done last; see `take_back`."""
    return take_back(job, last_acts(job.state), reason)


def bring_back(job: OpenJob, entry_id: str, reason: str) -> e.Entry:
    """Let an entry stand again that was withdrawn, as it was last."""
    said = [
        one.body.replacement if isinstance(one.body, e.Correction) else one.body
        for one in job.state.history(entry_id)
    ]
    return job.correct(entry_id, next(one for one in reversed(said) if one is not None), reason)


def _corrections(state: State) -> Iterator[e.Correction]:
    for made in state.corrections.values():
        for entry in made:
            if isinstance(entry.body, e.Correction):
                yield entry.body


_GONE_PAST = (e.JobOpened, e.LimitsFrozen, e.Signature, e.DocumentIssued)
"""Written along with something else, or what leaves the job as it is."""


def _act(state: State, entry: e.Entry) -> LastAct | None:
    """Return what an entry did, and what takes it back; None of one that undoing goes past."""
    body = entry.body
    if isinstance(body, e.Correction):
        if body.undoes is not None or body.corrects not in state.entries:
            return None
        made = list(state.history(body.corrects))
        before = made[made.index(entry) - 1].body
        stood = before.replacement if isinstance(before, e.Correction) else before
        return LastAct(entry.id, body.corrects, stood, _why_not(state, entry))
    if isinstance(body, _GONE_PAST) or is_sole(state, body) or state.effective(entry.id) is None:
        return None
    return LastAct(entry.id, entry.id, None, _why_not(state, entry))


def _why_not(state: State, entry: e.Entry) -> str:
    """Say how something is taken back that is not taken back as the rest is; nothing of the rest."""
    if is_contact(entry):
        return "log the person again as it is right"
    if isinstance(entry.body, e.ScopeAgreed) and len(state.scopes) < 2:
        return "'job scope' agrees another"
    return ""


def _in_one_go(later: e.Entry, earlier: e.Entry) -> bool:
    """Whether two entries were written as one act: faults in number, a table, a run that was moved.

    How a table's columns are read is remembered for the next one too, and is an act of its own.
    """
    if isinstance(earlier.body, e.TableMapping):
        return False
    return (later.by, later.at) == (earlier.by, earlier.at)

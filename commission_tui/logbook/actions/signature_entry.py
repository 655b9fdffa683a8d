"""The entry that says who signed; a client signs only with every exception taken in words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from commission_tui.errors import InputError
from commission_tui.logbook.entries.entry_factory import body
from commission_tui.logbook.entries.entry_parts import TakenException
from commission_tui.logbook.entries.models import Signature
from commission_tui.logbook.entries.record_form import fingerprint
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.judging.acceptance_state import CLIENT, Item
from commission_tui.text import counted, flat, listed

_NAMED = 5
_LONGEST = 200
"""Of the words of a consent."""


@dataclass(frozen=True, slots=True)
class Consent:
    """Who puts an exception right, until when, and the client's initials or words."""

    owner: str
    due: date
    words: str


def is_client(role: str) -> bool:
    return role.strip().lower() == CLIENT


def exceptions_taken(job: OpenJob) -> dict[str, Consent]:
    """Return what the client took as it is on the punch list, with its owner and date, by fault."""
    found: dict[str, Consent] = {}
    for fault in job.state.faults:
        last = fault.work[-1].body if fault.work else None
        if last is not None and last.action == "accepted" and last.owner and last.due:
            words = ": ".join(part for part in (last.accepted_by, last.note) if part)
            found[fault.id] = Consent(last.owner, last.due, flat(words)[:_LONGEST])
    return found


def exceptions_not_taken(job: OpenJob, taken: Mapping[str, Consent]) -> tuple[Item, ...]:
    """Return the exceptions that the client has not taken yet."""
    there = {**exceptions_taken(job), **taken}
    return tuple(item for item in job.acceptance().left if item.key not in there)


def signature_body(
    job: OpenJob,
    *,
    role: str,
    name: str,
    statement: str,
    organisation: str | None = None,
    taken: Mapping[str, Consent] | None,
    refuses: bool = False,
    strokes: Sequence[Sequence[tuple[int, int]]] | None = None,
) -> Signature:
    """Make the entry that signs the record as it stands.

    Parameters
    ----------
    taken : mapping of str to Consent, optional
        The client's consent to each exception, by `Item.key`; what he took on the punch list needs none.
    refuses : bool
        Whether the client refuses; the statement then says why.

    Raises
    ------
    InputError
        When a client takes the wall while a hazard is open, or while an exception is not taken.
    """
    left, consents = job.acceptance().left, {**exceptions_taken(job), **(taken or {})}
    decides = is_client(role)
    if decides and not refuses:
        _refuse_unread(job, consents)
    return body(
        Signature,
        role=role,
        name=name,
        organisation=organisation,
        statement=statement,
        fingerprint=fingerprint(job.state.entries.values()),
        exceptions=len(left),
        strokes=strokes,
        decision=("refuses" if refuses else "accepts") if decides else None,
        taken=tuple(_taken(item, consents[item.key]) for item in left)
        if decides and left and not refuses
        else None,
    )


def _refuse_unread(job: OpenJob, taken: Mapping[str, Consent]) -> None:
    left = job.acceptance().left
    hazards = [item.what for item in left if item.danger]
    if hazards:
        raise InputError(
            f"client: {listed(hazards, _NAMED)}: an open hazard blocks acceptance until it is fixed"
        )
    missing = [item.what for item in exceptions_not_taken(job, taken)]
    if missing:
        raise InputError(
            f"client: {counted(len(missing), 'exception')} of {len(left)} not taken: "
            f"{listed(missing, _NAMED)}; take each, or all, in words ('accept --list' names every one)"
        )


def _taken(item: Item, consent: Consent) -> TakenException:
    return body(
        TakenException,
        what=item.what,
        check=item.check,
        fault=item.fault,
        owner=consent.owner,
        due=consent.due,
        consent=consent.words,
    )

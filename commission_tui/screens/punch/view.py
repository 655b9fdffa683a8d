"""What the punch list shows: filtered, sorted, each item with its whole history."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

from commission_tui.checks.faults.kinds import KINDS, first_looks, known_kind
from commission_tui.checks.faults.severity import SEVERITY_MEANING
from commission_tui.checks.model.types import SEVERITIES
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.ids_and_clock import short_id
from commission_tui.logbook.entries.logged import Logged
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.state.fault_steps import state_words, taken_words
from commission_tui.logbook.state.state import Fault, State
from commission_tui.screens.shared.fault_choices import usual_severity_at, why_graver
from commission_tui.screens.terminal.styled_text import (
    FAULT_ROLE,
    MARK,
    Line,
    caution_line,
    fault_part,
    moment_text,
)
from commission_tui.text import counted, listed
from commission_tui.wall.model.location import known_location

ROOM_FOR_IDS = 120
"""Columns of a terminal from which the list has room for each item's id."""
_LEAST_ROOM = 78
"""Columns of the line over the list in the least terminal."""
SORTS = ("number", "severity", "place", "state")
CAUTIONS = {kind.name: kind.caution for kind in KINDS}


def filtered(faults: Sequence[Fault], typed: str) -> list[Fault]:
    """Return the faults that hold every word typed: in number, id, state, place, kind or note."""
    words = typed.lower().split()
    return [fault for fault in faults if all(_holds(fault, word) for word in words)]


def _holds(fault: Fault, word: str) -> bool:
    """Whether a fault holds a word, or is named by it: by its id, or as much of it as names it."""
    found, known_by = fault.found.body, short_id(fault.id)
    called = f"{found.location} {found.fault} {found.severity} {found.note}"
    if word in f"{fault.number} {fault.state} {called}".lower() or known_by.startswith(word):
        return True
    return len(word) >= len(known_by) and fault.id.endswith(word)


def in_order(faults: Sequence[Fault], sort: str) -> list[Fault]:
    """Sort by number, severity (gravest first), place (row by row) or state (open first)."""
    if sort == "severity":
        return sorted(faults, key=lambda f: (SEVERITIES.index(f.found.body.severity), f.number))
    if sort == "place":
        return sorted(faults, key=lambda f: (*_place(f), f.number))
    if sort == "state":
        return sorted(faults, key=lambda f: (list(FAULT_ROLE).index(f.state), f.number))
    return sorted(faults, key=lambda f: f.number)


def _place(fault: Fault) -> tuple[int, int]:
    at = known_location(fault.found.body.location)
    return (at.cell.row, at.cell.column) if at and at.cell else (0, 0)


def row(fault: Fault, *, marked: bool = False, with_id: bool = False) -> Line:
    """Return one item on one line, with its short id where there is room."""
    found = fault.found.body
    text, role = fault_part(fault.state)
    photos = len(fault.photos)
    return (
        (MARK if marked else " ", "key"),
        (f"{fault.number:>3} ", "muted"),
        (f"{short_id(fault.id)} " if with_id else "", "muted"),
        (f"{text:<11}", role),
        (f"{found.severity:<7}", "caution-text" if found.severity == "danger" else "muted"),
        (f"{found.location:<15} ", "strong"),
        (found.called, ""),
        (f"  {counted(photos, 'photo')}" if photos else "", "muted"),
    )


def summary(
    faults: Sequence[Fault], shown: int, sort: str, marked: int = 0, hidden: int = 0
) -> Line:
    """Say how many of each state there are, how the list is sorted, how many are marked, and `hidden`."""
    held = {state: sum(fault.state == state for fault in faults) for state in FAULT_ROLE}
    counts = ", ".join(f"{count} {state}" for state, count in held.items() if count)
    marks = f"{marked} marked, " if marked else ""
    covered = f"{hidden} of them hidden, " if hidden else ""
    how = f"{shown} of {len(faults)} shown"
    by = f", by {sort}"
    if marked and len(f"{marks}{covered}{how}{by}   {counts}") > _LEAST_ROOM:
        by = ""  # the counts are worth more than how it is sorted, which is seen
    return (
        (marks, "key"),
        (covered, "caution-text"),
        (f"{how}{by}", "strong"),
        # Marks need the room, and who has marked several has seen the hint.
        ("" if marked else "  s", "key"),
        ("   " if marked else " sorts   ", "muted"),
        (counts, "muted"),
    )


def history(job: OpenJob, fault: Fault) -> list[Line]:
    """Return the whole history of an item: found, corrected, worked on, by whom and when."""
    found = fault.found.body
    caution = "" if fault.state == "verified" else CAUTIONS.get(found.called, "")
    lines = [
        *([caution_line(caution)] if caution else []),
        (
            (f"{fault.number}  ", "muted"), (found.fault, "strong"),
            ("  id ", "muted"), (short_id(fault.id), "key"),
        ),
        ((job.state.place_text(found.location), ""),),
        ((_severity_text(job, found), "muted"),),
        *([((words, "strong"),)] if (words := state_words(fault)) != fault.state else []),
        *_looks(fault),
    ]  # fmt: skip
    event = partial(_event, job.state)
    lines.append(event(fault.found.at, fault.found.by, "found", _words(found.note, found.seen_on)))
    steps = [
        (entry.id, event(entry.at, entry.by, "corrected", entry.body.reason))
        for entry in list(job.state.history(fault.id))[1:]
        if isinstance(entry.body, e.Correction)
    ]
    steps += [
        (work.id, event(work.at, work.by, work.body.action, _words(who, work.body.note)))
        for work in fault.work
        for who in [taken_words(work.body)]
    ]
    if (signed := fault.signed_for) is not None:
        words = f"by {signed.body.name}, with the signature"
        steps.append((signed.id, event(signed.at, signed.by, "accepted", words)))
    if (refused := fault.refused) is not None:
        words = f"no longer: {refused.body.name} refused the wall"
        steps.append((refused.id, event(refused.at, refused.by, "accepted", words)))
    lines += [line for _, line in sorted(steps)]
    lines += [_photo(number, photo) for number, photo in enumerate(fault.photos, start=1)]
    return lines


def _severity_text(job: OpenJob, found: e.FaultFound) -> str:
    """Say what a severity means, or that the place alone made it so."""
    kind = known_kind(found.fault)
    graver = why_graver(job, kind, found.location)
    if graver and usual_severity_at(job, kind, found.location) == found.severity:
        return f"{found.severity}, {graver}"
    return f"{found.severity}: {SEVERITY_MEANING[found.severity]}"


def _photo(number: int, photo: Logged[e.Photo]) -> Line:
    caption = photo.body.caption or photo.body.name
    return (f"photo {number}  ", "muted"), (caption, ""), ("  i", "key"), (" shows it", "muted")


def _looks(fault: Fault) -> list[Line]:
    """Say what to look at first for a fault that is still to be mended."""
    looks = first_looks(fault.found.body.fault) if fault.state == "open" else ()
    if not looks:
        return []
    parts: list[tuple[str, str]] = [("Look first", "title")]
    for number, look in enumerate(looks, start=1):
        parts += [(f"  {number} ", "key"), (look, "")]
    return [tuple(parts)]


def numbers(faults: Sequence[Fault], most: int = 12) -> str:
    """Name faults by number, in order."""
    named = [str(fault.number) for fault in sorted(faults, key=lambda f: f.number)]
    return listed(named, most)


def bulk_notes(allowed: Sequence[Fault], left_alone: Sequence[Fault], action: str) -> list[Line]:
    """Say which faults a step is logged for, and which are left alone and why."""
    lines: list[Line] = [((f"{len(allowed)} {action}: ", "muted"), (numbers(allowed), "strong"))]
    for state in FAULT_ROLE:
        held = [fault for fault in left_alone if fault.state == state]
        if held:
            lines.append(((f"left alone, since {state}: ", "marginal"), (numbers(held), "")))
    return lines


def bulk_done(allowed: Sequence[Fault], left_alone: Sequence[Fault], action: str) -> str:
    """Say what became of many faults."""
    done = f"{counted(len(allowed), 'fault')}: {action}, logged"
    return f"{done}; left alone: {numbers(left_alone)}" if left_alone else done


def _words(*parts: str) -> str:
    return ", ".join(part for part in parts if part)


def _event(state: State, at: str, by: str, what: str, words: str) -> Line:
    return (
        (f"{moment_text(at, state)}  ", "muted"),
        (what, "key"),
        (f"  {words}" if words else "", ""),
        (f"  {by}", "muted"),
    )

"""What the punch list shows: filtered, sorted, each item with its whole history."""

from __future__ import annotations

from collections.abc import Sequence

from commission_tui.checks.fault_kinds import KINDS
from commission_tui.errors import InputError
from commission_tui.logbook import entries as e
from commission_tui.logbook.entries import SEVERITIES
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.state import Fault
from commission_tui.screens.fault_view import SEVERITY_MEANING
from commission_tui.screens.words import FAULT_ROLE, Glyphs, Line, fault_part, moment_text
from commission_tui.wall.location import parse_location

SORTS = ("number", "severity", "place", "state")
CAUTIONS = {kind.name: kind.caution for kind in KINDS}


def filtered(faults: Sequence[Fault], typed: str) -> list[Fault]:
    """Return the faults that hold every word typed: in number, state, place, kind or note."""
    words = typed.lower().split()
    return [fault for fault in faults if all(word in _searched(fault) for word in words)]


def _searched(fault: Fault) -> str:
    found = fault.found.body
    parts = (
        str(fault.number),
        fault.state,
        found.location,
        found.fault,
        found.severity,
        found.note,
    )
    return " ".join(parts).lower()


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
    try:
        cell = parse_location(fault.found.body.location).cell
    except InputError:
        cell = None
    return (cell.row, cell.column) if cell else (0, 0)


def row(fault: Fault, glyphs: Glyphs) -> Line:
    """Return one item on one line."""
    found = fault.found.body
    text, role = fault_part(fault.state, glyphs)
    return (
        (f"{fault.number:>3} ", "muted"),
        (f"{text:<11}", role),
        (f"{found.severity:<7}", "caution-text" if found.severity == "danger" else "muted"),
        (f"{found.location:<15} ", "strong"),
        (found.fault, ""),
    )


def summary(faults: Sequence[Fault], shown: int, sort: str) -> Line:
    """Say how many of each state there are, and how the list is sorted."""
    counts = [f"{sum(f.state == s for f in faults)} {s}" for s in FAULT_ROLE]
    return (
        (f"{shown} of {len(faults)} shown, by {sort}", "strong"),
        ("  s", "key"),
        (" sorts   ", "muted"),
        (", ".join(counts), "muted"),
    )


def history(job: OpenJob, fault: Fault, glyphs: Glyphs) -> list[Line]:
    """Return the whole history of an item: found, corrected, worked on, by whom and when."""
    found = fault.found.body
    lines: list[Line] = []
    if caution := CAUTIONS.get(found.fault, ""):
        lines.append(((f"{glyphs.caution} CAUTION ", "caution"), (f" {caution}", "caution-text")))
    lines += [
        ((f"{fault.number}  ", "muted"), (found.fault, "strong")),
        ((place_text(job, found.location), ""),),
        ((f"{found.severity}: {SEVERITY_MEANING[found.severity]}", "muted"),),
    ]
    lines.append(_event(fault.found.at, fault.found.by, "found", _words(found.note, found.seen_on)))
    for entry in list(job.state.history(fault.id))[1:]:
        if isinstance(entry.body, e.Correction):
            lines.append(_event(entry.at, entry.by, "corrected", entry.body.reason))
    for work in fault.work:
        who = f"by {work.body.accepted_by} of the client" if work.body.accepted_by else ""
        lines.append(_event(work.at, work.by, work.body.action, _words(who, work.body.note)))
    lines += [((f"photo {p.body.name} {p.body.caption}", "muted"),) for p in fault.photos]
    return lines


def place_text(job: OpenJob, location: str) -> str:
    """Say a place in full, front and rear; as logged when the wall has changed since."""
    wall = job.state.wall
    try:
        return wall.places_text(wall.resolve(parse_location(location)))
    except InputError:
        return f"{location} (not on the wall as now designed)"


def _words(*parts: str) -> str:
    return ", ".join(part for part in parts if part)


def _event(at: str, by: str, what: str, words: str) -> Line:
    return (
        (f"{moment_text(at)}  ", "muted"),
        (what, "key"),
        (f"  {words}" if words else "", ""),
        (f"  {by}", "muted"),
    )

"""What the form for a fault shows: kinds that fit what is typed, how to name the place."""

from __future__ import annotations

from commission_tui.checks.faults.fault_words import (
    is_said,
    kinds_meant,
)
from commission_tui.checks.faults.kinds import SOMETHING_ELSE, FaultKind, known_kind, usual_severity
from commission_tui.checks.faults.typed_places import cabinets_of, place_of
from commission_tui.checks.model.types import SEVERITIES
from commission_tui.errors import CommissionError, InputError, did_you_mean
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.state.fault_steps import same_before
from commission_tui.logbook.state.state import State
from commission_tui.screens.terminal.styled_text import Line
from commission_tui.text import counted, quoted
from commission_tui.wall.model.location import parse_location
from commission_tui.wall.model.place_words import CELL, places_named

LINES = ("kind", "place", "severity", "note")
"""The form's lines from the top."""
SEVERITY_HINT = "1 danger 2 stop 3 shows 4 near 5 note"


def kinds_offered(typed: str, form: str = "") -> tuple[FaultKind, ...]:
    """Return the kinds that what is typed may mean; that of what fits none always at the end."""
    other = known_kind(SOMETHING_ELSE)
    words = " ".join(CELL.sub("", typed).split())  # of two that are swapped, the second is no word
    meant = kinds_meant(words, form)
    if not meant:  # a place that was not taken says nothing of the kind
        for place in places_named(words):
            words = words.replace(place, "").strip(" ,:")
        meant = kinds_meant(words, form) if words else ()
    found = [kind for kind in meant if kind is not other]
    return (*found, *([other] if other else []))


def first_is_said(kinds: tuple[FaultKind, ...], typed: str, form: str = "") -> bool:
    """Whether words say the first of the kinds that are offered, so that nobody has to choose it."""
    words = " ".join(CELL.sub("", typed).split())
    return len(kinds) > 1 and bool(words) and is_said(kinds[0], words, form)


def no_kind(typed: str, kinds: tuple[FaultKind, ...] = ()) -> str:
    """Say that nothing is called so, that it is only hinted at, or that nothing was said."""
    if not typed.strip():
        return "what: found nothing, expected a kind of fault"
    if len(kinds) > 1:
        return (
            f"{quoted(typed)} may be one of these or another: go down to what it is, or to "
            f"'{SOMETHING_ELSE}'; your words stand beside it"
        )
    return (
        f"no kind of fault is called {typed.strip()[:40]!r}: type another word, or go down to "
        f"'{SOMETHING_ELSE}' and your words stand beside it"
    )


def logged_words(state: State, count: int) -> str:
    """Say of the latest fault that it is logged, or that it is at so many cabinets at once."""
    fault = state.faults[-1]
    found = fault.found.body
    if count > 1:
        return f"{found.called} logged at {counted(count, 'cabinet')}"
    same = same_before(state, fault)
    is_same = f"; fault {same.number}, {same.state}, is the same there" if same else ""
    return f"Fault {fault.number} logged at {found.location}: {found.called}{is_same}"


def looks_line(kind: FaultKind | None) -> Line:
    """Say what to look at first for a kind of fault, in order."""
    if kind is None:
        return (("", ""),)
    looks = "  ".join(f"{n} {look.rstrip('.')}" for n, look in enumerate(kind.first_looks, start=1))
    return (("Look first ", "key"), (looks, "muted"))


def note_hint(kind: FaultKind | None) -> str:
    """Say what is worth writing down of a kind of fault, beside what is filled in."""
    return kind.record if kind and kind.record else "pattern, level, seen from where"


def usual_severity_at(job: OpenJob, kind: FaultKind | None, *places: str) -> str:
    """Return the usual severity, of several places the gravest; of the kind while one has no meaning."""
    if kind is None:
        return "shows"
    wall = job.state.wall
    try:
        at = [
            wall.resolve(parse_location(place_of(wall, one)))
            for place in places
            for one in cabinets_of(wall, place) or (place,)
        ]
    except CommissionError:
        return kind.severity
    return min((usual_severity(kind, wall, one) for one in at), key=SEVERITIES.index)


def why_graver(job: OpenJob, kind: FaultKind | None, *places: str) -> str:
    """Say why the usual severity at a place is not that of the kind; nothing where it is.

    In the middle half of the picture it is a step graver (`usual_severity`).
    """
    if kind is None or usual_severity_at(job, kind, *places) == kind.severity:
        return ""
    return f"not {kind.severity}: it is in the middle of the picture"


def severity_of(typed: str) -> str:
    """Return a severity from its number, its first letters or its name.

    Raises
    ------
    InputError
        When it is none of them.
    """
    text = typed.strip().lower()
    if text.isdecimal() and 1 <= int(text) <= len(SEVERITIES):
        return SEVERITIES[int(text) - 1]
    begun = [severity for severity in SEVERITIES if text and severity.startswith(text)]
    exact = [severity for severity in begun if severity == text]
    if len(exact or begun) == 1:
        return (exact or begun)[0]
    raise InputError(
        f"severity: found {quoted(text)}, expected one of {', '.join(SEVERITIES)}"
        f"{did_you_mean(text, SEVERITIES)}"
    )


def line_named_in(error: str) -> str:
    """Return the line that an error is about: what is not a severity or a note is a place."""
    what = error.partition(":")[0].strip()
    return what if what in LINES else "place"

"""What the form for a fault shows: kinds that fit what is typed, how to name the place."""

from __future__ import annotations

from commission_tui.checks.faults.fault_words import kinds_like
from commission_tui.checks.faults.kinds import (
    SOMETHING_ELSE,
    FaultKind,
    known_kind,
    usual_severity,
)
from commission_tui.checks.faults.severity import SEVERITY_MEANING
from commission_tui.checks.model.types import SEVERITIES
from commission_tui.checks.places.places import NINE_POINTS
from commission_tui.errors import CommissionError, InputError, did_you_mean
from commission_tui.logbook.job import OpenJob
from commission_tui.screens.layers.place_lookup import fault_location
from commission_tui.screens.terminal.styled_text import Line
from commission_tui.text import quoted
from commission_tui.wall.model.location import parse_location


def kinds_offered(typed: str, form: str = "") -> tuple[FaultKind, ...]:
    """Return the kinds that what is typed may mean; that of what fits none always at the end."""
    other = known_kind(SOMETHING_ELSE)
    found = [kind for kind in kinds_like(typed, form) if kind is not other]
    return (*found, *([other] if other else []))


def no_kind(typed: str) -> str:
    """Say that nothing is called so, or that nothing was said."""
    if not typed.strip():
        return "what: found nothing, expected a kind of fault"
    return (
        f"no kind of fault is called {typed.strip()[:40]!r}: type another word, or go down to "
        f"'{SOMETHING_ELSE}' and your words stand beside it"
    )


def form_of(place: str) -> str:
    """Return the form of a place, or nothing while it has no meaning."""
    try:
        return parse_location(place).form
    except InputError:
        return ""


_LONGEST_PLACE = 6
"""Words of a place: row 3, 6th from left."""
_BETWEEN = {"at", "in", "on", ":", ",", "-"}


def parted(typed: str) -> tuple[str, str]:
    """Part one line, ``R2C3 dead pixel`` or ``dead pixel at R2C3``, into the place and the fault.

    Where all of it may be a kind of fault, or no place stands in it, the place is empty.
    """
    words = typed.split()
    if len(words) > 1 and not kinds_like(typed):
        for count in range(min(len(words) - 1, _LONGEST_PLACE), 0, -1):
            before, after = words[:count], words[-count:]
            for place, rest in ((before, words[count:]), (after, words[:-count])):
                where = " ".join(place).rstrip(":,")
                if _is_place(where):
                    return where, " ".join(_without(rest))
    return "", typed


def _without(words: list[str]) -> list[str]:
    """Leave out what stands between a place and a fault."""
    while len(words) > 1 and words[0] in _BETWEEN:
        words = words[1:]
    while len(words) > 1 and words[-1] in _BETWEEN:
        words = words[:-1]
    return words


def _is_place(text: str) -> bool:
    """Whether this is a place other than one by name, since any word may be a name."""
    try:
        return parse_location(text).named is None
    except InputError:
        return False


def kind_line(kind: FaultKind) -> Line:
    return (kind.name, ""), (f"  {kind.severity}, {SEVERITY_MEANING[kind.severity]}", "muted")


def looks_line(kind: FaultKind | None) -> Line:
    """Say what to look at first for a kind of fault, in order."""
    if kind is None:
        return (("", ""),)
    looks = "  ".join(f"{n} {look.rstrip('.')}" for n, look in enumerate(kind.first_looks, start=1))
    return (("Look first ", "key"), (looks, "muted"))


def place_hint(kind: FaultKind | None) -> str:
    return kind.place_hint if kind else "wall, or a position like R3C7"


def usual_severity_at(job: OpenJob, kind: FaultKind | None, place: str) -> str:
    """Return the usual severity at a place; of the kind alone while the place has no meaning yet."""
    if kind is None:
        return "shows"
    try:
        location = job.state.wall.resolve(parse_location(place_of(job, place)))
    except CommissionError:
        return kind.severity
    return usual_severity(kind, job.state.wall, location)


def place_of(job: OpenJob, typed: str) -> str:
    """Return what is typed of a place as the wall's places are named: a measured point by its cabinet."""
    text = " ".join(typed.split()).lower()
    return fault_location("nine points", text, job.state.wall) if text in NINE_POINTS else typed


def why_graver(job: OpenJob, kind: FaultKind | None, place: str) -> str:
    """Say why the usual severity at a place is not that of the kind; nothing where it is.

    In the middle half of the picture it is a step graver (`usual_severity`).
    """
    if kind is None or usual_severity_at(job, kind, place) == kind.severity:
        return ""
    return f"not {kind.severity}: mid picture"


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

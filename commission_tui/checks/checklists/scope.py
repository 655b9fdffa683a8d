"""Sizes of a job: which checks are agreed at its start.

A check says in which sizes it stands; a firm's own checklists add sizes by naming them. What can
hurt somebody stands in every size. (Common practice, no published source.)
"""

from __future__ import annotations

from commission_tui.checks.checklists.checklist import Checklist
from commission_tui.errors import InputError, did_you_mean

ALL = "all"
SHORT = "short"
SHORT_CABINETS = 50
"""Up to about this many one person does the short size in an evening; from practice, no source."""


def sizes(checklist: Checklist) -> dict[str, tuple[str, ...]]:
    """Return each size with the ids of its checks, the smallest first."""
    named = dict.fromkeys(size for check in checklist for size in check.scope if size != ALL)
    found = {
        size: tuple(check.id for check in checklist if check.hurts or size in check.scope)
        for size in named
    }
    found[ALL] = tuple(check.id for check in checklist)
    return dict(sorted(found.items(), key=lambda item: (len(item[1]), item[0])))


def checks_of(checklist: Checklist, size: str) -> tuple[str, ...]:
    """Return the checks of a size; raise InputError when the checklists know no such size."""
    known = sizes(checklist)
    name = size.strip().lower()
    if name not in known:
        raise InputError(
            f"scope: found {size.strip()[:40]!r}, expected one of {', '.join(known)}"
            f"{did_you_mean(name, known)}"
        )
    return known[name]


def usual_size(checklist: Checklist, cabinets: int) -> str:
    """Return the size to suggest for a wall."""
    return SHORT if SHORT in sizes(checklist) and cabinets <= SHORT_CABINETS else ALL

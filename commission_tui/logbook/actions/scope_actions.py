"""Agreeing what a job covers, and settling what the wall file left open."""

from __future__ import annotations

from typing import get_args

from commission_tui.checks.checklists.checklist import Checklist, checks_of, sizes
from commission_tui.errors import InputError, did_you_mean
from commission_tui.logbook.entries.entry_factory import body
from commission_tui.logbook.entries.models import Entry, FeatureSettled, ScopeAgreed
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.state.agreed_checks import checks_not_agreed, is_narrower
from commission_tui.logbook.state.state import State
from commission_tui.text import listed
from commission_tui.wall.model.file_model import Feature

_ANSWERS = {"y": "yes", "n": "no", "?": "not known", "": "not known"}


def scope_body(checklist: Checklist, size: str, reason: str = "") -> ScopeAgreed:
    """Make the entry that freezes a size of the checklists as they are."""
    checks = checks_of(checklist, size)
    return body(ScopeAgreed, size=size.strip().lower(), checks=checks, reason=reason)


def agree_scope(job: OpenJob, size: str, reason: str = "") -> Entry:
    """Agree a scope anew: wider at any time, also by one check named, narrower only with a reason.

    What can hurt somebody, and what was read already, stays in whatever is agreed.

    Raises
    ------
    InputError
        When there is no such size, or a narrower one has no reason.
    """
    state = job.state
    one = _one_more(state, size)
    if one is not None:
        return job.record(one)
    agreed = scope_body(state.whole_checklist, size, reason)
    if is_narrower(state.whole_checklist, state, agreed.checks) and not reason.strip():
        raise InputError(
            f"scope: found {agreed.size!r}, which is less than was agreed, expected a reason"
        )
    return job.record(agreed)


def _one_more(state: State, text: str) -> ScopeAgreed | None:
    """Return what is agreed with one check more, named by its id or a part of its title; else none."""
    name = text.strip().casefold()
    if not state.scopes or not name or name in sizes(state.whole_checklist):
        return None
    outside = [state.whole_checklist.check(check) for check in checks_not_agreed(state)]
    same = [check for check in outside if name in (check.id, check.title.casefold())]
    named = same or [check for check in outside if name in check.title.casefold()]
    if len(named) > 1:
        titles = listed([check.title for check in named], 3)
        raise InputError(f"scope: found {text.strip()[:40]!r}, which names several: {titles}")
    now = state.scopes[-1].body
    return body(ScopeAgreed, size=now.size, checks=(*now.checks, named[0].id)) if named else None


def settle(job: OpenJob, feature: str, answer: str, note: str = "") -> Entry:
    """Log whether the wall or its room has something; see `feature_body`."""
    return job.record(feature_body(feature, answer, note))


def feature_body(feature: str, answer: str, note: str = "") -> FeatureSettled:
    """Say whether the wall or its room has something: yes, no or not known.

    Raises
    ------
    InputError
        When there is no such feature or the answer is none of the three.
    """
    known = get_args(Feature)
    name = feature.strip().lower()
    if name not in known:
        raise InputError(
            f"feature: found {feature.strip()[:40]!r}, expected one of {', '.join(known)}"
            f"{did_you_mean(name, known)}"
        )
    word = answer.strip().lower()
    return body(FeatureSettled, feature=name, there=_ANSWERS.get(word, word), note=note)

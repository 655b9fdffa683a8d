"""Agreeing what a job covers, settling what the wall file left open, and logging a setting that was changed."""

from __future__ import annotations

from collections.abc import Sequence
from typing import get_args

from commission_tui.checks.checklists.checklist import Checklist, called, checks_of, sizes
from commission_tui.checks.model.vocabulary import Setting
from commission_tui.errors import InputError, did_you_mean
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.entry_factory import body
from commission_tui.logbook.entries.models import Entry, FeatureSettled, ScopeAgreed
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.judging.doubts import change_named, doubts, place_called
from commission_tui.logbook.state.agreed_checks import checks_not_agreed, is_narrower
from commission_tui.logbook.state.state import State
from commission_tui.text import listed, quoted
from commission_tui.wall.model.file_model import Feature

_ANSWERS = {"y": "yes", "n": "no", "?": "not known", "": "not known"}
SETTINGS: tuple[str, ...] = get_args(Setting)


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
        When there is no such size, a narrower one has no reason, or the check is agreed already.
    """
    state = job.state
    _refuse_agreed(state, size)
    one = _one_more(state, size)
    if one is not None:
        return job.record(one)
    agreed = scope_body(state.whole_checklist, size, reason)
    if is_narrower(state.whole_checklist, state, agreed.checks) and not reason.strip():
        raise InputError(
            f"scope: found {agreed.size!r}, which is less than was agreed, expected a reason"
        )
    return job.record(agreed)


def _refuse_agreed(state: State, text: str) -> None:
    """Refuse a check more that is none."""
    checklist = state.whole_checklist
    if text.strip().lower() in sizes(checklist):
        return
    left = set(checks_not_agreed(state))
    named = called([check for check in checklist if check.id not in left], text)
    if len(named) == 1 and not called(map(checklist.check, left), text):
        raise InputError(f"scope: found {quoted(text.strip())}, which is agreed already")


def _one_more(state: State, text: str) -> ScopeAgreed | None:
    """Return what is agreed with one check more, named as in every command; else none."""
    if not state.scopes or text.strip().lower() in sizes(state.whole_checklist):
        return None
    named = called(map(state.whole_checklist.check, checks_not_agreed(state)), text)
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


def setting_body(
    state: State, setting: str, value: str, *, place: str = "wall", note: str = ""
) -> e.SettingLogged:
    """Make the entry of a setting as it now is.

    Raises
    ------
    InputError
        When no result can rest on such a setting, or there is no such place.
    """
    if setting not in SETTINGS:
        raise InputError(
            f"setting: found {quoted(setting)}, expected one of {', '.join(SETTINGS)}"
            f"{did_you_mean(setting, SETTINGS)}"
        )
    at = place_called(state.wall, place)
    if at is None:
        raise InputError(
            f"place: found {quoted(place)}, expected wall, a cabinet, an input, a camera, a circuit, "
            "a port or loudspeakers of this wall"
        )
    return body(e.SettingLogged, setting=setting, place=at, value=value, note=note)


def change_setting(
    job: OpenJob,
    setting: str,
    value: str,
    *,
    place: str = "wall",
    note: str = "",
    kept: str | None = None,
) -> e.Entry:
    """Log a setting as it now is; `kept` says why the results taken before still stand.

    Raises
    ------
    InputError
        As for `setting_body`.
    """
    logged = job.record(setting_body(job.state, setting, value, place=place, note=note))
    if kept is not None:
        checks = [doubt.check for doubt in doubts(job.state, logged.id)]
        if checks:
            job.record(body(e.ResultsKept, change=logged.id, checks=tuple(checks), reason=kept))
    return logged


def keep_results(job: OpenJob, change: str, checks: Sequence[str], reason: str) -> e.Entry:
    """Log why results that a change put in doubt still stand.

    Raises
    ------
    InputError
        When there is no such change, or it put one of the checks in no doubt.
    """
    found = change_named(job.state, change)
    doubted = {doubt.check for doubt in doubts(job.state, found.id)}
    for check in checks:
        job.state.checklist.check(check)
        if check not in doubted:
            raise InputError(
                f"check: found {check!r}, expected one that this change put in doubt: "
                f"{', '.join(sorted(doubted)) or 'none'}"
            )
    return job.record(body(e.ResultsKept, change=found.id, checks=tuple(checks), reason=reason))

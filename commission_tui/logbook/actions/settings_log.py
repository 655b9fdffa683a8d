"""Logging a change, and saying why results that it puts in doubt still stand."""

from __future__ import annotations

from collections.abc import Sequence
from typing import get_args

from commission_tui.checks.model.vocabulary import Setting
from commission_tui.errors import InputError, did_you_mean
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.entry_factory import body
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.judging.doubts import change_named, doubts, is_a_place
from commission_tui.text import quoted

SETTINGS: tuple[str, ...] = get_args(Setting)


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
        When no result can rest on such a setting, or there is no such place.
    """
    if setting not in SETTINGS:
        raise InputError(
            f"setting: found {quoted(setting)}, expected one of {', '.join(SETTINGS)}"
            f"{did_you_mean(setting, SETTINGS)}"
        )
    if not is_a_place(job.state.wall, place):
        raise InputError(
            f"place: found {quoted(place)}, expected wall, a cabinet, an input, a camera, a circuit "
            "or a port of this wall"
        )
    logged = job.record(body(e.SettingLogged, setting=setting, place=place, value=value, note=note))
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

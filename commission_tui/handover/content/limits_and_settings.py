"""What was agreed and what was changed: limits with who says so, settings as left, results kept."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import chain
from operator import attrgetter

from commission_tui.checks.model.definition import CheckDefinition
from commission_tui.checks.model.types import Limit, Verdict
from commission_tui.handover.content.document_inputs import Context
from commission_tui.handover.content.printed_rows import Event
from commission_tui.logbook.judging.agreed_limits import (
    as_limit,
    frozen_at,
    limit_changes,
    limits_moved,
    limits_of,
)
from commission_tui.logbook.judging.doubts import changes, doubts, settings_now
from commission_tui.text import counted


@dataclass(frozen=True, slots=True)
class LimitRow:
    """A limit in force."""

    check: str
    name: str
    limit: str
    source: str
    standing: str
    said: bool
    frozen: str


@dataclass(frozen=True, slots=True)
class LimitAgreed:
    """A limit that was agreed anew."""

    check: str
    limit: str
    source: str
    agreed: str
    reason: str


@dataclass(frozen=True, slots=True)
class Limits:
    """Every limit, those agreed anew, and the checks that have none."""

    rows: Sequence[LimitRow]
    record_only: Sequence[str]
    changed: Sequence[LimitAgreed]
    moved: Sequence[str]


@dataclass(frozen=True, slots=True)
class SettingLeft:
    """A setting as it was left."""

    setting: str
    place: str
    value: str


@dataclass(frozen=True, slots=True)
class Settings:
    """Settings as left, every change of one, and what is in doubt since."""

    left: Sequence[SettingLeft]
    changes: Sequence[Event]
    doubts: Sequence[str]
    kept: Sequence[Event]


def limits(context: Context) -> Limits:
    """Return every limit in force with its source, those agreed anew, and what has none."""
    there = [
        check
        for check in context.state.checklist
        if context.verdict(check) is not Verdict.NOT_APPLICABLE
    ]
    return Limits(
        rows=[
            _limit(context, check, limit, first=number == 0)
            for check in there
            for number, limit in enumerate(limits_of(context.state, check.id).values())
        ],
        record_only=[check.title for check in there if not limits_of(context.state, check.id)],
        changed=[
            LimitAgreed(
                check=_title(context, logged.body.check),
                limit=context.printing.limit(
                    as_limit(context.state, logged.body.check, logged.body.limit)
                ),
                source=logged.body.limit.source,
                agreed=f"{logged.body.agreed_by}, {context.printing.moment(logged.at)}",
                reason=logged.body.reason,
            )
            for logged in sorted(
                chain.from_iterable(limit_changes(context.state, c) for c in context.state.limits),
                key=attrgetter("id"),
            )
        ],
        moved=[
            f"{check.title}: frozen at {context.printing.limit(was)}; the wall file and the "
            f"checklist now say {context.printing.limit(now)}"
            for check in there
            for was, now in limits_moved(context.state, check.id)
        ],
    )


def _limit(context: Context, check: CheckDefinition, limit: Limit, *, first: bool) -> LimitRow:
    at = frozen_at(context.state, check.id)
    return LimitRow(
        check=check.title if first else "",
        name=context.printing.words(limit.label),
        limit=context.printing.limit(limit),
        source=limit.source,
        standing=limit.standing,
        said=limit.names_standing,
        frozen=context.printing.moment(at) if at and first else "" if at else "not yet",
    )


def _title(context: Context, check: str) -> str:
    return context.state.checklist.check(check).title if check in context.state.checklist else check


def settings(context: Context) -> Settings:
    """Return the settings as left, every change of one, and what is in doubt since."""
    return Settings(
        left=[
            SettingLeft(setting=setting, place=place, value=value)
            for (setting, place), value in sorted(settings_now(context.state).items())
        ],
        changes=[
            Event(context.printing.moment(change.at), change.by, change.words)
            for change in changes(context.state)
        ],
        doubts=[
            f"{doubt.title}: {len(doubt.slots)} of {counted(doubt.of, 'reading')}, since {doubt.change.words}"
            for doubt in doubts(context.state)
        ],
        kept=[
            Event(
                at=context.printing.moment(logged.at),
                by=logged.by,
                what=f"{counted(len(logged.body.checks), 'result')} kept as still good: {logged.body.reason}",
            )
            for logged in context.state.kept_results
        ],
    )

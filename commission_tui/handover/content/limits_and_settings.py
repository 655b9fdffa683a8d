"""What was agreed and what was changed: limits with who says so, settings as left, results kept."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import chain
from operator import attrgetter

from commission_tui.checks.model.definition import CheckDefinition
from commission_tui.checks.model.types import Limit, Verdict
from commission_tui.handover.content.document_inputs import Context
from commission_tui.handover.content.printed_rows import Listing
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
    names_standing: bool
    frozen: str


@dataclass(frozen=True, slots=True)
class Limits:
    """Every limit, those agreed anew, and the checks that have none."""

    rows: Sequence[LimitRow]
    record_only: Sequence[str]
    changed: Listing
    moved: Sequence[str]


@dataclass(frozen=True, slots=True)
class Settings:
    """Settings as left, every change of one, and what is in doubt since."""

    left: Listing
    changes: Listing
    doubts: Sequence[str]


def limits(context: Context) -> Limits:
    there = [
        check
        for check in context.state.checklist
        if context.verdict(check) is not Verdict.NOT_APPLICABLE
    ]
    agreed = chain.from_iterable(limit_changes(context.state, one) for one in context.state.limits)
    return Limits(
        rows=[
            _limit(context, check, limit, first=number == 0)
            for check in there
            for number, limit in enumerate(limits_of(context.state, check.id).values())
        ],
        record_only=[check.title for check in there if not limits_of(context.state, check.id)],
        changed=Listing(
            ("Check", "Limit", "Source", "Agreed by, when", "Reason"),
            [
                (
                    context.title_of(body.check),
                    context.printing.limit(as_limit(context.state, body.check, body.limit)),
                    body.limit.source,
                    f"{body.agreed_by}, {context.printing.moment(logged.at)}",
                    body.reason,
                )
                for logged in sorted(agreed, key=attrgetter("id"))
                for body in (logged.body,)
            ],
        ),
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
        names_standing=limit.names_standing,
        frozen=context.printing.moment(at) if at and first else "" if at else "not yet",
    )


def settings(context: Context) -> Settings:
    kept = [
        (
            *(context.printing.moment(logged.at), logged.by),
            f"{counted(len(logged.body.checks), 'result')} kept as still good: {logged.body.reason}",
        )
        for logged in context.state.kept_results
    ]
    return Settings(
        left=Listing(
            ("Setting", "Where", "Value"),
            [(*setting, value) for setting, value in sorted(settings_now(context.state).items())],
        ),
        changes=Listing(
            ("When", "Who", "What"),
            [
                *(
                    (context.printing.moment(change.at), change.by, change.words)
                    for change in changes(context.state)
                ),
                *kept,
            ],
        ),
        doubts=[
            f"{doubt.title}: {len(doubt.slots)} of {counted(doubt.of, 'reading')}, since {doubt.change.words}"
            for doubt in doubts(context.state)
        ],
    )

"""What was agreed and what was changed: limits with who says so, settings as left, results kept."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import chain
from operator import attrgetter

from commission_tui.checks.model.definition import CheckDefinition
from commission_tui.checks.model.types import Limit, Verdict
from commission_tui.handover.content.document_inputs import Context
from commission_tui.handover.content.sections import Chapter, Listing, Section, chapter
from commission_tui.logbook.judging.agreed_limits import (
    as_limit,
    frozen_at,
    limit_changes,
    limits_moved,
    limits_of,
)
from commission_tui.logbook.judging.doubts import changes, doubts_by_change, settings_now
from commission_tui.text import counted

_SETTINGS = "Settings as left"


def limits(context: Context) -> Chapter:
    there = [
        check
        for check in context.state.checklist
        if context.verdict(check) is not Verdict.NOT_APPLICABLE
    ]
    without = [check.title for check in there if not limits_of(context.state, check.id)]
    return chapter(
        "Limits agreed",
        Section(
            "limits",
            Listing(
                ("Check", "Limit", "Who says so", "Frozen", "Standing"),
                [
                    _limit(context, check, limit, first=number == 0)
                    for check in there
                    for number, limit in enumerate(limits_of(context.state, check.id).values())
                ],
            ),
            none="None.",
        ),
        Section(
            "small-words",
            f"{'; '.join(without)}." if without else "",
            "Recorded only: no limit was agreed",
        ),
        Section("changed-limits", _changed(context), "Agreed anew after that"),
        Section(
            "bullets",
            [
                f"{check.title}: frozen at {context.printing.limit(was)}; the wall file and the "
                f"checklist now say {context.printing.limit(now)}"
                for check in there
                for was, now in limits_moved(context.state, check.id)
            ],
            "Changed in a document since, and not agreed anew",
        ),
        lead="Each limit was written down, with who says so, before the first reading of its check.",
    )


def _changed(context: Context) -> Listing:
    agreed = chain.from_iterable(limit_changes(context.state, one) for one in context.state.limits)
    return Listing(
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
    )


def _limit(context: Context, check: CheckDefinition, limit: Limit, *, first: bool) -> Sequence[str]:
    """Return the row of a limit; its standing only where the source does not name it."""
    at = frozen_at(context.state, check.id)
    return (
        check.title if first else "",
        f"{context.printing.words(limit.label)}: {context.printing.limit(limit)}",
        limit.source,
        context.printing.moment(at) if at and first else "" if at else "not yet",
        "" if limit.names_standing else limit.standing,
    )


def settings(context: Context) -> Chapter:
    """Return settings as left, every change of one, and what is in doubt since."""
    left = [(*setting, value) for setting, value in sorted(settings_now(context.state).items())]
    changed = [
        *(
            (context.printing.moment(change.at), change.by, change.words)
            for change in changes(context.state)
        ),
        *(
            (
                *(context.printing.moment(logged.at), logged.by),
                f"{counted(len(logged.body.checks), 'result')} kept as still good: "
                f"{logged.body.reason}",
            )
            for logged in context.state.kept_results
        ),
    ]
    if not left and not changed:
        return chapter(_SETTINGS)
    return chapter(
        _SETTINGS,
        Section("settings", Listing(("Setting", "Where", "Value"), left)),
        Section("changes", Listing(("When", "Who", "What"), changed), "Changes", none="None."),
        Section(
            "bullets",
            [
                f"{doubt.title}: {len(doubt.slots)} of {counted(doubt.of, 'reading')}, since "
                f"{doubt.change.words}"
                for doubt in doubts_by_change(context.state)
            ],
            "No longer good since a change",
        ),
    )

"""What was agreed and what was changed: limits with who says so, settings as left, results kept."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import chain
from operator import attrgetter

from commission_tui.checks.model.definition import CheckDefinition
from commission_tui.checks.model.types import Limit, Verdict
from commission_tui.handover.content.document_inputs import Context
from commission_tui.handover.content.sections import Chapter, Listing, Section, chapter
from commission_tui.logbook.entries.logged import Logged
from commission_tui.logbook.entries.models import LimitChanged
from commission_tui.logbook.integrity.known_before import KnownBefore
from commission_tui.logbook.judging.agreed_limits import (
    agreed_after_freezing,
    as_limit,
    frozen_at,
    limit_changes,
    limits_at_first,
    limits_designed,
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
                [row for check in there for row in _limits(context, check)],
            ),
            none="None.",
        ),
        Section(
            "small-words",
            f"{'; '.join(without)}." if without else "",
            "Recorded only: no limit was agreed",
        ),
        Section("changed-limits", _changed(context), "Agreed anew"),
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
        lead="Each limit was written down, with who says so, before the first reading of its check; "
        "the table says of which ones another was agreed after that.",
    )


def _changed(context: Context) -> Listing:
    """List what was agreed anew, each beside what stood as far as who agreed it knew."""
    state, known = context.state, KnownBefore(context.state)
    at_first: dict[str, dict[str, Limit]] = {}
    agreed: list[Logged[LimitChanged]] = []
    rows = []
    changes_made = chain.from_iterable(limit_changes(state, one) for one in state.limits)
    for logged in sorted(changes_made, key=attrgetter("id")):
        said = logged.body
        limit = as_limit(state, said.check, said.limit)
        if said.check not in at_first:
            is_agreed = said.check in state.checklist
            at_first[said.check] = limits_designed(state, said.check) if is_agreed else {}
        if logged in agreed_after_freezing(state, said.check)[:1]:
            at_first[said.check].update(limits_at_first(state, said.check))
        was, apart = at_first[said.check].get(limit.name), ""
        for one in agreed:
            if (one.body.check, one.body.limit.name) == (said.check, limit.name):
                other = as_limit(state, said.check, one.body.limit)
                if known.knew(logged.id, one.id):
                    was = other
                else:
                    apart = (
                        f"; not knowing of {context.printing.limit(other)}, which {one.by} logged"
                    )
        agreed.append(logged)
        rows.append(
            (
                context.title_of(said.check),
                context.printing.limit(was) if was else "",
                context.printing.limit(limit),
                said.limit.source,
                f"{said.agreed_by}, {context.printing.moment(logged.at)}{apart}",
                said.reason,
            )
        )
    return Listing(("Check", "Before", "Now", "Source", "Agreed by, when", "Reason"), rows)


def _limits(context: Context, check: CheckDefinition) -> Iterator[Sequence[str]]:
    """Yield a row for each limit in force; its standing only where the source does not name it."""
    state, moment = context.state, context.printing.moment
    frozen = frozen_at(state, check.id)
    anew = {one.body.limit.name: one.at for one in agreed_after_freezing(state, check.id)}
    title, at = check.title, moment(frozen) if frozen else "not yet"
    for limit in limits_of(state, check.id).values():
        when = f"agreed anew {moment(anew[limit.name])}" if limit.name in anew else at
        yield (
            title,
            f"{context.printing.words(limit.label)}: {context.printing.limit(limit)}",
            limit.source,
            when,
            "" if limit.names_standing else limit.standing,
        )
        title = ""
        if frozen and when == at:
            at = ""


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

"""The job on one page, for who reads no other: state, counts, what blocks, what to do next."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from commission_tui.checks.model.types import Verdict
from commission_tui.handover.content import acceptance
from commission_tui.handover.content.acceptance import ExceptionRow
from commission_tui.handover.content.document_inputs import Context
from commission_tui.handover.content.printed_rows import Fact, Listing
from commission_tui.handover.content.results import stage_counts
from commission_tui.handover.figure_text import as_sentence
from commission_tui.logbook.state.state import Fault

_MOST = 12
"""Lines of one list: the page stays one page, the rest is in the pages that follow."""


@dataclass(frozen=True, slots=True)
class Summary:
    """What stands on the one page."""

    facts: Sequence[Fact]
    stages: Listing
    exceptions_title: str
    exceptions: Sequence[ExceptionRow]
    more: str
    """That there are more of them than stand here."""
    next: Sequence[str]


def summary(context: Context) -> Summary:
    taken = [fault for fault in context.faults if fault.state == "accepted"]
    left = [fault for fault in context.faults if fault.state in {"open", "mended"}]
    listed = acceptance.exceptions(context)
    steps = _next(context, left)
    rest = len(steps) - _MOST
    return Summary(
        facts=_facts(context, taken, left),
        stages=stage_counts(context),
        exceptions_title="Exceptions that the client took"
        if context.stands.state.is_accepted
        else "Exceptions, if it were signed now",
        exceptions=listed[:_MOST],
        more=f"{len(listed) - _MOST} more are listed under Exceptions."
        if len(listed) > _MOST
        else "",
        next=steps if rest <= 1 else [*steps[:_MOST], f"and {rest} more, under Results"],
    )


def _facts(context: Context, taken: list[Fault], left: list[Fault]) -> list[Fact]:
    asked = len([*context.state.checklist]) - context.count(Verdict.NOT_APPLICABLE)
    settled = len(context.faults) - len(taken) - len(left)
    first = min(entry.at for entry in context.entries)
    day = context.printing.day
    return [
        Fact("On site", f"{day(first)} to {day(context.last_at)}"),
        Fact(
            "Checks",
            f"{context.count(Verdict.PASS)} of {asked} met, {context.count(Verdict.FAIL)} not met, "
            f"{context.count(Verdict.MARGINAL)} marginal, {context.count(Verdict.OPEN)} not done",
        ),
        Fact(
            "Punch list",
            f"{len(context.faults)} found: {settled} put right and looked at again, "
            f"{len(left)} open or to be looked at again, {len(taken)} taken as "
            f"{'it is' if len(taken) == 1 else 'they are'}",
        ),
    ]


def _next(context: Context, left: list[Fault]) -> list[str]:
    """Say what is to be done, what holds up the signatures first."""
    undone = context.count(Verdict.OPEN)
    unmet = [one for one in context.unmet() if context.printed[one.id].next_step]
    unmet.sort(key=lambda check: not check.blocks_acceptance)
    return [
        *(
            [f"Do the checks that are not done: {undone}; they are named in the results."]
            if undone
            else []
        ),
        *(
            f"Look again at no. {fault.number}, {fault.found.body.called} at "
            f"{fault.found.body.location}."
            for fault in left
            if fault.state == "mended"
        ),
        *(f"{one.title}: {as_sentence(context.printed[one.id].next_step)}" for one in unmet),
        *(f"Get the {line}." for line in acceptance.missing_signatures(context)),
    ]

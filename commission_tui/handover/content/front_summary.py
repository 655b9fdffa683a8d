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
    """Return what stands on the one page."""
    taken = [fault for fault in context.faults if fault.state == "accepted"]
    left = [fault for fault in context.faults if fault.state in {"open", "mended"}]
    listed = acceptance.exceptions(context)
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
        next=_few(_next(context, left), _MOST),
    )


def _facts(context: Context, taken: list[Fault], left: list[Fault]) -> list[Fact]:
    verdicts = [context.verdict(check) for check in context.state.checklist]
    asked = [v for v in verdicts if v is not Verdict.NOT_APPLICABLE]
    settled = len(context.faults) - len(taken) - len(left)
    first = min(entry.at for entry in context.entries)
    day = context.printing.day
    count = verdicts.count
    return [
        Fact(label=label, value=value)
        for label, value in (
            ("On site", f"{day(first)} to {day(context.last_at)}"),
            (
                "Checks",
                f"{count(Verdict.PASS)} of {len(asked)} met, {count(Verdict.FAIL)} not met, "
                f"{count(Verdict.MARGINAL)} marginal, {count(Verdict.OPEN)} not done",
            ),
            (
                "Punch list",
                f"{len(context.faults)} found: {settled} put right and looked at again, "
                f"{len(left)} open or to be looked at again, {len(taken)} taken as {'it is' if len(taken) == 1 else 'they are'}",
            ),
        )
    ]


def _next(context: Context, left: list[Fault]) -> list[str]:
    """Say what is to be done, what holds up the signatures first."""
    steps = [f"Look again at {_said(fault)}" for fault in left if fault.state == "mended"]
    unmet = [
        check
        for verdict in (Verdict.FAIL, Verdict.MARGINAL)
        for check in context.state.checklist
        if context.verdict(check) is verdict and context.printed[check.id].next_step
    ]
    steps += [
        f"{check.title}: {as_sentence(context.printed[check.id].next_step)}"
        for check in sorted(unmet, key=lambda check: not check.blocks_acceptance)
    ]
    undone = sum(context.verdict(c) is Verdict.OPEN for c in context.state.checklist)
    if undone:
        steps.insert(
            0, f"Do the checks that are not done: {undone}; they are named in the results."
        )
    return [*steps, *(f"Get the {line}." for line in acceptance.missing_signatures(context))]


def _said(fault: Fault) -> str:
    found = fault.found.body
    return f"no. {fault.number}, {found.called} at {found.location}."


def _few(lines: list[str], most: int) -> list[str]:
    rest = len(lines) - most
    return lines if rest <= 1 else [*lines[:most], f"and {rest} more, under Results"]

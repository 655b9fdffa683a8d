"""The job on one page, for who reads no other: state, counts, what blocks, what to do next."""

from __future__ import annotations

from commission_tui.checks.model.types import Verdict
from commission_tui.handover.content import acceptance
from commission_tui.handover.content.document_inputs import Context
from commission_tui.handover.content.punch_list import fault_counts, faults_left, punch_item
from commission_tui.handover.content.results import stage_counts
from commission_tui.handover.content.sections import Chapter, Fact, Section, chapter
from commission_tui.handover.figure_text import as_sentence
from commission_tui.logbook.judging.visits import meter_times, visit_title
from commission_tui.logbook.state.agreed_checks import named_features, unsettled_checks
from commission_tui.logbook.state.state import Fault
from commission_tui.logbook.tables.table_cells import meter_day

_MOST = 12
"""Lines of one list: the page stays one page, the rest is in the pages that follow."""


def summary(context: Context) -> Chapter:
    more, steps = context.stands.count - _MOST, _next(context)
    if len(steps) > _MOST + 1:
        steps[_MOST:] = [f"and {len(steps) - _MOST} more, under Exceptions and Results"]
    return chapter(
        "On one page",
        Section("state", [acceptance.state_fact(context)]),
        Section("facts-narrow", _facts(context)),
        *_visit(context),
        Section("stages", stage_counts(context)),
        acceptance.numbered_exceptions(context, _MOST),
        Section("quiet", f"{more} more are listed under Exceptions." if more > 0 else ""),
        Section("bullets", steps, "What to do next", none="Nothing is left to do."),
        reader="Client",
    )


def _visit(context: Context) -> list[Section]:
    """Return all that the latest visit left; the cover has the first of it."""
    visit = acceptance.visit_line(context)
    if visit is None:
        return []
    left = [*visit.to_put_right, *visit.changed]
    return [Section("bullets", left, f"{visit_title(visit.name)}: {visit.state}", on_paper=False)]


def _facts(context: Context) -> list[Fact]:
    asked = len([*context.state.checklist]) - context.count(Verdict.NOT_APPLICABLE)
    first = min(entry.at for entry in context.entries)
    waiting = len(unsettled_checks(context.state))
    day = context.printing.day
    return [
        Fact("On site", f"{day(first)} to {day(context.last_at)}{_before(context, first)}"),
        Fact(
            "Checks",
            f"{context.count(Verdict.PASS)} of {asked} met, {context.count(Verdict.FAIL)} not met, "
            f"{context.count(Verdict.MARGINAL)} marginal, {context.undone_words}"
            f"{f'; {waiting} more not settled' if waiting else ''}",
        ),
        Fact("Punch list", fault_counts(context)),
    ]


def _before(context: Context, first: str) -> str:
    """Say so where a meter's own times are of days before the first entry: they were read before it."""
    days = filter(None, map(meter_day, meter_times(context.state)))
    earliest = min(days, default=None)
    if earliest is None or earliest >= context.printing.local(first).date():
        return ""
    return f"; meters' own times from {context.printing.date(earliest)}"


def _taken(context: Context, fault: Fault) -> str:
    """Say of a fault that the client took as it is who puts it right, until when."""
    if fault.state != "accepted" or fault.worked == "mended":
        return ""
    item = punch_item(context, fault)
    owned = f", {item.owner} puts it right until {item.due}" if item.owner else ""
    return f": taken as it is{owned}"


def _next(context: Context) -> list[str]:
    """Say what is to be done, what holds up the signatures first, then the gravest faults."""
    again = len(context.in_doubt())
    unmet = [one for one in context.unmet() if context.printed[one.id].next_step]
    features = named_features(unsettled_checks(context.state))
    unmet.sort(key=lambda check: not check.blocks_acceptance)
    many = (
        ("Do the checks that are not done", context.not_done),
        ("Do again the checks whose results are no longer good", again),
    )
    return [
        *(f"{what}: {count}; they are named in the results." for what, count in many if count),
        *([f"Settle whether there is {features}."] if features else []),
        *(
            f"{'Look again at' if one.worked == 'mended' else 'Put right'} no. {one.number}, "
            f"{one.found.body.called} at {one.found.body.location}{_taken(context, one)}."
            for one in faults_left(context)
            if one.found.body.severity != "note"
        ),
        *(f"{one.title}: {as_sentence(context.printed[one.id].next_step)}" for one in unmet),
        *(f"Get the {line}." for line in acceptance.missing_signatures(context)),
    ]

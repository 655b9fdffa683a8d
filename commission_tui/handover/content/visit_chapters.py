"""Later visits, each against the first: what moved, which faults came back, what was set otherwise."""

from __future__ import annotations

from collections.abc import Sequence

from commission_tui.handover.content.acceptance import visit_line
from commission_tui.handover.content.document_inputs import Context
from commission_tui.handover.content.sections import (
    Chapter,
    DrawingRow,
    Listing,
    Section,
    chapter,
)
from commission_tui.logbook.judging.visits import visit_names, visit_title
from commission_tui.logbook.plan.visit_comparison import Comparison, Drift, compare
from commission_tui.logbook.state.fault_steps import state_words
from commission_tui.logbook.state.state import Fault
from commission_tui.text import listed, upper_first

_OUTLIERS_SHOWN = 8


def visits(context: Context, drawn: Sequence[DrawingRow]) -> list[Chapter]:
    last = len(context.state.visits)
    return [
        _visit(
            context,
            compare(context.state, 0, number),
            [one for one in drawn if one.file == f"change-{number}.svg"],
            _stands(context) if number == last else [],
        )
        for number in range(1, len(visit_names(context.state)))
    ]


def _stands(context: Context) -> list[Section]:
    """Return the state of the latest visit with all that makes it, of which the cover has the first."""
    visit = visit_line(context)
    if visit is None:
        return []
    found = [*visit.to_put_right, *visit.changed]
    return [
        Section("bullets", found, upper_first(visit.state), none=f"{upper_first(visit.state)}.")
    ]


def _visit(
    context: Context, found: Comparison, drawn: Sequence[DrawingRow], stands: Sequence[Section]
) -> Chapter:
    checklist = context.state.checklist
    faults = {
        "New since then": found.faults.new,
        "Came back": found.faults.came_back,
        "Known, and logged again": found.faults.logged_again,
        "Known, nothing logged of it since": found.faults.not_logged,
        "Settled": found.faults.settled,
    }
    hours = "" if found.hours is None else f", {found.hours:g} hours run in between"
    return chapter(
        visit_title(found.after, ": "),
        *stands,
        Section(
            "drifts",
            Listing(
                ("Check", "Reading", "Places", "Moved", "Left the common drift by more than 5 %"),
                [_drift(context, drift) for drift in found.drifts],
            ),
            "Read at the same places",
            none="Nothing was read at the same places yet.",
        ),
        Section(
            "bullets",
            [
                f"{checklist.check(drift.check).title}, {_read(context, drift)}: {drift.remark}."
                for drift in found.drifts
                if drift.remark
            ],
        ),
        Section(
            "bullets",
            [
                f"{checklist.check(white.check).title}: the mean white moved by "
                f"{white.mean_duv:.4f} in u'v', most at {white.largest_at}: {white.largest_duv:.4f}."
                for white in found.whites
            ],
        ),
        Section("drawings-smaller", drawn),
        Section(
            "words", " ".join(f"{what}: {len(some)}." for what, some in faults.items()), "Faults"
        ),
        Section(
            "bullets",
            [
                f"{what}: {_fault(context, fault)}"
                for what, some in faults.items()
                for fault in some
            ],
        ),
        Section(
            "other-settings",
            Listing(
                ("Setting", "Where", "Then", "Now"),
                [(s, p, old or "not logged", new) for s, p, old, new in found.settings],
            ),
            "Other settings than at the handover",
        ),
        lead=f"Held against {found.before}{hours}. Only numbers read at the same place on both visits "
        "are compared.",
    )


def _drift(context: Context, drift: Drift) -> Sequence[str]:
    moved = f"{drift.median_percent:+.1f} %" if drift.median_percent is not None else ""
    if drift.unit in {"xy", "count"} or not moved:
        moved = context.printing.difference(drift.median_difference, drift.unit)
    if drift.apart:
        moved = "not alike"
    outliers = [f"{pair.place} {pair.percent:+.1f} %" for pair in drift.outliers]
    text = listed(outliers, _OUTLIERS_SHOWN) + (": no common drift" if drift.apart else "")
    check = context.state.checklist.check(drift.check)
    return (
        *(check.title, _read(context, drift), str(drift.places)),
        *(moved, text or ("none: they moved as one" if drift.places > 1 else "")),
    )


def _read(context: Context, drift: Drift) -> str:
    check = context.state.checklist.check(drift.check)
    return context.printing.words(check.label_of(drift.field))


def _fault(context: Context, fault: Fault) -> str:
    body = fault.found.body
    return f"No. {fault.number} {body.called} at {context.state.place_text(body.location)}, {state_words(fault)}"

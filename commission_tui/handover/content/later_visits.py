"""Later visits against the first: drift, white, new faults and known ones, other settings."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from commission_tui.handover.content.document_inputs import Context
from commission_tui.handover.content.printed_rows import Listing
from commission_tui.logbook.judging.visits import visit_names
from commission_tui.logbook.plan.visit_comparison import Drift, compare
from commission_tui.logbook.state.state import Fault
from commission_tui.text import listed

_OUTLIERS_SHOWN = 8


@dataclass(frozen=True, slots=True)
class LaterVisit:
    """One later visit against the first."""

    number: int
    name: str
    against: str
    hours: str
    drifts: Listing
    whites: Sequence[str]
    new: Sequence[str]
    known: Sequence[str]
    settled: int
    settings: Listing


def visit_comparisons(context: Context) -> list[LaterVisit]:
    checklist, visits = context.state.checklist, visit_names(context.state)
    rows = []
    for number in range(1, len(visits)):
        found = compare(context.state, 0, number)
        rows.append(
            LaterVisit(
                number=number,
                name=found.after,
                against=found.before,
                hours="" if found.hours is None else f"{found.hours:g} hours run in between",
                drifts=Listing(
                    (
                        "Check",
                        "Reading",
                        "Places",
                        "Moved",
                        "Left the common drift by more than 5 %",
                    ),
                    [_drift(context, drift) for drift in found.drifts],
                ),
                whites=[
                    f"{checklist.check(white.check).title}: the mean white moved by "
                    f"{white.mean_duv:.4f} in u'v', most at {white.largest_at}: "
                    f"{white.largest_duv:.4f}."
                    for white in found.whites
                ],
                new=[_fault(context, fault) for fault in found.new_faults],
                known=[_fault(context, fault) for fault in found.known_faults],
                settled=len(found.settled_faults),
                settings=Listing(
                    ("Setting", "Where", "Then", "Now"),
                    [(s, p, old or "not logged", new) for s, p, old, new in found.settings],
                ),
            )
        )
    return rows


def _drift(context: Context, drift: Drift) -> Sequence[str]:
    moved = f"{drift.median_percent:+.1f} %" if drift.median_percent is not None else ""
    if drift.unit in {"xy", "count"} or not moved:
        moved = context.printing.difference(drift.median_difference, drift.unit)
    outliers = [f"{pair.place} {pair.percent:+.1f} %" for pair in drift.outliers]
    text = listed(outliers, _OUTLIERS_SHOWN)
    check = context.state.checklist.check(drift.check)
    return (
        *(check.title, context.printing.words(check.label_of(drift.field)), str(drift.places)),
        *(moved, text or ("none: they moved as one" if drift.places > 1 else "")),
    )


def _fault(context: Context, fault: Fault) -> str:
    body = fault.found.body
    return f"No. {fault.number} {body.called} at {context.place_text(body.location)}, {fault.state}"

"""Lines in modules, as logged."""

from __future__ import annotations

from commission_tui.checks import judgement as j
from commission_tui.checks.model.types import CheckInput, Outcome
from commission_tui.checks.registry import method
from commission_tui.text import listed, lower_first

LINE_KINDS = frozenset(
    {
        "line in module",
        "column in module lost in one colour",
        "line doubled or out of place",
        "first line of each scan dark",
    }
)
"""Kinds of fault that count as a line; ghosts are looked for with patterns of their own."""


@method(fields="swept", reads_faults=True)
def lines_in_modules(data: CheckInput) -> Outcome:
    """Count the lines in modules that are logged and not verified as gone; there may be none."""
    there = (fault for fault in data.faults if fault.kind in LINE_KINDS and not fault.is_gone)
    found = [fault.location for fault in there]
    unswept = j.answered_no(data, "swept")
    figure = j.count_wrong("lines in modules", found, digits=3)
    reason = "No line in any module" if not found else f"Lines in modules: {listed(found)}"
    if unswept:
        reason = f"Not swept in {listed(unswept)}; {lower_first(reason)}"
    step = "Reseat the flat cable of the named module, then change the module; sweep it again."
    return j.conclude([figure], reason, where=[*unswept, *found], next_step=step, failed=unswept)

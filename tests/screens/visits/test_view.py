"""The lines of two visits compared: what moved is told from what else the same check reads."""

from __future__ import annotations

from commission_tui.logbook.logbook import OpenJob
from commission_tui.logbook.plan.visit_comparison import Comparison, Drift, FaultsBetween
from commission_tui.screens.terminal.styled_text import plain_line
from commission_tui.screens.visits.view import rows

_WIDTH = 76
"""Of the box in a window of 80."""


def test_what_tells_two_drifts_apart_is_seen_for_every_number_there_is(job: OpenJob) -> None:
    drifts = tuple(
        Drift(check.id, item.name, item.unit, 36, 1.0, 0.1, ())
        for check in job.state.checklist
        for item in check.fields
        if item.kind == "number"
    )
    found = Comparison("Spring", "Autumn", None, (), drifts, (), FaultsBetween(), (), ())
    shown = [plain_line(row.line) for row in rows(job.state, found, _WIDTH)[1:]]
    assert max(map(len, shown)) <= _WIDTH
    named = [line.partition("36 places")[0].strip() for line in shown]
    labels = [name for name in named[: named.index("New faults, found after Spring  0")] if name]
    assert len(labels) == len(drifts)
    assert not [label for label in labels if labels.count(label) > 1]

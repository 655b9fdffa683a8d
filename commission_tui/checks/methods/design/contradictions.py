"""The design before anything is lit: contradictions answered, limits agreed."""

from __future__ import annotations

from collections import Counter

from commission_tui.checks.judgement import conclude, count_right, phrased, refusals
from commission_tui.checks.model.types import CheckInput, Figure, Outcome
from commission_tui.checks.places.places import findings_to_answer
from commission_tui.checks.registry import method
from commission_tui.text import counted, listed


@method(fields="answer limits_agreed")
def design_review(data: CheckInput) -> Outcome:
    """Require an answer to every contradiction and overload that the review of the design finds."""
    findings = findings_to_answer(data.wall)
    answered = data.field("answer")
    kinds = Counter(finding.severity for finding in findings.values())
    unanswered = [name for name in findings if name not in answered]
    figures = [
        count_right("findings answered", len(findings), unanswered, digits=3),
        *(Figure(f"found by the review: {what}", n) for what, n in sorted(kinds.items())),
    ]
    disagreed = refusals(data, {"limits_agreed": "the limits are not agreed in writing"})
    usual = (
        f"{len(findings)} of {counted(len(findings), 'finding')} answered"
        if findings
        else "No contradiction, no overload"
    )
    parts = [f"Not answered: {listed(unanswered, 2)}"] if unanswered else []
    return conclude(
        figures,
        phrased(*parts, *disagreed) or usual,
        where=unanswered,
        next_step="Ask the author of the document which figure stands, and have the limits signed.",
        failed=disagreed,
    )

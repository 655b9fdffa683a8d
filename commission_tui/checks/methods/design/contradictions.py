"""The design before anything is lit: contradictions answered, limits agreed."""

from __future__ import annotations

from collections import Counter

from commission_tui.checks.judgement import answered_no, conclude, right_or_wrong
from commission_tui.checks.model.types import CheckInput, Figure, Outcome, Verdict
from commission_tui.checks.places.places import findings_to_answer
from commission_tui.checks.registry import method
from commission_tui.text import counted, listed, upper_first


@method("design_review", fields=("answer", "limits_agreed"))
def design_review(data: CheckInput) -> Outcome:
    """Require an answer to every contradiction and overload that the review of the design finds."""
    findings = findings_to_answer(data.wall)
    answered = data.field("answer")
    kinds = Counter(finding.severity for finding in findings.values())
    unanswered = [name for name in findings if name not in answered]
    figures = [
        right_or_wrong("findings answered", len(findings) - len(unanswered), ok=not unanswered),
        *(Figure(f"found by the review: {what}", n) for what, n in sorted(kinds.items())),
    ]
    disagreed = bool(answered_no(data, "limits_agreed"))
    parts = [f"Not answered: {listed(unanswered, 2)}"] if unanswered else []
    parts += ["the limits are not agreed in writing"] if disagreed else []
    reason = "; ".join(parts) or (
        f"{len(findings)} of {counted(len(findings), 'finding')} answered"
        if findings
        else "No contradiction, no overload"
    )
    step = "Ask the author of the document which figure stands, and have the limits signed."
    extra = Verdict.FAIL if disagreed else None
    return conclude(figures, upper_first(reason), where=unanswered, next_step=step, also=extra)

"""Whether a fault stands in the way of acceptance.

The severity that was logged decides first, then the kind's own rule: what can hurt always blocks;
what stops a contracted function or shows blocks until it is gone or, where the kind allows that,
the client accepts it in writing; what only shows close by counts in the agreed allowance; a note
never blocks. (Common practice, no published source.)
"""

from __future__ import annotations

from commission_tui.checks.faults.kinds import Blocks, known_kind

_STILL_THERE = frozenset({"open", "mended"})


def blocking_rule(kind: str, severity: str) -> Blocks:
    """Return how a fault of a kind (or in own words) and a severity bears on acceptance."""
    if severity == "note":
        return "no"
    if severity == "danger":
        return "always"
    known = known_kind(kind)
    if severity == "near":
        return "no" if known and known.blocks == "no" else "in the allowance"
    if known is None or known.blocks == "in the allowance":
        return "unless accepted"
    return known.blocks


def blocks_acceptance(kind: str, severity: str, state: str) -> bool:
    """Whether a fault in a state (open, mended, verified, accepted) blocks acceptance."""
    rule = blocking_rule(kind, severity)
    if rule == "always":
        return state in _STILL_THERE or state == "accepted"
    return rule == "unless accepted" and state in _STILL_THERE


def blocking_words(kind: str, severity: str) -> str:
    """Say the rule for a fault in one short sentence."""
    return {
        "always": "blocks acceptance until it is mended and verified",
        "unless accepted": "blocks acceptance unless the client accepts it in writing",
        "in the allowance": "counts in the agreed allowance",
        "no": "does not block acceptance",
    }[blocking_rule(kind, severity)]

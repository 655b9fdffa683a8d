"""How the wall is at the latest visit, against the handover, beside which it stands."""

from __future__ import annotations

import statistics
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from commission_tui.checks.model.types import Outcome, Verdict
from commission_tui.checks.places.applicability import REVISIT
from commission_tui.figures import reading_text, shown, with_unit
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.judging.acceptance_state import why_gone
from commission_tui.logbook.judging.doubts import changed_settings
from commission_tui.logbook.judging.visits import visit_names
from commission_tui.logbook.plan.visit_comparison import (
    Pair,
    change_words,
    faults_between,
    numbers_read,
    same_places,
)
from commission_tui.logbook.state.state import State
from commission_tui.text import counted, listed, lower_first

AS_HANDED_OVER, CHANGED = "as at handover", "changed since"
NOT_LOOKED_AT = "nothing looked at yet"
_CHOSEN = ("yes-no", "choice")
"""Kinds of field whose words are another when the wall is; other words are anybody's."""
_PLACES_NAMED = 3


@dataclass(frozen=True, slots=True)
class VisitState:
    """How the wall is at the latest visit, against the handover."""

    name: str
    changed: tuple[str, ...]
    """What is another than at the handover, and is nobody's fault to mend."""
    to_put_right: tuple[str, ...]
    warranty: bool
    """Whether a warranty was recorded."""
    not_done: int = 0
    """Checks of a later visit that are not done yet."""
    asked: int = 0
    """Checks of a later visit that apply."""
    looked_at: bool = True
    """Whether something was read on it, or logged of a fault."""

    @property
    def word(self) -> str:
        """Name the state in a few words, and how much of the visit it does not speak of."""
        if not self.looked_at and not self.to_put_right and not self.changed:
            return NOT_LOOKED_AT
        said = AS_HANDED_OVER
        if self.to_put_right:
            under = " under warranty" if self.warranty else ""
            said = f"{counted(len(self.to_put_right), 'item')} to be put right{under}"
        elif self.changed:
            said = CHANGED
        elif self.not_done:
            said = f"{AS_HANDED_OVER} in what was looked at"
        left = f"{self.not_done} of {counted(self.asked, 'check')} of the visit not done"
        return f"{said}; {left}" if self.not_done else said


def visit_state(job: OpenJob) -> VisitState | None:
    """Return the state of the latest later visit; None while there was none."""
    state = job.state
    if not state.visits:
        return None
    stands, outcomes = job.acceptance(), job.outcomes()
    last = len(state.visits)
    there = {item.key for item in stands.left}
    revisit = [check for check in state.checklist if REVISIT in check.applies]
    faults = faults_between(state, 0, last)
    new = {fault.id: "" for fault in faults.new} | {
        fault.id: ", came back" for fault in faults.came_back
    }
    open_again = [item.what + new[item.fault] for item in stands.left if item.fault in new]
    taken = {one.key for one in stands.exceptions}
    worse = [
        item.what
        for item in stands.left
        if stands.state.is_accepted and item.check is not None and item.key not in taken
    ]
    failed = [
        f"{check.title}: not met" for check in revisit if outcomes[check.id].verdict is Verdict.FAIL
    ]
    mended = [
        f"exception {one.number} {why_gone(state, outcomes, one.key)}: {one.what}"
        for one in stands.exceptions
        if one.key not in there
    ]
    other = [words + _still_met(outcomes[check]) for check, words in job.once(read_otherwise)]
    moved = [
        f"{setting} at {place}: {change_words(before, after)}"
        for setting, place, before, after in changed_settings(state, 0, last)
    ]
    verdicts = [outcomes[check.id].verdict for check in revisit]
    return VisitState(
        name=visit_names(state)[last],
        changed=(*mended, *other, *moved),
        to_put_right=(*failed, *worse, *open_again),
        warranty=any(check.id in state.readings for check in state.checklist.in_role("warranty")),
        not_done=verdicts.count(Verdict.OPEN),
        asked=len(verdicts) - verdicts.count(Verdict.NOT_APPLICABLE),
        looked_at=max(state.last_reading, _last_of_faults(state)) > state.visits[-1].id,
    )


def read_otherwise(state: State) -> tuple[tuple[str, str], ...]:
    """Say what was read otherwise than at the handover, beyond what the two readings may be off.

    Returns
    -------
    tuple of (check, words)
        In the order of the checks. Of each place the latest visit that read it counts.
    """
    numbers: dict[tuple[str, str], dict[str, Pair]] = {}
    words: dict[tuple[str, str], dict[str, tuple[str, str]]] = {}
    for visit in range(1, len(state.visits) + 1):
        for pair in numbers_read(state, 0, visit):
            numbers.setdefault((pair.check, pair.field), {})[pair.place] = pair
        for check, field, old, now in same_places(state, 0, visit):
            if check.field(field).kind in _CHOSEN:
                both = reading_text(old.value), reading_text(now.value)
                words.setdefault((check.id, field), {})[now.at] = both
    found = {
        **{key: _moved([*pairs.values()]) for key, pairs in numbers.items()},
        **{key: _chosen(at) for key, at in words.items()},
    }
    order = {check.id: place for place, check in enumerate(state.checklist)}
    return tuple(
        (key[0], f"{_what(state, *key)}: {found[key]}")
        for key in sorted(found, key=lambda key: order[key[0]])
        if found[key]
    )


def _what(state: State, check_id: str, field: str) -> str:
    check = state.checklist.check(check_id)
    return check.title + (
        f", {lower_first(check.field(field).label)}" if len(check.fields) > 1 else ""
    )


def _still_met(outcome: Outcome) -> str:
    met = outcome.verdict is Verdict.PASS and any(figure.limit for figure in outcome.figures)
    return "; its limits are met" if met else ""


def _moved(pairs: Sequence[Pair]) -> str:
    """Say how numbers of one field moved; nothing where all lie within their uncertainty."""
    other = [pair for pair in pairs if pair.differs]
    if not other:
        return ""
    most, unit = max(other, key=lambda pair: abs(pair.difference)), other[0].unit
    known = any(pair.expanded is not None or not pair.measured for pair in other)
    unknown = "" if known else "; the uncertainty is not known"
    if len(pairs) == 1:
        where = "" if most.place == "wall" else f" at {most.place}"
        return f"{most.from_to}{where}{unknown}"
    before = shown(statistics.median(pair.before for pair in other), 4)
    after = with_unit(shown(statistics.median(pair.after for pair in other), 4), unit)
    at = f"at {len(other)} of {counted(len(pairs), 'place')}"
    said = f"{before} to {after} {at}" + (" (median)" if len(other) > 1 else "")
    alike = len({(pair.before, pair.after) for pair in other}) == 1
    there = f"{most.place} {most.from_to}"
    return said + ("" if alike else f", most at {there}") + unknown


def _chosen(at: Mapping[str, tuple[str, str]]) -> str:
    """Say which words were chosen otherwise, and where."""
    others: dict[tuple[str, str], list[str]] = {}
    for place, (old, now) in at.items():
        if old != now:
            others.setdefault((old, now), []).append(place)
    return "; ".join(
        f"{old} to {now}" + ("" if places == ["wall"] else f" at {listed(places, _PLACES_NAMED)}")
        for (old, now), places in others.items()
    )


def _last_of_faults(state: State) -> str:
    """Return the id of the latest entry on any fault."""
    work = [done[-1].id for done in state.work.values()]
    return max((*work, *(found.id for found in state.found[-1:])), default="")

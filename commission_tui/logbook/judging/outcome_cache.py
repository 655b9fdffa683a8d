"""The verdicts of one open job, each judged once while what it rests on stands."""

from __future__ import annotations

import dataclasses
import json
from collections.abc import Iterable, Mapping
from copy import copy
from functools import partial
from typing import Any

from commission_tui.checks.model.definition import CheckDefinition
from commission_tui.checks.model.types import Figure, Outcome, RecordFacts, Verdict
from commission_tui.logbook.judging.outcomes import (
    has_no_bound,
    judged_check,
    judged_first,
    record_facts,
    with_visit_before,
)
from commission_tui.logbook.state.state import EVERY_CHECK, NOTHING_YET, State, Version


class OutcomeCache:
    """Holds each check's outcome while what it rests on stands; one belongs to each open job."""

    def __init__(self) -> None:
        self._at: Version = NOTHING_YET
        self._versions: Mapping[str, Version] = {}
        self._held: dict[str, Outcome] = {}
        self._no_bound: dict[str, bool] = {}
        self._all: Mapping[str, Outcome] | None = None
        self._with_before: Mapping[str, Outcome] | None = None
        self._record: RecordFacts | None = None

    def as_it_is(self) -> OutcomeCache:
        """Return a cache that holds the same now and goes its own way from here."""
        taken = copy(self)
        taken._held, taken._no_bound = dict(self._held), dict(self._no_bound)
        return taken

    def outcome(self, state: State, check: str) -> Outcome:
        """Judge one check, unless its outcome is held.

        Raises
        ------
        InputError
            When the job has no such check.
        """
        self._follow(state)
        if check not in self._held:
            record = partial(self.record, state)
            self._held[check] = judged_check(state, check, record=record)
        return self._held[check]

    def outcomes(self, state: State) -> Mapping[str, Outcome]:
        """Return every check's outcome; what no later entry bears on is taken over as it is."""
        self._follow(state)
        if self._all is None:
            self._all = self._judged(state, state.checklist)
        return self._all

    def with_before(self, state: State) -> Mapping[str, Outcome]:
        """Return the outcomes as they are handed over: with what was met before and is read again in part."""
        outcomes = self.outcomes(state)
        if self._with_before is None:
            record, find = partial(self.record, state), state.checklist.check
            self._with_before = {
                check: with_visit_before(state, find(check), one, record)
                for check, one in outcomes.items()
            }
        return self._with_before

    def record(self, state: State) -> RecordFacts:
        """Return what the record says of itself."""
        self._follow(state)
        if self._record is None:
            for check in state.checklist:
                if check.id not in self._no_bound:
                    self._no_bound[check.id] = has_no_bound(state, check)
            found = self._judged(state, judged_first(state))
            without_bound = {check for check, is_so in self._no_bound.items() if is_so}
            self._record = record_facts(state, found, without_bound)
        return self._record

    def _judged(self, state: State, checks: Iterable[CheckDefinition]) -> dict[str, Outcome]:
        ids = [check.id for check in checks]
        for check in ids:
            if check not in self._held:
                self.outcome(state, check)
        return {check: self._held[check] for check in ids}

    def _follow(self, state: State) -> None:
        """Let go of what rests on an entry that only one of two states has."""
        at = len(state.entries), state.last_id
        if at == self._at:
            return
        stale = _other(self._versions, state.versions)
        if EVERY_CHECK in stale:
            self._held.clear()
            self._no_bound.clear()
        for check in stale:
            self._held.pop(check, None)
            self._no_bound.pop(check, None)
        for check in _asking(state):
            self._held.pop(check, None)
        self._at, self._versions = at, state.versions
        self._all = self._with_before = self._record = None

    def rows(self, state: State, checks: Iterable[str], job: str, at: str) -> list[dict[str, str]]:
        """Return verdicts as the database's view of them shows them."""
        found = []
        known = {check.id for check in state.whole_checklist}
        for check in sorted(set(checks) & known):
            out = state.checklist.left_out.get(check)
            result = Outcome(Verdict.NOT_APPLICABLE, out) if out else self.outcome(state, check)
            found.append(
                {
                    "job": job,
                    "check": check,
                    "verdict": str(result.verdict),
                    "reason": result.reason,
                    "figures": json.dumps([plain_figure(figure) for figure in result.figures]),
                    "at": at,
                }
            )
        return found


def affected_checks(before: State, after: State) -> set[str]:
    """Return the checks whose verdict rests on an entry that only one of two states has."""
    found = _other(before.versions, after.versions)
    if EVERY_CHECK in found:
        return {check.id for check in after.whole_checklist}
    return found | _asking(after)


def _other(before: Mapping[str, Version], after: Mapping[str, Version]) -> set[str]:
    """Return what is of another version in one than in the other."""
    if before is after:
        return set()
    return {check for check in {*before, *after} if before.get(check) != after.get(check)}


def _asking(state: State) -> set[str]:
    """Return the checks that were read and are judged by what the record says of itself."""
    return {check for check in state.checklist.judged_by_record if state.readings.get(check)}


def plain_figure(figure: Figure) -> dict[str, Any]:
    """Return a figure as JSON says it: what it is, not where its uncertainty comes from."""
    plain = dataclasses.asdict(dataclasses.replace(figure, budget=None))
    del plain["budget"], plain["place"]
    return plain

"""The verdicts of one open job, each judged once while what it rests on stands."""

from __future__ import annotations

import dataclasses
import json
from collections.abc import Iterable, Mapping
from typing import Any

from commission_tui.checks.evaluation import reads_record
from commission_tui.checks.model.types import Figure, Outcome, Verdict
from commission_tui.logbook.judging import outcomes as judging
from commission_tui.logbook.state.state import EVERY_CHECK, State, Version

Versions = tuple[Version, Version, str]


class OutcomeCache:
    """Holds each check's outcome with the version of what it rests on; one belongs to each open job."""

    def __init__(self) -> None:
        self._held: dict[str, tuple[Versions, Outcome]] = {}
        self._all: tuple[Mapping[str, Version], dict[str, Outcome]] = ({}, {})

    def outcome(self, state: State, check: str) -> Outcome:
        """Judge one check, unless its outcome is held.

        Raises
        ------
        InputError
            When the job has no such check.
        """
        version = (*state.version(check), state.last_id if _asks_the_record(state, check) else "")
        known = self._held.get(check)
        if known and known[0] == version:
            return known[1]
        result = judging.outcome(state, check, outcome_of=lambda of: self.outcome(state, of))
        self._held[check] = (version, result)
        return result

    def outcomes(self, state: State) -> Mapping[str, Outcome]:
        """Return every check's outcome; what no later entry bears on is taken over as it is."""
        known, held = self._all
        other = _other(known, state.versions)
        if EVERY_CHECK in other:
            held = {check.id: self.outcome(state, check.id) for check in state.checklist}
        else:
            again = held.keys() & (other | _asking(state))
            held = held | {check: self.outcome(state, check) for check in again}
        self._all = (state.versions, held)
        return held

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


def changed(before: State, after: State) -> set[str]:
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
    return {c for c in state.readings if c in state.checklist and _asks_the_record(state, c)}


def _asks_the_record(state: State, check: str) -> bool:
    """Whether a check was read that is judged by what the record says of itself."""
    return bool(state.readings.get(check)) and reads_record(state.checklist.check(check))


def plain_figure(figure: Figure) -> dict[str, Any]:
    """Return a figure as JSON says it: what it is, not where its uncertainty comes from."""
    plain = dataclasses.asdict(dataclasses.replace(figure, budget=None))
    del plain["budget"]
    return plain

"""The verdicts of one open job, each judged once while what it rests on stands."""

from __future__ import annotations

import dataclasses
import json
from collections.abc import Iterable, Mapping

from commission_tui.checks.model.types import Outcome
from commission_tui.logbook.judging import outcomes as judging
from commission_tui.logbook.state.state import EVERY_CHECK, State, Version

Versions = tuple[Version, Version]


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
        version = state.version(check)
        known = self._held.get(check)
        if known and known[0] == version:
            return known[1]
        result = judging.outcome(state, check)
        self._held[check] = (version, result)
        return result

    def outcomes(self, state: State) -> Mapping[str, Outcome]:
        """Return every check's outcome; what no later entry bears on is taken over as it is."""
        known, held = self._all
        other = _other(known, state.versions)
        if EVERY_CHECK in other:
            held = {check.id: self.outcome(state, check.id) for check in state.checklist}
        elif other:
            held = held | {check: self.outcome(state, check) for check in held.keys() & other}
        self._all = (state.versions, held)
        return held

    def rows(self, state: State, checks: Iterable[str], job: str, at: str) -> list[dict[str, str]]:
        """Return verdicts as the database's view of them shows them."""
        found = []
        for check in sorted(check for check in checks if check in state.checklist):
            result = self.outcome(state, check)
            found.append(
                {
                    "job": job,
                    "check": check,
                    "verdict": str(result.verdict),
                    "reason": result.reason,
                    "figures": json.dumps(
                        [dataclasses.asdict(figure) for figure in result.figures]
                    ),
                    "at": at,
                }
            )
        return found


def changed(before: State, after: State) -> set[str]:
    """Return the checks whose verdict rests on an entry that only one of two states has."""
    found = _other(before.versions, after.versions)
    return {check.id for check in after.checklist} if EVERY_CHECK in found else found


def _other(before: Mapping[str, Version], after: Mapping[str, Version]) -> set[str]:
    """Return what is of another version in one than in the other."""
    if before is after:
        return set()
    return {check for check in {*before, *after} if before.get(check) != after.get(check)}

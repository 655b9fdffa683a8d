"""The verdicts of one open job, each judged once while what it rests on stands."""

from __future__ import annotations

import dataclasses
import json
from collections.abc import Iterable, Iterator
from typing import Any

from commission_tui.checks.model.types import Figure, Outcome
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.judging import outcomes
from commission_tui.logbook.state.state import State

_NO_VERDICT = (
    e.Note,
    e.Photo,
    e.InstrumentChosen,
    e.Signature,
    e.SparePut,
    e.TableMapping,
    e.FileKept,
    e.Person,
    e.DocumentIssued,
)
"""Kinds that no verdict rests on."""


class Verdicts:
    """Remembers outcomes by identity of what they were judged from."""

    def __init__(self) -> None:
        self._known: dict[str, tuple[tuple[object, ...], Outcome]] = {}

    def outcome(self, state: State, check: str) -> Outcome:
        rests_on = (
            state.readings.get(check),
            state.skipped.get(check),
            state.instruments,
            state.found,
            state.work,
            state.design,
            state.checklist,
            state.limits,
            state.settings,
            state.parts,
            state.kept_results,
            state.visits,
            self._baseline(state, check),
        )
        known = self._known.get(check)
        if known and all(a is b for a, b in zip(known[0], rests_on, strict=True)):
            return known[1]
        result = outcomes.outcome(state, check)
        self._known[check] = (rests_on, result)
        return result

    @staticmethod
    def _baseline(state: State, check: str) -> object:
        of = state.checklist.check(check).baseline
        return state.readings.get(of) if of else None

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
                    "figures": json.dumps([plain_figure(figure) for figure in result.figures]),
                    "at": at,
                }
            )
        return found


def touched_by(state: State, item: e.Body) -> Iterator[str]:
    """Yield the checks whose verdict an entry can change."""
    if isinstance(item, e.Correction):
        yield from touched_by(state, state.entries[item.corrects].body)
        if item.replacement is not None:
            yield from touched_by(state, item.replacement)
    elif isinstance(item, e.ReadingTaken | e.NotApplicable | e.LimitsFrozen | e.LimitChanged):
        yield item.check
        yield from (check.id for check in state.checklist if check.baseline == item.check)
    elif isinstance(item, e.SettingLogged):
        yield from (c.id for c in state.checklist if item.setting in c.rests_on)
    elif isinstance(item, e.PartFitted):
        yield from (c.id for c in state.checklist if item.part in c.rests_on)
    elif isinstance(item, e.Instrument):
        yield from _read_with(state, item.key)
    elif isinstance(item, e.ResultsKept):
        yield from item.checks
    elif not isinstance(item, _NO_VERDICT):
        yield from (check.id for check in state.checklist)


def _read_with(state: State, key: str) -> Iterator[str]:
    """Yield the checks with a reading by an instrument, whose accuracy may have changed."""
    for check, slots in state.readings.items():
        if any(key in slot.instruments for slot in slots.values()):
            yield check


def plain_figure(figure: Figure) -> dict[str, Any]:
    """Return a figure as JSON says it: what it is, not where its uncertainty comes from."""
    plain = dataclasses.asdict(dataclasses.replace(figure, budget=None))
    del plain["budget"]
    return plain

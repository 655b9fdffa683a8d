"""The demo wall, the shipped checklist and a short way to judge one check."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from functools import cache

from commission_tui.checks.checklists.check_cases import errors_of
from commission_tui.checks.checklists.checklist import Checklist
from commission_tui.checks.checklists.checklist_file import parse_checklist, shipped_files
from commission_tui.checks.evaluation import evaluate
from commission_tui.checks.model.definition import CheckDefinition
from commission_tui.checks.model.types import (
    Figure,
    Outcome,
    Reading,
    RecordFacts,
    SeenFault,
    Value,
)
from commission_tui.checks.places.places import places
from commission_tui.engineering.numeric.error_parts import Errors
from commission_tui.wall.model.wall_file import parse_wall
from commission_tui.wall.model.wall_model import Wall
from tests.paths import ROOT

FELLMOOR = ROOT / "commission_tui" / "demo" / "fellmoor.toml"

Values = dict[str, Value | Mapping[str, Value]]
"""Field to one value for every place, or to a value per place."""
Given = Mapping[str, Value | Mapping[str, Value]]


@cache
def fellmoor() -> Wall:
    return parse_wall(FELLMOOR.read_text(encoding="utf-8"))


def wall_with(*changes: tuple[str, str]) -> Wall:
    """Return the demo wall with pieces of its file replaced; each must be there."""
    text = FELLMOOR.read_text(encoding="utf-8")
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new)
    return parse_wall(text)


@cache
def shipped() -> Checklist:
    return parse_checklist(shipped_files())


def expand(check: CheckDefinition, wall: Wall, values: Given) -> dict[str, dict[str, Value]]:
    found: dict[str, dict[str, Value]] = {}
    for name, value in values.items():
        if isinstance(value, Mapping):
            found[name] = dict(value)
        else:
            found[name] = dict.fromkeys(places(check.field(name).where, wall), value)
    return found


def scattering(expanded: float | Errors | None) -> Errors | None:
    """Return the errors given, or those of an expanded uncertainty (k = 2) that is all scatter."""
    return expanded if isinstance(expanded, Errors) else errors_of(expanded)


def meter(scatter: float, *, gain: float = 0.0, offset: float = 0.0) -> Errors:
    """Return what readings of one meter may be off: their own scatter, and what they share."""
    return Errors("the meter", gain=gain, offset=offset, scatter=scatter)


def judge(
    check_id: str,
    values: Given,
    *,
    expanded: Mapping[str, float | Errors] | None = None,
    wall: Wall | None = None,
    faults: tuple[SeenFault, ...] = (),
    beside: Mapping[str, Mapping[str, Reading]] | None = None,
    on: date | None = None,
    record: RecordFacts | None = None,
) -> Outcome:
    """Judge a shipped check; `expanded` gives a field's readings their uncertainty, or all that they may be off."""
    wall = wall or fellmoor()
    check = shipped().check(check_id)
    readings = {
        name: {
            place: Reading(value, check.field(name).unit, scattering((expanded or {}).get(name)))
            for place, value in at.items()
        }
        for name, at in expand(check, wall, values).items()
    }
    facts = record or RecordFacts()
    return evaluate(check, wall, readings, faults, beside=beside, on=on, record=lambda: facts)


def figure(outcome: Outcome, name: str) -> Figure:
    """Return the one figure whose name begins so."""
    found = [f for f in outcome.figures if f.name.startswith(name)]
    assert len(found) == 1, [f.name for f in outcome.figures]
    return found[0]


def without(values: Given, name: str, place: str | None = None) -> Values:
    """Leave out one field, or one place of it."""
    kept = dict(values)
    if place is None:
        del kept[name]
        return kept
    at = kept[name]
    assert isinstance(at, Mapping)
    return kept | {name: {key: value for key, value in at.items() if key != place}}


def with_at(values: Given, name: str, place: str, value: Value, check_id: str) -> Values:
    """Change one place of a field that has one value everywhere."""
    check = shipped().check(check_id)
    at = expand(check, fellmoor(), {name: values[name]})[name]
    return dict(values) | {name: at | {place: value}}

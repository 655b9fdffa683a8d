"""Every shipped check, made to pass, to fail, to stand at its limit and not to apply.

The cases are data: `cases/NN-stage.toml`, one table a check (docs/checks.md says how).
"""

from __future__ import annotations

import tomllib
from dataclasses import replace
from pathlib import Path
from typing import Any, get_args

import pytest

from commission_tui.checks.checklists.check_cases import WANTED, Case, judge_case
from commission_tui.checks.evaluation import evaluate
from commission_tui.checks.model.definition import CheckDefinition
from commission_tui.checks.model.types import Verdict
from commission_tui.checks.places.applicability import CONDITIONS, REVISIT, features_to_settle
from commission_tui.checks.places.places import places
from commission_tui.wall.model.file_model import Feature
from commission_tui.wall.model.location import known_location
from commission_tui.wall.model.wall_model import Wall
from tests.checks.helping import fellmoor, shipped

CASES = Path(__file__).parent / "cases"


def _cases() -> dict[str, dict[str, dict[str, Any]]]:
    found: dict[str, dict[str, dict[str, Any]]] = {}
    for path in sorted(CASES.glob("*.toml")):
        for check, cases in tomllib.loads(path.read_text(encoding="utf-8")).items():
            assert check not in found, f"{path.name}: {check} again"
            found[check] = cases
    return found


CASE_OF = _cases()
COUNTED = {"count", "px", "code", ""}
"""What is counted has no uncertainty to stand at its limit with."""


@pytest.mark.parametrize("check", [check.id for check in shipped()])
def test_a_check_gives_the_verdicts_that_its_readings_deserve(check: str) -> None:
    definition = shipped().check(check)
    cases = CASE_OF.get(check, {})
    assert {"pass", "fail"} <= cases.keys() or definition.record_only
    judged = set()
    assert cases.keys() <= WANTED.keys()
    for kind in cases:
        outcome = judge_case(shipped(), check, Case.model_validate(cases[kind]), fellmoor())
        assert outcome.verdict is WANTED[kind], (kind, outcome.reason)
        assert outcome.reason
        assert outcome.next_step or kind == "pass", outcome.reason
        assert not [place for place in outcome.where if not _is_place(definition, place)]
        judged |= {figure.name for figure in outcome.figures if figure.limit is not None}
    failing = [item for item in definition.fields if item.name in cases.get("fail", {})]
    if judged and any(item.kind == "number" and item.unit not in COUNTED for item in failing):
        assert "marginal" in cases, f"{check} judges {sorted(judged)}: no case at the limit"


def _is_place(check: CheckDefinition, place: str) -> bool:
    """Whether a map can show it: where something is read, or what the wall or its file names."""
    wall = fellmoor()
    read_at = {there for item in check.fields for there in places(item.where, wall)}
    return place in read_at | _named(wall.file.model_dump()) or known_location(place) is not None


def _named(part: Any) -> set[str]:
    if isinstance(part, str):
        return {part}
    parts = part.values() if isinstance(part, dict) else part if isinstance(part, tuple) else ()
    return {name for one in parts for name in _named(one)}


@pytest.mark.parametrize(
    ("check", "condition"),
    [(c.id, name) for c in shipped() for name in c.applies if name not in {REVISIT, "always"}],
)
def test_a_check_does_not_apply_where_its_condition_does_not_hold(
    check: str, condition: str
) -> None:
    definition = shipped().check(check)
    assert definition.applies_to(fellmoor()), "the demo wall has everything"
    bare = _without(condition)
    assert not CONDITIONS[condition][0](bare)
    outcome = evaluate(definition, bare, {})
    assert outcome.verdict is Verdict.NOT_APPLICABLE
    assert outcome.reason


def _without(condition: str) -> Wall:
    """Return the demo wall without what a condition asks for, and that said."""
    bare = _silent(condition)
    return replace(bare, settled={FEATURE_OF.get(condition, condition): False})


FEATURE_OF = {"protected circuits": "residual-current devices", "backed-up ports": "backup runs"}


@pytest.mark.parametrize(
    ("check", "condition"),
    [
        (c.id, name)
        for c in shipped()
        for name in c.applies
        if FEATURE_OF.get(name, name) in get_args(Feature)
    ],
)
def test_what_nobody_said_of_the_wall_is_a_question(check: str, condition: str) -> None:
    definition = shipped().check(check)
    silent = _silent(condition)
    feature = FEATURE_OF.get(condition, condition)
    assert silent.has(feature) is None
    assert features_to_settle(definition.applies, silent) == (feature,)
    assert features_to_settle(definition.applies, replace(silent, settled={feature: True})) == ()
    assert features_to_settle(definition.applies, replace(silent, settled={feature: False})) == ()


def _silent(condition: str) -> Wall:
    """Return the demo wall with nothing said of what a condition asks for."""
    wall = fellmoor()
    file, room = wall.file, wall.file.room
    circuits = [
        replace(c, circuit=c.circuit.model_copy(update={"residual_ma": None, "phase": "L1"}))
        for c in wall.circuits
    ]
    walls: dict[str, dict[str, Any]] = {
        "several ports": {"chains": wall.chains[:1]},
        "backed-up ports": {"chains": tuple(replace(c, backup_port=None) for c in wall.chains)},
        "protected circuits": {"circuits": tuple(circuits)},
        "three-phase": {"circuits": tuple(circuits)},
    }
    if condition in walls:
        return replace(wall, **walls[condition])
    files: dict[str, dict[str, Any]] = {
        "flown": {"wall": file.wall.model_copy(update={"mounting": "stacked"})},
        "cameras": {"cameras": ()},
        "stage positions": {"stage_positions": ()},
        "inputs": {"inputs": ()},
        "several inputs": {"inputs": file.inputs[:1]},
    }
    if condition not in files:
        assert room is not None
        left = tuple(feature for feature in room.features if feature != condition)
        assert left != room.features, f"the demo room lacks {condition}"
        files[condition] = {"room": room.model_copy(update={"features": left})}
    return replace(wall, file=file.model_copy(update=files[condition]))

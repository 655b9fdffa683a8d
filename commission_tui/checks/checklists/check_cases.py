"""Readings by which a check must pass, fail or be marginal, written beside it: judged, and held to that.

A case is a table ``[CHECK.pass]``, ``[CHECK.fail]`` or ``[CHECK.marginal]``; docs/checks.md says what
it may hold.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Annotated, Any, Literal

import tomli
from pydantic import BaseModel, ConfigDict, Field, ValidationError

from commission_tui.checks.checklists.checklist import Checklist
from commission_tui.checks.checklists.soundness import none_of
from commission_tui.checks.evaluation import evaluate
from commission_tui.checks.model.definition import CheckDefinition
from commission_tui.checks.model.types import (
    Outcome,
    Reading,
    RecordFacts,
    SeenFault,
    Value,
    Verdict,
)
from commission_tui.checks.places.places import places
from commission_tui.engineering.numeric.error_parts import Errors
from commission_tui.errors import ChecklistError, CommissionError, InputError, did_you_mean
from commission_tui.files import read_text
from commission_tui.text import quoted
from commission_tui.wall.model.model_errors import describe_all
from commission_tui.wall.model.wall_model import Wall

WANTED: Mapping[str, Verdict] = {
    verdict.value: verdict for verdict in (Verdict.PASS, Verdict.FAIL, Verdict.MARGINAL)
}
CASES = "cases"
"""The folder beside a firm's checklists whose files hold cases."""
_LONGEST = 500_000
_EVERYWHERE = "default"

Values = Value | dict[str, Value]
"""One value for all places of a field, or place to value, where `_EVERYWHERE` is each other place."""
Amount = Annotated[float, Field(ge=0, allow_inf_nan=False)]
MayBeOff = Amount | dict[Literal["gain", "offset", "scatter", "fixed"], Amount]
"""An expanded uncertainty (k = 2) that is all scatter, or `error_parts.Errors` part by part."""


class Record(BaseModel):
    """What the record says of itself: `RecordFacts`."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    exceptions: tuple[str, ...] = ()
    unfinished: tuple[str, ...] = ()
    without_bound: tuple[str, ...] = ()
    people: tuple[str, ...] = ()
    changed: tuple[tuple[str, str], ...] = ()
    files: tuple[tuple[str, str], ...] = ()


class Case(BaseModel):
    """What was read, each field by its name, and what else a check may be judged by."""

    model_config = ConfigDict(extra="allow", frozen=True)
    __pydantic_extra__: dict[str, Values]

    expanded: dict[str, MayBeOff] = {}
    """Field to what its readings may be off."""
    faults: tuple[tuple[str, str, str] | tuple[str, str, str, int], ...] = ()
    """Kind, place and state, and the visit that found it."""
    baseline: dict[str, Values] = {}
    """Readings of the check that it is held against, at the first visit."""
    baseline_expanded: dict[str, MayBeOff] = {}
    hours_run: float | None = None
    """Since the first visit, [h]."""
    beside: dict[str, dict[str, Value]] = {}
    """Readings of other checks, by the name and the place that the method knows them by."""
    on: date | None = None
    """Day of the visit."""
    record: Record = Record()


def judge_case(checklist: Checklist, check_id: str, case: Case, wall: Wall) -> Outcome:
    """Judge a check by the readings of a case.

    Raises
    ------
    InputError
        What the check has no such field for, or the wall no such place; a value with no meaning.
    """
    check = checklist.check(check_id)
    baseline = {}
    if case.baseline:
        if check.baseline is None:
            raise InputError("baseline: found one, expected none: the check is held against none")
        of = checklist.check(check.baseline)
        baseline = _readings(of, wall, case.baseline, case.baseline_expanded)
    return evaluate(
        check,
        wall,
        _readings(check, wall, case.__pydantic_extra__, case.expanded),
        tuple(SeenFault(*fault) for fault in case.faults),
        baseline=baseline,
        hours_run=case.hours_run,
        beside=_beside(checklist, check, case.beside),
        on=case.on,
        record=lambda: RecordFacts(**case.record.model_dump()),
    )


def _readings(
    check: CheckDefinition,
    wall: Wall,
    given: Mapping[str, Values],
    expanded: Mapping[str, MayBeOff],
) -> dict[str, dict[str, Reading]]:
    _known("expanded", expanded, given)
    found: dict[str, dict[str, Reading]] = {}
    for name, values in given.items():
        item = check.field(name)
        wanted = places(item.where, wall)
        at = values if isinstance(values, dict) else {_EVERYWHERE: values}
        _known(f"{name}: place", at, {_EVERYWHERE, *wanted})
        read = {place: at.get(place, at.get(_EVERYWHERE)) for place in wanted}
        found[name] = {
            place: Reading(item.accept(value), item.unit, errors_of(expanded.get(name)))
            for place, value in read.items()
            if value is not None
        }
    return found


def _beside(
    checklist: Checklist, check: CheckDefinition, given: Mapping[str, Mapping[str, Value]]
) -> dict[str, dict[str, Reading]]:
    _known("beside", given, check.beside)
    found: dict[str, dict[str, Reading]] = {}
    for name, at in given.items():
        other, _, field = check.beside[name].partition(".")
        item = checklist.check(other).field(field)
        found[name] = {place: Reading(item.accept(value), item.unit) for place, value in at.items()}
    return found


def _known(what: str, found: Mapping[str, object], known: Any) -> None:
    for name in found:
        if name not in known:
            raise InputError(
                f"{what}: found {quoted(name)}, expected one of this check{did_you_mean(name, known)}"
            )


def errors_of(may_be_off: MayBeOff | None) -> Errors | None:
    """Return what a reading may be off as its parts; None where nothing is said of it."""
    if isinstance(may_be_off, dict):
        parts: dict[str, Any] = {str(part): size for part, size in may_be_off.items()}
        return Errors("the meter", **parts)
    return None if may_be_off is None else Errors(scatter=may_be_off / 2)


@dataclass(frozen=True, slots=True)
class CasesTried:
    """How many cases there were, of which checks, and those that were not judged as they say."""

    count: int = 0
    checks: frozenset[str] = frozenset()
    errors: tuple[str, ...] = ()


def try_cases(folder: Path, checklist: Checklist, wall: Wall) -> CasesTried:
    """Judge the cases in a firm's folder on a wall.

    Raises
    ------
    ChecklistError
        When a file of them cannot be read.
    """
    tried: list[tuple[str, str]] = []
    for path in sorted((folder / CASES).glob("*.toml")):
        text = read_text(path, _LONGEST, "cases", ChecklistError)
        tried += _tried(f"{CASES}/{path.name}", text, checklist, wall)
    errors = tuple(str(ChecklistError(wrong)) for _, wrong in tried if wrong)
    return CasesTried(len(tried), frozenset(check for check, _ in tried), errors)


def _tried(name: str, text: str, checklist: Checklist, wall: Wall) -> Iterator[tuple[str, str]]:
    """Yield the check of each case of a file with what is wrong: nothing where it is judged as it says."""
    try:
        table = tomli.loads(text)
    except (ValueError, RecursionError) as error:
        yield "", f"{name}: not TOML: {error}"
        return
    known = [check.id for check in checklist]
    for check, cases in table.items():
        if check not in known:
            hint = did_you_mean(check, known)
            yield check, f"{name}: found {quoted(check)}, expected the id of a check{hint}"
            continue
        for kind, case in cases.items() if isinstance(cases, dict) else [(str(cases), None)]:
            unknown = next(none_of(f"{name}: {check}", kind, WANTED), "")
            wrong = "" if unknown else _not_as(kind, check, case, checklist, wall)
            yield check, unknown or (wrong and f"{name}: {check}.{kind}{wrong}")


def _not_as(kind: str, check: str, case: object, checklist: Checklist, wall: Wall) -> str:
    """Say what is wrong with a case, or how else it is judged; nothing where it is judged so."""
    try:
        outcome = judge_case(checklist, check, Case.model_validate(case), wall)
    except ValidationError as error:
        return f".{describe_all(error, Case)[0]}"
    except CommissionError as error:
        return f": {error}"
    if outcome.verdict is WANTED[kind]:
        return ""
    return f": found {outcome.verdict.value} ({outcome.reason}), expected {kind}"

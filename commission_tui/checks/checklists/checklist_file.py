"""Checklist files read, checked and put in order; a firm's own folder of them tried."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping, Sequence
from copy import deepcopy
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources
from pathlib import Path
from typing import Any

import tomli
from pydantic import ValidationError
from pydantic_core import ErrorDetails

from commission_tui.checks.checklists.checklist import Checklist
from commission_tui.checks.checklists.soundness import (
    cabinets_named,
    contradictions,
    none_of,
    unknown_words,
)
from commission_tui.checks.checklists.toml_lines import TomlLines
from commission_tui.checks.model.definition import CheckDefinition, Stage
from commission_tui.checks.model.vocabulary import HAZARDS, MAPPING, MAPPING_METHOD
from commission_tui.errors import ChecklistError
from commission_tui.files import read_text
from commission_tui.text import quoted
from commission_tui.wall.model.model_errors import complaints, described

_MOST_ERRORS = 200
_MOST_FILES = 200
_LONGEST = 500_000
_OF_A_FOLDER = "/"
"""In the name of each file of a firm's own, and of none that comes with the program."""
_HUNG_ON = ("checks", "fields", "limits", "method", "id", "name", "kind")
"""Keys without which nothing can be said of the others beside them."""
_STAND_INS: dict[str, object] = {
    "title": "-", "why": "-", "label": "-", "source": "-", "do": ["-"],
    "standing": "common practice",
}  # fmt: skip
"""What stands for a key that must be there, while what else is wrong is looked for."""


def parse_checklist(files: Mapping[str, str], *, stored: bool = False) -> Checklist:
    """Read checklist files given as name to text; later names replace checks of the same id.

    What a job has `stored` may be older than the keys that are required now.

    Raises
    ------
    ChecklistError
        One line: file, key, what was found, what was expected.
    """
    return _parsed(tuple(files.items()), stored=stored)


@lru_cache(maxsize=8)
def _parsed(files: tuple[tuple[str, str], ...], *, stored: bool) -> Checklist:
    """Return a checklist; a new job reads its own twice, and most jobs have the same one."""
    stages: dict[str, Stage] = {}
    own: set[str] = set()
    for name, text in files:
        stage = _stage(name, text, stored=stored)
        own |= {check.id for check in stage.checks if _OF_A_FOLDER in name}
        known = stages.get(stage.id)
        stages[stage.id] = _merged(known, stage) if known else stage
    ordered = tuple(sorted(stages.values(), key=lambda s: (s.order, s.id)))
    _ids_once(ordered)
    checklist = Checklist(ordered, own=frozenset(own))
    _beside_known(checklist)
    return checklist


def shipped_files() -> dict[str, str]:
    """Return the checklist files that come with the program, by name."""
    packaged = resources.files("commission_tui") / "checklists"
    folder = packaged if packaged.is_dir() else Path(__file__).parents[3] / "checklists"
    return {
        item.name: item.read_text(encoding="utf-8")
        for item in sorted(folder.iterdir(), key=lambda entry: entry.name)
        if item.name.endswith(".toml")
    }


def files_with(folder: Path) -> dict[str, str]:
    """Return the shipped files and, after them, a firm's own from a folder."""
    files = shipped_files()
    if not folder.is_dir():
        raise ChecklistError(f"{folder}: not a folder, expected one with checklist files")
    try:
        own = sorted(itertools.islice(folder.glob("*.toml"), _MOST_FILES + 1))
    except OSError as error:
        raise ChecklistError(f"{folder}: cannot be read: {error.strerror}") from None
    if len(own) > _MOST_FILES:
        raise ChecklistError(
            f"{folder}: found more than {_MOST_FILES} files, expected a firm's checklists"
        )
    for path in own:
        text = read_text(path, _LONGEST, "a checklist", ChecklistError)
        files[f"{folder.name}{_OF_A_FOLDER}{path.name}"] = text
    return files


def _stage(name: str, text: str, *, stored: bool = False) -> Stage:
    try:
        table = tomli.loads(text)
        stage = Stage.model_validate(_brought_up(table) if stored else table)
    except ValidationError as error:
        found = complaints(error)
        (first,) = _all_wrong(found[:1], TomlLines(text))
        more = f" (and {len(found) - 1} more)" if len(found) > 1 else ""
        raise ChecklistError(f"{name}: {first}{more}") from None
    except ValueError as error:  # bad TOML, or a number of thousands of digits
        raise ChecklistError(f"{name}: not TOML: {error}") from None
    except RecursionError:
        raise ChecklistError(f"{name}: nested too deeply, expected a checklist") from None
    if stage.hazard is not None:
        _refuse(list(none_of(f"{name}: hazard", stage.hazard, HAZARDS)))
    for number, check in enumerate(stage.checks, start=1):
        _refuse(_wrong(f"{name}: checks[{number}] ({check.id})", check, stored=stored))
    return stage


def _refuse(wrong: Sequence[str]) -> None:
    if wrong:
        more = f" (and {len(wrong) - 1} more)" if len(wrong) > 1 else ""
        raise ChecklistError(f"{wrong[0]}{more}")


def _all_wrong(found: list[ErrorDetails], lines: TomlLines, number: int = 1) -> list[str]:
    """Say all that is wrong with a stage's file, by line; `number` is that of its first check."""
    errors = []
    for complaint in found:
        at = complaint["loc"]
        if at[:1] == ("checks",) and len(at) > 1:
            at = ("checks", int(at[1]) + number - 1, *at[2:])
        line = lines.line_of(at)
        what = described(complaint, Stage).replace("checks[1]", f"checks[{number}]", 1)
        errors.append(f"{what} (line {line})" if line else what)
    return errors


def _brought_up(table: dict[str, Any]) -> dict[str, Any]:
    """Give an older file what the shipped checklists say now: labels of limits, roles, hazards.

    A limit that they do not know is called by its name, as it stands.
    """
    unlabelled = [(check, limit) for check, limit in _limits_in(table) if "label" not in limit]
    if not unlabelled:
        return table
    shipped = parse_checklist(shipped_files())
    labels = {(check.id, limit.name): limit.label for check in shipped for limit in check.limits}
    for check, limit in unlabelled:
        name = limit.get("name")
        limit["label"] = labels.get((str(check.get("id")), str(name)), name)
    roles: dict[str, str | None]
    roles = {code: check.role for check in shipped if check.role for code in check.codes}
    roles |= {check.id: check.role for check in shipped}
    for check in _checks_in(table):
        if role := _role_of(check, roles):
            check.setdefault("role", role)
    hazards = {stage.id: stage.hazard for stage in shipped.stages if stage.hazard}
    if hazard := hazards.get(str(table.get("id"))):
        table.setdefault("hazard", hazard)
    return table


def _role_of(check: dict[str, Any], roles: Mapping[str, str | None]) -> str | None:
    """Return the role that an older check had by its id or by one of its codes."""
    codes = check.get("codes")
    names = (check.get("id"), *(codes if isinstance(codes, list) else ()))
    role = next((roles[str(name)] for name in names if str(name) in roles), None)
    return None if role == MAPPING and check.get("method") != MAPPING_METHOD else role


def _checks_in(table: dict[str, Any]) -> list[dict[str, Any]]:
    """Return the checks of a table that may be anything."""
    checks = table.get("checks")
    return [one for one in checks if isinstance(one, dict)] if isinstance(checks, list) else []


def _limits_in(table: dict[str, Any]) -> Iterator[tuple[dict[str, Any], dict[str, Any]]]:
    """Yield each check and each of its limits."""
    for check in _checks_in(table):
        limits = check.get("limits")
        for limit in limits if isinstance(limits, list) else ():
            if isinstance(limit, dict):
                yield check, limit


def file_errors(name: str, text: str) -> tuple[str, ...]:
    """Return what is wrong with a file: all errors of each check, else that of the file.

    After `_MOST_ERRORS` no more are looked for: nobody reads them, and a file may hold very many.
    """
    try:
        _stage(name, text)
    except ChecklistError as error:
        first = str(error)
    else:
        return ()
    try:
        table = tomli.loads(text)
    except (ValueError, RecursionError):
        return (first,)
    checks, lines = table.get("checks"), TomlLines(text)
    found: list[str] = []
    for number, check in enumerate(checks if isinstance(checks, list) else (), start=1):
        if len(found) >= _MOST_ERRORS:
            break
        at = f"{name}: checks[{number}]"
        try:
            one: CheckDefinition | None = _one_check(table, check)
        except ValidationError as error:
            wrong = complaints(error)[:_MOST_ERRORS]
            found += [f"{name}: {said}" for said in _all_wrong(wrong, lines, number)]
            one = _mended(table, check, wrong)
        found += _wrong(f"{at} ({one.id})", one) if one is not None else []
    return tuple(dict.fromkeys(found[:_MOST_ERRORS])) or (first,)


def _one_check(table: dict[str, Any], check: object) -> CheckDefinition:
    (one,) = Stage.model_validate(table | {"checks": [check]}).checks
    return one


def _mended(
    table: dict[str, Any], check: object, wrong: Sequence[ErrorDetails]
) -> CheckDefinition | None:
    """Return a check without what is wrong with its keys, so that the rest is looked at too.

    None where the rest hangs on what is wrong.
    """
    mended = {"checks": [deepcopy(check)]}
    for complaint in wrong:
        path = list(itertools.dropwhile(lambda key: isinstance(key, int), complaint["loc"][::-1]))
        holder: Any = mended
        for step in path[:0:-1]:
            holder = holder[step]
        if path[0] in _HUNG_ON or not isinstance(holder, dict):
            return None
        if path[0] in _STAND_INS:
            holder[path[0]] = _STAND_INS[str(path[0])]
        else:
            holder.pop(path[0], None)
    try:
        return _one_check(table, mended["checks"][0])
    except ValidationError:
        return None


def _wrong(where: str, check: CheckDefinition, *, stored: bool = False) -> list[str]:
    """Return all that is wrong with a check whose keys are in order."""
    found = list(unknown_words(where, check))
    return found if stored else [*found, *contradictions(where, check)]


def _merged(base: Stage, own: Stage) -> Stage:
    """Replace checks of the same id in place; put new ones at the end.

    The role of a check and the hazard of a stage stay, unless the new one names its own.
    """
    replaced = {check.id: check for check in own.checks}
    kept = []
    for old in base.checks:
        new = replaced.pop(old.id, old)
        kept.append(new if new.role else new.model_copy(update={"role": old.role}))
    return own.model_copy(
        update={"hazard": own.hazard or base.hazard, "checks": (*kept, *replaced.values())}
    )


def _ids_once(stages: tuple[Stage, ...]) -> None:
    seen: dict[str, str] = {}
    for stage in stages:
        for check in stage.checks:
            if check.id in seen:
                raise ChecklistError(
                    f"{stage.id}: found check {quoted(check.id)} again (first in {seen[check.id]}), "
                    "expected each id once"
                )
            seen[check.id] = stage.id


def _beside_known(checklist: Checklist) -> None:
    for check in checklist:
        for name, known in check.beside.items():
            other, _, item = known.partition(".")
            where = f"{checklist.stage_of(check.id).id}: {check.id}.beside.{name}"
            if other not in checklist:
                raise ChecklistError(
                    f"{where}: found {quoted(known)}, expected a field of a check here"
                )
            _refuse(list(none_of(where, item, [f.name for f in checklist.check(other).fields])))


@dataclass(frozen=True, slots=True)
class Tried:
    """What a folder holds: all errors of each check, what the sound ones add, override and name."""

    files: int
    errors: tuple[str, ...]
    added: tuple[str, ...]
    overridden: tuple[str, ...]
    cabinets: tuple[str, ...]
    """Cabinets that checks of it name, each with its key: a wall without them takes no such check."""


def try_folder(folder: Path) -> Tried:
    """Try a folder of checklists with those that come with the program.

    Raises
    ------
    ChecklistError
        When the folder itself or a file in it cannot be read.
    """
    shipped = shipped_files()
    own = {name: text for name, text in files_with(folder).items() if name not in shipped}
    if not own:
        raise ChecklistError(f"{folder}: found no .toml file, expected checklists")
    errors: list[str] = []
    sound: dict[str, str] = {}
    for name, text in own.items():
        wrong = file_errors(name, text)
        errors += wrong
        if not wrong:
            sound[name] = text
    whole = _with(shipped, sound, errors)
    before = parse_checklist(shipped)
    there = {check.id: check for check in before}
    now = {check.id: check for check in whole} if whole else {}
    return Tried(
        len(own),
        tuple(errors),
        tuple(check for check in now if check not in there),
        tuple(check for check, item in now.items() if check in there and item != there[check]),
        tuple(
            f"{where}: {location}"
            for check, item in now.items()
            if item != there.get(check)
            for where, location in cabinets_named(item)
        ),
    )


def _with(shipped: dict[str, str], sound: dict[str, str], errors: list[str]) -> Checklist | None:
    """Put the sound files after the shipped ones, one by one, so that a clash names its file."""
    taken = dict(shipped)
    whole: Checklist | None = None
    for name, text in sound.items():
        try:
            whole = parse_checklist(taken | {name: text})
        except ChecklistError as error:
            errors.append(f"{name}: {error}")
        else:
            taken[name] = text
    return whole

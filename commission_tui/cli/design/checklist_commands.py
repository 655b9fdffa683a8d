"""Checklists: a firm's own folder tried, the methods that can judge, the checks there are."""

from __future__ import annotations

from dataclasses import asdict, replace
from importlib import resources
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from commission_tui.cli.options import any_file, json_option
from commission_tui.cli.output import Session, emitted, message, say, table
from commission_tui.errors import ChecklistError, did_you_mean
from commission_tui.text import counted, listed, quoted

if TYPE_CHECKING:
    from commission_tui.wall.model.wall_model import Wall


@click.group()
def checklist() -> None:
    """List the checks and methods that come with the program; try a firm's own."""


@checklist.command("test")
@click.argument("folder", type=any_file)
@click.option("--wall", type=any_file, help="The wall of the cases. Default: that of the demo.")
@json_option
def test(folder: Path, wall: Path | None) -> int:
    """Try a firm's FOLDER: all errors of each check, by key; what it adds and overrides.

    Readings in FOLDER/cases are judged and must pass, fail or be marginal as they say; docs/checks.md
    says how they are written. Exit status 1 when anything is wrong.
    """
    from commission_tui.checks.checklists.check_cases import CasesTried, try_cases
    from commission_tui.checks.checklists.checklist_file import (
        files_with,
        parse_checklist,
        try_folder,
    )

    found = try_folder(folder)
    cases, untried = CasesTried(), list[str]()
    if not found.errors:
        cases = try_cases(folder, parse_checklist(files_with(folder)), _wall_of_cases(wall))
        untried = [x for x in (*found.added, *found.overridden) if x not in cases.checks]
        found = replace(found, errors=cases.errors)
    if not emitted(asdict(found) | {"cases": cases.count}):
        for line in found.errors:
            message(line)
        for words, ids in (("added", found.added), ("overridden", found.overridden)):
            say(f"{counted(len(ids), 'check')} {words}{': ' if ids else ''}{', '.join(ids)}")
        for named in found.cabinets:
            message(
                f"{named} is a cabinet; 'job new' refuses the check on a wall that has none there"
            )
        if untried:
            message(f"read, but judged by no case: {listed(untried)}")
        say(
            f"{counted(len(found.errors), 'error')} in {counted(found.files, 'file')}, "
            f"{counted(cases.count, 'case')} judged"
        )
    return int(bool(found.errors))


def _wall_of_cases(file: Path | None) -> Wall:
    from commission_tui.wall.model.wall_file import parse_wall, read_wall

    if file is not None:
        return read_wall(file)
    demo = resources.files("commission_tui.demo") / "fellmoor.toml"
    return parse_wall(demo.read_text(encoding="utf-8"))


@checklist.command("methods")
@click.argument("name", required=False)
@json_option
def list_methods(name: str | None) -> None:
    """List the methods with the fields and limits that a check needs for each; or one, NAME."""
    from commission_tui.checks.methods import methods

    known = methods()
    if name is not None and name not in known:
        raise ChecklistError(
            f"method: found {quoted(name)}, expected a method{did_you_mean(name, known)}"
        )
    rows = [_method_row(known[n]) for n in sorted(known) if name in (None, n)]
    if emitted(rows):
        return
    if name is not None:
        say(f"{name}: {rows[0]['does']}")
        for what in ("fields", "limits"):
            say(f"  {what}: {_words(rows[0], what)}")
    else:
        table(
            ("method", "fields", "limits"),
            [(r["method"], _words(r, "fields"), _words(r, "limits")) for r in rows],
        )
        message("brackets: may be left out")


def _method_row(method: Any) -> dict[str, Any]:
    summary = (method.function.__doc__ or "").strip().split("\n", 1)[0]
    return {
        "method": method.name,
        "does": summary,
        "fields": sorted(method.fields),
        "optional_fields": sorted(method.optional_fields),
        "limits": sorted(method.limits),
        "optional_limits": sorted(method.optional_limits),
        "any_fields": not (method.fields or method.optional_fields),
        "any_limits": method.any_limits,
    }


def _words(row: dict[str, Any], what: str) -> str:
    named = [*row[what], *(f"[{name}]" for name in row[f"optional_{what}"])]
    if row[f"any_{what}"]:
        named.append("any" if what == "fields" else "any of a field's name")
    return ", ".join(named) or "none"


@checklist.command("list")
@click.argument("job", required=False)
@json_option
@click.pass_obj
def list_checks(session: Session, job: str | None) -> None:
    """List the checks of JOB, or those that come with the program."""
    from commission_tui.checks.checklists.checklist_file import parse_checklist, shipped_files

    if job is None:
        known = parse_checklist(shipped_files())
    else:
        with session.job(job) as opened:
            known = opened.state.checklist
    rows = [
        {
            "stage": stage.id,
            "check": check.id,
            "title": check.title,
            "codes": list(check.codes),
            "role": check.role,
            "method": check.method,
            "limits": [limit.name for limit in check.limits],
            "minutes": check.minutes,
            "blocks_acceptance": check.blocks_acceptance,
        }
        for stage in known.stages
        for check in stage.checks
    ]
    if emitted(rows):
        return
    table(
        ("stage", "check", "title", "method"),
        [(str(r["stage"]), str(r["check"]), str(r["title"]), str(r["method"])) for r in rows],
    )
    message(counted(len(rows), "check"))

"""Jobs: opening, listing, showing and judging."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from commission_tui.cli.output import Session, emit, json_option, message, say, table
from commission_tui.errors import WallFileError


@click.group()
def job() -> None:
    """Jobs of this logbook."""


@job.command("new")
@click.argument("wall_file", type=click.Path(path_type=Path))
@click.option("--name", required=True, help="What the job is called.")
@click.option("--client", required=True)
@click.option("--integrator", required=True, help="The firm that commissions.")
@click.option("--reference", help="Order or contract number.")
@click.option(
    "--checklists",
    type=click.Path(path_type=Path),
    help="A folder with the firm's own checklists, added to those that come with the program.",
)
@json_option
@click.pass_obj
def new(
    session: Session,
    wall_file: Path,
    name: str,
    client: str,
    integrator: str,
    reference: str | None,
    checklists: Path | None,
    as_json: bool,
) -> None:
    """Open a job on a wall file."""
    from commission_tui.checks.checklists.checklist import files_with, shipped_files
    from commission_tui.wall.model.wall_file import read_wall

    text = read_wall(wall_file).text
    files = files_with(checklists) if checklists else shipped_files()
    with session.logbook() as book:
        try:
            opened = book.create(
                by=session.person,
                name=name,
                client=client,
                integrator=integrator,
                reference=reference,
                wall_text=text,
                checklist_files=files,
            )
        except WallFileError as error:
            raise WallFileError(f"{wall_file}: {error}") from None
        if as_json:
            emit({"job": opened.id, "name": name, "checks": len(list(opened.state.checklist))})
        else:
            say(opened.id)
            message(f"opened '{name}' with {len(list(opened.state.checklist))} checks")


@job.command("revise")
@click.argument("name")
@click.argument("wall_file", type=click.Path(path_type=Path))
@click.option("--reason", required=True, help="Why the design changed.")
@click.pass_obj
def revise(session: Session, name: str, wall_file: Path, reason: str) -> None:
    """Log a new revision of the design."""
    from commission_tui.logbook.entries.models import Design
    from commission_tui.logbook.logbook import body
    from commission_tui.wall.model.wall_file import read_wall

    text = read_wall(wall_file).text
    with session.job(name) as opened:
        opened.record(body(Design, text=text, reason=reason))
        message(f"design revision {len(opened.state.designs)} logged")


@job.command("list")
@json_option
@click.pass_obj
def list_jobs(session: Session, as_json: bool) -> None:
    """List the jobs, the one worked on last first."""
    with session.logbook() as book:
        jobs = book.jobs()
    if as_json:
        emit(jobs)
        return
    if not jobs:
        message("no jobs yet: 'commission-tui job new WALL', or 'commission-tui demo'")
        return
    table(
        ("job", "name", "wall", "done", "open faults", "last entry"),
        [
            (
                j.id[-12:],
                j.name,
                f"{j.site}, {j.wall}",
                "damaged" if j.damage else f"{j.done} of {j.checks}",
                "" if j.damage else str(j.open_faults),
                j.last_entry_at[:16].replace("T", " "),
            )
            for j in jobs
        ],
    )
    for damaged in (j.damage for j in jobs if j.damage):
        message(damaged)


@job.command("show")
@click.argument("name")
@json_option
@click.pass_obj
def show(session: Session, name: str, as_json: bool) -> None:
    """Show one job: how far, what blocks acceptance, the punch list."""
    with session.job(name) as opened:
        data = _shown(opened)
    if as_json:
        emit(data)
        return
    say(f"{data['name']}, {data['site']}, {data['wall']}")
    say(f"{data['done']} of {data['checks']} checks done, {data['entries']} entries")
    for instrument in data["instruments"]:
        due = instrument["calibration_due"] or "not stated"
        say(f"instrument {instrument['name']} {instrument['serial']}, calibration due {due}")
    for fault in data["faults"]:
        say(f"fault {fault['number']}  {fault['state']:<9} {fault['location']}  {fault['fault']}")
    say("blocks acceptance:" if data["blocking"] else "nothing blocks acceptance")
    for line in data["blocking"]:
        say(f"  {line}")


def _shown(opened: Any) -> dict[str, Any]:
    state = opened.state
    outcomes = opened.outcomes()
    apply = [o.verdict for o in outcomes.values() if o.verdict != "not applicable"]
    return {
        "job": opened.id,
        "name": state.title.name,
        "client": state.title.client,
        "site": state.wall.file.wall.site,
        "wall": state.wall.name,
        "entries": len(state.entries),
        "done": sum(verdict != "open" for verdict in apply),
        "checks": len(apply),
        "instruments": [
            {
                "key": logged.body.key,
                "name": logged.body.name,
                "serial": logged.body.serial,
                "calibration_due": logged.body.calibration_due,
            }
            for _, logged in sorted(state.instruments.items())
        ],
        "faults": [fault_row(fault) for fault in state.faults],
        "blocking": list(opened.blocking()),
    }


def fault_row(fault: Any) -> dict[str, Any]:
    """Return a punch-list item as the commands show it."""
    found = fault.found.body
    return {
        "number": fault.number,
        "id": fault.id,
        "state": fault.state,
        "fault": found.fault,
        "location": found.location,
        "severity": found.severity,
        "check": found.check,
        "found_by": fault.found.by,
        "found_at": fault.found.at,
        "note": found.note,
    }


@click.command()
@click.argument("name")
@click.option("--check", "only", help="One check only.")
@json_option
@click.pass_context
def evaluate(ctx: click.Context, name: str, only: str | None, as_json: bool) -> None:
    """Judge every check of a job: verdict, figures, reason. Exit status 1 when one fails."""
    with ctx.obj.job(name) as opened:
        checks = [opened.state.checklist.find(only)] if only else list(opened.state.checklist)
        results = [(check, opened.outcome(check.id)) for check in checks]
    if as_json:
        emit(
            [
                {"check": check.id, "title": check.title, **_outcome_row(result)}
                for check, result in results
            ]
        )
    else:
        for check, result in results:
            say(f"{result.verdict.upper():<15} {check.id}: {result.reason}")
            if only:
                _say_figures(result)
    if any(result.verdict == "fail" for _, result in results):
        ctx.exit(1)


def _outcome_row(result: Any) -> dict[str, Any]:
    from commission_tui.logbook.judging.outcome_cache import plain_figure

    return {
        "verdict": result.verdict,
        "so_far": result.so_far,
        "reason": result.reason,
        "next_step": result.next_step,
        "where": result.where,
        "figures": [plain_figure(figure) for figure in result.figures],
    }


def _say_figures(result: Any) -> None:
    for figure in result.figures:
        spread = f" ± {figure.expanded:.2g}" if figure.expanded is not None else ""
        spread += " ± not known" if figure.not_known else ""
        limit = f"  ({figure.limit}; {figure.limit.source})" if figure.limit else ""
        say(f"  {figure.name}: {figure.value:.{figure.digits}g}{spread} {figure.unit}{limit}")
    if result.next_step:
        say(f"  next: {result.next_step}")

"""Jobs: opened, changed, listed and shown."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from commission_tui.cli.options import any_file, json_option, opens_job, wants_json
from commission_tui.cli.output import (
    Session,
    answer,
    emitted,
    is_there,
    message,
    say,
    say_not_taken,
    table,
    terminal,
)
from commission_tui.errors import StoreError, WallFileError
from commission_tui.logbook.judging.visits import visit_title
from commission_tui.text import counted, lower_first

if TYPE_CHECKING:
    from commission_tui.cli.design.kept_answers import KeptAnswers
    from commission_tui.logbook.logbook import Logbook, OpenJob
    from commission_tui.wall.model.wall_model import Wall

_on_named = opens_job("NAME")


@click.group()
def job() -> None:
    """Jobs of this logbook."""


@job.command("new")
@click.argument("wall_file", type=any_file)
@click.option("--name", help="What the job is called.")
@click.option("--client", help="Who orders the wall and signs.")
@click.option("--integrator", help="The firm that commissions.")
@click.option("--reference", help="Order or contract number.")
@click.option(
    "--checklists",
    type=any_file,
    help="A folder with the firm's own checklists, added to those that come with the program.",
)
@click.option("--scope", help="What is agreed: short, middle, all, or a size of the firm's own.")
@json_option
@click.pass_obj
def new(
    session: Session,
    /,
    wall_file: Path,
    reference: str | None,
    checklists: Path | None,
    **told: str | None,
) -> None:
    """Open a job on a wall file. Without --scope every check is agreed.

    At a terminal, name, client and firm are asked for where an option does not say them, and with
    them what is agreed and what the wall file left open; the arrow up goes back.
    """
    from commission_tui.checks.checklists.checklist_file import files_with, shipped_files
    from commission_tui.cli.design.kept_answers import KeptAnswers
    from commission_tui.cli.jobs.job_questions import REQUIRED, settled
    from commission_tui.logbook.state.agreed_checks import unsettled_checks, unsettled_features
    from commission_tui.wall.model.wall_file import read_wall

    wall = read_wall(wall_file)
    files = files_with(checklists) if checklists else shipped_files()
    with session.logbook() as book:
        by, ahead = session.person_and_typed_ahead()
        given = {k: v for k, v in told.items() if v is not None}
        kept = KeptAnswers(session.path.with_name(f"{session.path.name}.{wall_file.stem}"))
        answers = _asked(book, wall, files, given, ahead, kept)
        try:
            opened = book.create(
                by=by,
                **{key: answers[key] for key in REQUIRED},
                reference=reference,
                wall_text=wall.text,
                checklist_files=files,
                scope=answers.get("scope"),
                settled=settled(answers),
            )
        except WallFileError as error:
            raise WallFileError(*(f"{wall_file}: {line}" for line in error.lines)) from None
        kept.remove()
        name, agreed = opened.state.title.name, len(list(opened.state.checklist))
        made = {"job": opened.id, "name": name, "checks": agreed}
        answer(made, opened.id)
        if not wants_json():
            left = unsettled_features(opened.state)
            waiting = len(unsettled_checks(opened.state))
            # Counted everywhere: the agreed ones that the wall can have.
            apply = sum(o.verdict != "not applicable" for o in opened.outcomes().values())
            message(
                f"opened '{name}': {counted(agreed + waiting, 'check')} agreed, {apply} of them "
                "apply to this wall; 'commission-tui' opens the screens"
            )
            agreed_ids = {check.id for check in opened.state.checklist}
            own = sorted(opened.state.whole_checklist.own - agreed_ids)
            if own:
                message(f"of the firm's own, not in what is agreed: {', '.join(own)}")
            if left:
                wait = f"; {counted(waiting, 'agreed check')} wait for it" if waiting else ""
                message(
                    f"not settled yet: {', '.join(left)}{wait}; 'commission-tui job settle' says how"
                )


def _asked(
    book: Logbook,
    wall: Wall,
    files: Mapping[str, str],
    answers: Mapping[str, str],
    ahead: str,
    kept: KeptAnswers,
) -> Mapping[str, Any]:
    """Return what the options say, and at a terminal what is answered to the rest; `ahead` is typed already."""
    from commission_tui.cli.jobs.job_questions import REQUIRED, questions

    lacks = [key for key in REQUIRED if key not in answers]
    if not lacks:
        say_not_taken(ahead)
        return answers
    if wants_json() or not terminal():
        raise click.UsageError(f"Missing option '--{lacks[0]}'.")
    from commission_tui.checks.checklists.checklist_file import parse_checklist
    from commission_tui.cli.design.interview import interview, reader

    asked = questions(wall, parse_checklist(files), book.name_is_free)
    with reader(ahead) as answering:
        return interview(asked, answers, answering, typed=kept.read(), keep=kept.write)


@job.command("revise")
@_on_named
@click.argument("wall_file", type=any_file)
@click.option("--reason", required=True, help="Why the design changed.")
def revise(opened: OpenJob, wall_file: Path, reason: str) -> None:
    """Log a new revision of the design."""
    from commission_tui.logbook.entries.models import Design
    from commission_tui.logbook.logbook import body
    from commission_tui.wall.model.wall_file import read_wall

    text = read_wall(wall_file).text
    opened.record(body(Design, text=text, reason=reason))
    message(f"design revision {len(opened.state.designs)} logged")


@job.command("scope")
@_on_named
@click.argument("size", required=False)
@click.option("--reason", default="", help="Needed where it is less than was agreed before.")
@json_option
def scope(opened: OpenJob, size: str | None, reason: str) -> None:
    """Show the sizes there are and what is not agreed; or agree another SIZE, or a check more by its name."""
    from commission_tui.checks.checklists.checklist import sizes
    from commission_tui.logbook.actions.scope_actions import agree_scope
    from commission_tui.logbook.state.agreed_checks import checks_not_agreed

    if size is not None:
        agree_scope(opened, size, reason)
    state = opened.state
    known = {size: len(checks) for size, checks in sizes(state.whole_checklist).items()}
    agreed = state.scopes[-1].body.size if state.scopes else "all"
    outside = [
        (check.id, check.title)
        for check in map(state.whole_checklist.check, checks_not_agreed(state))
    ]
    answer(
        {"agreed": agreed, "sizes": known, "not_agreed": [check for check, _ in outside]},
        f"agreed: {agreed}; sizes: {', '.join(f'{s} ({n} checks)' for s, n in known.items())}",
        *(f"not agreed: {check}  {title}" for check, title in outside),
    )


@job.command("settle")
@_on_named
@click.argument("feature", required=False)
@click.argument("reply", metavar="[ANSWER]", required=False)
@click.option("--note", default="")
@json_option
def settle(opened: OpenJob, feature: str | None, reply: str | None, note: str) -> None:
    """Say whether the wall has a FEATURE: yes, no or "not known"; without one, what is to settle."""
    from commission_tui.logbook.actions.scope_actions import settle as settle_feature
    from commission_tui.logbook.state.agreed_checks import unsettled_features

    if feature is not None:
        settle_feature(opened, feature, reply or "", note)
    left = unsettled_features(opened.state)
    counts = {feature: len(waits.checks) for feature, waits in left.items()}
    held = {True: "can hurt somebody: open until then", False: "waits"}
    lines = [
        f"to settle: {unknown} ({counted(len(waits.checks), 'check')}: {held[waits.hurts]})"
        for unknown, waits in left.items()
    ]
    answer(counts, *(lines or ["nothing to settle"]))


@job.command("list")
@json_option
@click.pass_obj
def list_jobs(session: Session) -> None:
    """List the jobs, the one worked on last first."""
    from commission_tui.wall.model.time_zones import at_the_wall

    if session.database is not None and not is_there(session.path):
        raise StoreError(f"{session.path}: there is no such file, expected a logbook")
    with session.logbook() as book:
        jobs = book.jobs()
    if emitted(jobs):
        return
    if not jobs:
        message("no jobs yet: 'commission-tui job new WALL', or 'commission-tui demo'")
        return
    table(
        ("job", "name", "wall", "done", "open faults", "last entry"),
        [
            (
                *(j.id[-12:], j.name, f"{j.site}, {j.wall}"),
                *(("damaged", "") if j.damage else (f"{j.done} of {j.checks}", str(j.open_faults))),
                f"{at_the_wall(j.last_entry_at, j.time_zone):%Y-%m-%d %H:%M}",
            )
            for j in jobs
        ],
    )
    for damaged in (j.damage for j in jobs if j.damage):
        message(damaged)


@job.command("show")
@_on_named
@json_option
def show(opened: OpenJob) -> None:
    """Show one job: how far, what blocks acceptance, the punch list."""
    from commission_tui.logbook.state.meters import all_meters

    data = _shown(opened)
    if emitted(data):
        return
    say(f"{data['name']}, {data['site']}, {data['wall']}")
    agreed = counted(data["agreed"], "check")
    waits = f"; {data['not_settled']} not settled" if data["not_settled"] else ""
    say(f"{agreed} agreed, {data['checks']} of them apply: {data['done']} done{waits}")
    say(counted(data["entries"], "entry", "entries"))
    instruments = (logged.body for logged in all_meters(opened.state))
    named = (f"{one.called}, calibration due {one.due_words()}" for one in instruments)
    for one in dict.fromkeys(named):
        say(f"instrument {one}")
    for fault in data["faults"]:
        stands = "" if fault["stands"] == fault["state"] else f"  {fault['stands']}"
        say(
            f"fault {fault['number']}  {fault['state']:<9} {fault['location']}  {fault['fault']}{stands}"
        )
    say(f"handover: {data['state']}")
    for line in filter(None, (data["said"], data["before"])):
        say(f"  {line}")
    if data["visit"]:
        say(f"{lower_first(visit_title(data['visit']['name']))}: {data['visit']['state']}")
    say(f"exceptions: {len(data['exceptions'])}")
    for number, line in enumerate(data["exceptions"], start=1):
        say(f"  {number}. {line}")


def _shown(opened: Any) -> dict[str, Any]:
    from commission_tui.logbook.plan.latest_visit import visit_state
    from commission_tui.logbook.state.agreed_checks import unsettled_checks
    from commission_tui.logbook.state.meters import all_meters

    state, stands, visit = opened.state, opened.acceptance(), visit_state(opened)
    waiting = len(unsettled_checks(state))
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
        "agreed": len(outcomes) + waiting,
        "not_settled": waiting,
        "instruments": [
            {
                "key": logged.body.key,
                "name": logged.body.name,
                "serial": logged.body.serial,
                "calibration_due": logged.body.calibration_due,
            }
            for logged in all_meters(state)
        ],
        "faults": [fault_row(fault) for fault in state.faults],
        "state": str(stands.state),
        "said": stands.statement,
        "before": stands.past(lambda at: state.day(at).isoformat()),
        "visit": visit and {"name": visit.name, "state": visit.word},
        "exceptions": [
            one.what for one in (stands.exceptions if stands.state.is_accepted else stands.left)
        ],
    }


def fault_row(fault: Any) -> dict[str, Any]:
    """Return a punch-list item as the commands show it."""
    from commission_tui.logbook.state.fault_steps import state_words

    found = fault.found.body
    return {
        "number": fault.number,
        "id": fault.id,
        "state": fault.state,
        "stands": state_words(fault),
        "fault": found.fault,
        "location": found.location,
        "severity": found.severity,
        "check": found.check,
        "found_by": fault.found.by,
        "found_at": fault.found.at,
        "note": found.note,
    }

"""The course of a job: what was changed, which limits were agreed, visits, and what to do next."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from commission_tui.cli.output import Session, answer, emit, json_option, message, say, table
from commission_tui.errors import InputError, did_you_mean
from commission_tui.text import counted, quoted

if TYPE_CHECKING:
    from commission_tui.logbook.job import OpenJob


@click.command("setting")
@click.argument("job")
@click.argument("what", required=False)
@click.argument("value", required=False)
@click.option("--at", "place", default="wall", help="The cabinet, input or port; default the wall.")
@click.option("--note", default="")
@click.option("--so-all-along", help="Why results taken before still stand.")
@json_option
@click.pass_obj
def setting(
    session: Session,
    job: str,
    what: str | None,
    value: str | None,
    place: str,
    note: str,
    so_all_along: str | None,
    as_json: bool,
) -> None:
    """Log a setting as it now is, and say what is no longer good; alone, list the settings.

    WHAT is one of the settings that results rest on, such as "brightness level".
    """
    from commission_tui.logbook.actions.settings_log import change_setting
    from commission_tui.logbook.judging.doubts import settings_now

    with session.job(job) as opened:
        if what is None or value is None:
            now = settings_now(opened.state)
            if as_json:
                emit([{"setting": s, "place": p, "value": v} for (s, p), v in sorted(now.items())])
            else:
                table(("setting", "place", "value"), [(*k, v) for k, v in sorted(now.items())])
            return
        logged = change_setting(opened, what, value, place=place, note=note, kept=so_all_along)
        _report_doubts(opened, logged.id, as_json)


@click.command("keep")
@click.argument("job")
@click.argument("change")
@click.argument("checks", nargs=-1, required=True)
@click.option("--reason", required=True, help="Why these results still stand.")
@click.pass_obj
def keep(session: Session, job: str, change: str, checks: tuple[str, ...], reason: str) -> None:
    """Say why results that a change put in doubt still stand.

    CHANGE is the end of the change's entry id, as `doubts` lists it.
    """
    from commission_tui.logbook.actions.settings_log import keep_results

    with session.job(job) as opened:
        keep_results(opened, change, checks, reason)
        message(f"{len(checks)} kept, with the reason")


@click.command("doubts")
@click.argument("job")
@json_option
@click.pass_obj
def doubts(session: Session, job: str, as_json: bool) -> None:
    """List the results that a later change left no longer good, and the shortest retest."""
    with session.job(job) as opened:
        _report_doubts(opened, None, as_json)


def _report_doubts(opened: OpenJob, change: str | None, as_json: bool) -> None:
    from commission_tui.logbook.judging.doubts import doubts as found_doubts

    found = found_doubts(opened.state, change)
    if as_json:
        emit(found)
        return
    if not found:
        message("no result is in doubt")
        return
    table(
        ("check", "read again", "minutes", "since", "change"),
        [
            (
                doubt.check,
                f"{len(doubt.slots)} of {doubt.of}",
                f"{doubt.minutes:.0f}",
                doubt.change.words,
                doubt.change.id[-12:],
            )
            for doubt in found
        ],
    )
    message(
        f"{counted(len(found), 'result')} no longer good; {sum(d.minutes for d in found):.0f} minutes"
    )


@click.command("limit")
@click.argument("job")
@click.argument("check")
@click.argument("name", required=False)
@click.option("--low", type=float)
@click.option("--high", type=float)
@click.option("--source", help="Where the new limit stands.")
@click.option("--agreed-by", help="Who agreed to it.")
@click.option("--reason", help="Why it is another one.")
@json_option
@click.pass_obj
def limit(
    session: Session,
    job: str,
    check: str,
    name: str | None,
    low: float | None,
    high: float | None,
    source: str | None,
    agreed_by: str | None,
    reason: str | None,
    as_json: bool,
) -> None:
    """List the limits of a check with their sources, or agree one anew."""
    from commission_tui.logbook.judging.agreed_limits import frozen_at, limit_body, limits_of

    with session.job(job) as opened:
        if name is not None:
            for option, value in (("source", source), ("agreed-by", agreed_by), ("reason", reason)):
                if not (value or "").strip():
                    raise InputError(f"--{option}: found nothing, expected it with a new limit")
            opened.record(
                limit_body(
                    opened.state,
                    check,
                    name,
                    low=low,
                    high=high,
                    source=source or "",
                    agreed_by=agreed_by or "",
                    reason=reason or "",
                )
            )
        limits = limits_of(opened.state, check)
        frozen = frozen_at(opened.state, check)
    if as_json:
        emit({"check": check, "frozen_at": frozen, "limits": list(limits.values())})
        return
    if not limits:
        message("no limit: recorded only")
    table(
        ("limit", "range", "source", "standing"),
        [(item.name, str(item), item.source, item.standing) for item in limits.values()],
    )
    message(f"frozen {frozen}" if frozen else "not frozen yet: the first reading freezes them")


@click.command("plan")
@click.argument("job")
@click.option("--minutes", type=float, required=True, help="The remaining time.")
@click.option("--with", "there", multiple=True, help="What or who is there; may be repeated.")
@json_option
@click.pass_obj
def plan(session: Session, job: str, minutes: float, there: tuple[str, ...], as_json: bool) -> None:
    """Order what to do in the remaining time, by what is worth most on the opening night.

    How often a check finds something begins as a guess (common practice, no published source) and is
    counted over the jobs of this logbook. Say what and who is there, such as --with "house dark" --with lift.
    """
    from typing import get_args

    from commission_tui.checks.model.settings import Need
    from commission_tui.logbook.plan.findings_count import findings
    from commission_tui.logbook.plan.planning import plan as planned

    needs = get_args(Need)
    for item in there:
        if item not in needs:
            raise InputError(
                f"--with: found {quoted(item)}, expected one of {', '.join(needs)}"
                f"{did_you_mean(item, needs)}"
            )
    with session.job(job) as opened:
        counted = findings(opened.database, opened.id)
        found = planned(opened.state, opened.outcomes(), minutes, there, counted)
    if as_json:
        emit(found)
        return
    table(
        ("minutes", "blocks", "what", "why"),
        [
            (
                f"{t.minutes:.0f}",
                "yes" if t.blocks else "no",
                t.title,
                "; ".join(
                    filter(None, (t.why[:100], t.odds.words if t.odds else "", _helped(t.alone)))
                ),
            )
            for t in found.now
        ],
    )
    message(
        f"{found.minutes:.0f} of {minutes:g} minutes; no time for {len(found.later)}; "
        f"{len(found.lacking)} need people or equipment you do not have"
    )
    for task, missing in found.lacking[:12]:
        say(f"lacks {', '.join(missing)}: {task.title}")


def _helped(by: tuple[str, ...]) -> str:
    return f"quicker with {', '.join(by)}" if by else ""


@click.command("visit")
@click.argument("job")
@click.argument("name", required=False)
@click.option("--reason", default="", help="What the visit is for.")
@click.option("--hours-run", type=float, help="Hours the wall has run since the handover.")
@json_option
@click.pass_obj
def visit(
    session: Session,
    job: str,
    name: str | None,
    reason: str,
    hours_run: float | None,
    as_json: bool,
) -> None:
    """Begin a later visit, or list the visits of a job."""
    from commission_tui.logbook.judging.visits import visit_begun, visit_names

    with session.job(job) as opened:
        if name is not None:
            opened.record(visit_begun(opened.state, name, reason, hours_run))
        names = visit_names(opened.state)
    numbered = [{"number": n, "name": known} for n, known in enumerate(names, start=1)]
    answer(numbered, *(f"{n}  {known}" for n, known in enumerate(names, start=1)), as_json=as_json)


@click.command("compare")
@click.argument("job")
@click.argument("before")
@click.argument("after")
@json_option
@click.pass_obj
def compare(session: Session, job: str, before: str, after: str, as_json: bool) -> None:
    """Compare two visits: what drifted, what is new, what is gone.

    BEFORE and AFTER are visits by name or by number.
    """
    from commission_tui.cli.jobs.comparison_text import print_comparison
    from commission_tui.logbook.judging.visits import visit_index
    from commission_tui.logbook.plan.visit_comparison import compare as compared

    with session.job(job) as opened:
        first, second = visit_index(opened.state, before), visit_index(opened.state, after)
        if first >= second:
            raise InputError(f"compare: found {before!r} not before {after!r}, expected it to be")
        found = compared(opened.state, first, second)
    if as_json:
        emit(found)
    else:
        print_comparison(found)

"""The course of a job: what was changed, which limits were agreed, visits, and what to do next."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from commission_tui.cli.options import Measured, ValueCommand, json_option, on_job
from commission_tui.cli.output import answer, emitted, message, say, table
from commission_tui.errors import InputError, did_you_mean
from commission_tui.text import counted, listed, quoted

if TYPE_CHECKING:
    from commission_tui.logbook.job import OpenJob
    from commission_tui.logbook.plan.planning import Task
    from commission_tui.logbook.plan.visit_comparison import Comparison, Drift


@click.command("setting", cls=ValueCommand)
@on_job
@click.argument("what", required=False)
@click.argument("value", required=False)
@click.option("--at", "place", default="wall", help="The cabinet, input or port; default the wall.")
@click.option("--note", default="")
@click.option("--so-all-along", help="Why results taken before still stand.")
@json_option
def setting(
    opened: OpenJob,
    what: str | None,
    value: str | None,
    place: str,
    note: str,
    so_all_along: str | None,
) -> None:
    """Log a setting as it now is, and say what is no longer good; alone, list the settings.

    WHAT is one of the settings that results rest on, such as "brightness level".
    """
    from commission_tui.logbook.actions.scope_actions import change_setting
    from commission_tui.logbook.judging.doubts import settings_now

    if what is None or value is None:
        now = settings_now(opened.state)
        heads = "setting", "place", "value"
        rows = [(*setting, there) for setting, there in sorted(now.items())]
        if not emitted([dict(zip(heads, row, strict=True)) for row in rows]):
            table(heads, rows)
        return
    logged = change_setting(opened, what, value, place=place, note=note, kept=so_all_along)
    _report_doubts(opened, logged.id)


@click.command("keep")
@on_job
@click.argument("change")
@click.argument("checks", nargs=-1, required=True)
@click.option("--reason", required=True, help="Why these results still stand.")
def keep(opened: OpenJob, change: str, checks: tuple[str, ...], reason: str) -> None:
    """Say why results that a change put in doubt still stand.

    CHANGE is the end of the change's entry id, as `doubts` lists it.
    """
    from commission_tui.logbook.actions.scope_actions import keep_results
    from commission_tui.logbook.judging.doubts import doubts_by_change

    keep_results(opened, change, checks, reason)
    message(f"{len(checks)} kept, with the reason")
    for doubt in doubts_by_change(opened.state):
        if doubt.check in checks:
            message(
                f"{doubt.check}: {len(doubt.slots)} of {counted(doubt.of, 'reading')} still no longer "
                f"good, since {doubt.change.words} (change {doubt.change.id[-12:]})"
            )


@click.command("doubts")
@on_job
@json_option
def doubts(opened: OpenJob) -> None:
    """List the results that a later change left no longer good, and the shortest retest."""
    _report_doubts(opened)


def _report_doubts(opened: OpenJob, change: str | None = None) -> None:
    from commission_tui.logbook.judging.doubts import doubts as found_doubts
    from commission_tui.logbook.judging.doubts import doubts_by_change

    found = found_doubts(opened.state, change)
    every = doubts_by_change(opened.state, change)
    if emitted(every):
        return
    if not found:
        message("no result is in doubt")
        return
    table(
        ("check", "read again", "minutes", "since", "change"),
        [
            (
                *(doubt.check, f"{len(doubt.slots)} of {doubt.of}", f"{doubt.minutes:.0f}"),
                *(doubt.change.words, doubt.change.id[-12:]),
            )
            for doubt in every
        ],
    )
    message(
        f"{counted(len(found), 'result')} no longer good; {sum(d.minutes for d in found):.0f} minutes"
    )


@click.command("limit")
@on_job
@click.argument("check")
@click.argument("name", required=False)
@click.option("--low", type=Measured())
@click.option("--high", type=Measured())
@click.option("--source", default="", help="Where the new limit stands.")
@click.option("--agreed-by", default="", help="Who agreed to it.")
@click.option("--reason", default="", help="Why it is another one.")
@click.option("--confirm", is_flag=True, help="Agree it although it looks mistyped.")
@json_option
def limit(
    opened: OpenJob,
    check: str,
    name: str | None,
    low: float | None,
    high: float | None,
    source: str,
    agreed_by: str,
    reason: str,
    confirm: bool,
) -> None:
    """List the limits of a check with their sources, or agree one anew."""
    from commission_tui.logbook.judging.agreed_limits import (
        frozen_at,
        limit_body,
        limit_changes,
        limits_of,
        slipped_bound,
    )

    if name is not None:
        for option, value in (("source", source), ("agreed-by", agreed_by), ("reason", reason)):
            if not value.strip():
                raise InputError(f"--{option}: found nothing, expected it with a new limit")
        said = {"source": source, "agreed_by": agreed_by, "reason": reason}
        new_limit = limit_body(opened.state, check, name, low=low, high=high, **said)
        now = limits_of(opened.state, check)[name]
        bounds = ((low, now.low), (high, now.high))
        slips = list(filter(None, (slipped_bound(new, old) for new, old in bounds)))
        if slips and not confirm:
            raise InputError(f"{name}: {listed(slips)}; add --confirm to agree it anyway")
        opened.record(new_limit)
    limits = limits_of(opened.state, check)
    frozen = frozen_at(opened.state, check)
    if emitted({"check": check, "frozen_at": frozen, "limits": list(limits.values())}):
        return
    if not limits:
        message("no limit: recorded only")
    table(
        ("limit", "range", "source", "standing"),
        [(item.name, str(item), item.source, item.standing) for item in limits.values()],
    )
    message(f"frozen {frozen}" if frozen else "not frozen yet: the first reading freezes them")
    for change in limit_changes(opened.state, check):
        agreed = change.body.limit.name
        message(f"{agreed} agreed anew {change.at} with {change.body.agreed_by}")


@click.command("plan")
@on_job
@click.option("--minutes", "time", required=True, help="The remaining time: 40, 90 min, 1h30.")
@click.option("--with", "there", multiple=True, help="What or who is there; may be repeated.")
@json_option
def plan(opened: OpenJob, time: str, there: tuple[str, ...]) -> None:
    """Order what to do in the remaining time, by what is worth most on the opening night.

    How often a check finds something begins as a guess (common practice, no published source) and is
    counted over the jobs of this logbook. Say what and who is there, such as --with "house dark" --with lift.
    """
    from typing import get_args

    from commission_tui.checks.model.vocabulary import Need
    from commission_tui.logbook.plan.planning import findings
    from commission_tui.logbook.plan.planning import plan as planned
    from commission_tui.logbook.plan.remaining_time import typed_minutes

    minutes = typed_minutes(time)
    needs = get_args(Need)
    for item in there:
        if item not in needs:
            raise InputError(
                f"--with: found {quoted(item)}, expected one of {', '.join(needs)}"
                f"{did_you_mean(item, needs)}"
            )
    counted = findings(opened.database, opened.id)
    found = planned(opened.state, opened.outcomes(), minutes, there, counted)
    if emitted(found):
        return
    table(
        ("minutes", "blocks", "what", "why"),
        [(f"{t.minutes:.0f}", "yes" if t.blocks else "no", t.title, _why(t)) for t in found.now],
    )
    message(
        f"{found.minutes:.0f} of {minutes:g} minutes; no time for {len(found.later)}; "
        f"{len(found.lacking)} need people or equipment you do not have"
    )
    if any(task.odds for task in found.now):
        message(
            "finds one in: guess and count together, with half a find and half of none added for what "
            "nobody knows; so a guess of 1 of 10 is 1.5 of 11, 14%"
        )
    for task, missing in found.lacking[:12]:
        say(f"lacks {', '.join(missing)}: {task.title}")


def _why(task: Task) -> str:
    helped = f"quicker with {', '.join(task.alone)}" if task.alone else ""
    return "; ".join(filter(None, (task.why[:100], task.odds.words if task.odds else "", helped)))


@click.command("visit")
@on_job
@click.argument("name", required=False)
@click.option("--reason", default="", help="What the visit is for.")
@click.option("--hours-run", type=Measured("h"), help="Hours the wall has run since the handover.")
@click.option("--confirm", is_flag=True, help="Take hours that look mistyped.")
@json_option
def visit(
    opened: OpenJob, name: str | None, reason: str, hours_run: float | None, confirm: bool
) -> None:
    """Begin a later visit, or list the visits of a job."""
    from commission_tui.logbook.judging.visits import odd_hours, visit_begun, visit_names

    if name is not None:
        begun = visit_begun(opened.state, name, reason, hours_run)
        odd = odd_hours(opened.state, hours_run, opened.now())
        if odd and not confirm:
            raise InputError(f"--hours-run: {odd}; add --confirm to log them anyway")
        opened.record(begun)
    names = visit_names(opened.state)
    numbered = [{"number": n, "name": known} for n, known in enumerate(names, start=1)]
    answer(numbered, *(f"{n}  {known}" for n, known in enumerate(names, start=1)))


@click.command("compare")
@on_job
@click.argument("before")
@click.argument("after")
@json_option
def compare(opened: OpenJob, before: str, after: str) -> None:
    """Compare two visits: what drifted, what is new, what is gone.

    BEFORE and AFTER are visits by name or by number.
    """
    from commission_tui.logbook.judging.visits import visit_index
    from commission_tui.logbook.plan.visit_comparison import compare as compared

    first, second = visit_index(opened.state, before), visit_index(opened.state, after)
    if first >= second:
        raise InputError(f"compare: found {before!r} not before {after!r}, expected it to be")
    found = compared(opened.state, first, second)
    if not emitted(found):
        _report_comparison(found)


def _report_comparison(found: Comparison) -> None:
    """Print a comparison: drift first, then what is new, what is gone, and other settings."""
    from commission_tui.logbook.state.fault_steps import state_words

    hours = "" if found.hours is None else f", {found.hours:g} hours run between"
    say(
        f"{found.before} against {found.after}{hours}: {counted(len(found.pairs), 'number')} at the same places"
    )
    if found.drifts:
        table(
            ("check", "field", "places", "drift", "left the common drift"),
            [(d.check, d.field, str(d.places), _drift(d), _outliers(d)) for d in found.drifts],
        )
    for drift in found.drifts:
        if drift.remark:
            say(f"{drift.check} {drift.field}: {drift.remark}")
    for white in found.whites:
        say(
            f"white ({white.check}): mean moved {white.mean_duv:.4f} in u'v', most at "
            f"{white.largest_at}: {white.largest_duv:.4f}"
        )
    for words, faults in (
        ("new fault", found.faults.new),
        ("came back", found.faults.came_back),
        ("known, and logged again", found.faults.logged_again),
        ("known, nothing logged of it since", found.faults.not_logged),
        ("settled", found.faults.settled),
    ):
        for fault in faults:
            body = fault.found.body
            say(f"{words}: {fault.number} {body.called} at {body.location}, {state_words(fault)}")
    for setting, place, old, new in found.settings:
        say(f"setting {setting} at {place}: {old or 'not logged'} -> {new}")
    if found.only_before:
        say(f"checks not read on the later visit: {len(found.only_before)} (--json names them)")


def _drift(drift: Drift) -> str:
    if drift.apart:
        return "not alike"
    if drift.median_percent is None or drift.unit == "xy":
        return f"{drift.median_difference:+.4g} {drift.unit}".strip()
    return f"{drift.median_percent:+.1f} %"


def _outliers(drift: Drift) -> str:
    said = ", ".join(f"{pair.place} {pair.percent:+.1f} %" for pair in drift.outliers[:6])
    return f"{said}: no common drift" if drift.apart else said

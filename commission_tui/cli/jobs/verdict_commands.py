"""What a job has come to: its verdicts, and where a figure comes from, entry by entry."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from commission_tui.cli.options import json_option, on_job, opens_job
from commission_tui.cli.output import emitted, say

if TYPE_CHECKING:
    from commission_tui.checks.model.definition import CheckDefinition
    from commission_tui.checks.model.types import Outcome
    from commission_tui.logbook.logbook import OpenJob


@click.command()
@opens_job("NAME")
@click.option("--check", "only", help="One check only.")
@json_option
def evaluate(opened: OpenJob, only: str | None) -> int:
    """Judge every check of a job: verdict, figures, reason. Exit status 1 when one fails.

    Every verdict that the logbook keeps for SQL tools is kept anew, as its entries give it.
    """
    from commission_tui.checks.model.types import Outcome, Verdict
    from commission_tui.logbook.state.agreed_checks import NOT_SETTLED, unsettled_checks

    opened.store_verdicts()
    checks = [opened.state.checklist.find(only)] if only else list(opened.state.checklist)
    results = [(check, opened.outcome(check.id)) for check in checks]
    rows = [_outcome_row(check, result) for check, result in results]
    rows += [
        _outcome_row(one.check, Outcome(Verdict.OPEN, one.why)) | {"verdict": NOT_SETTLED}
        for one in ([] if only else unsettled_checks(opened.state))
    ]
    if not emitted(rows):
        for row in rows:
            say(f"{row['verdict'].upper():<15} {row['check']}: {row['reason']}")
        if only:
            _say_figures(results[0][1])
    return int(any(result.verdict == "fail" for _, result in results))


def _outcome_row(check: CheckDefinition, result: Outcome) -> dict[str, Any]:
    from commission_tui.logbook.judging.outcome_cache import plain_figure

    return {
        "check": check.id,
        "title": check.title,
        "verdict": result.verdict,
        "so_far": result.so_far,
        "reason": result.reason,
        "next_step": result.next_step,
        "where": result.where,
        "figures": [plain_figure(figure) for figure in result.figures],
    }


def _say_figures(result: Outcome) -> None:
    for figure in result.figures:
        limit = f"  ({figure.limit}; {figure.limit.source})" if figure.limit else ""
        say(f"  {figure.name}: {figure}{limit}")
    if result.next_step:
        say(f"  next: {result.next_step}")


@click.command("trail")
@on_job
@click.argument("what", nargs=-1, required=True)
@json_option
def trail(opened: OpenJob, what: tuple[str, ...]) -> None:
    """Print the trail of a figure: every reading, correction, limit and setting behind it.

    WHAT is a check by id, title, short name or words of its title, and after it any of its fields,
    places, figures or limits; or fault and its number.
    """
    from commission_tui.logbook.integrity.audit_trail import trail as trail_of
    from commission_tui.wall.model.time_zones import at_the_wall

    found, zone = trail_of(opened.state, what), opened.state.wall.file.wall.time_zone
    if emitted(found):
        return
    say(found.about)
    say(f"  stands  {found.stands}")
    listed = (
        *(("figure", found.figures), ("limit", found.limits)),
        *(("setting", found.settings), ("doubt", found.doubts)),
    )
    for name, lines in listed:
        for line in lines:
            say(f"  {name}  {line}")
    for step in found.steps:
        at = at_the_wall(step.at, zone)
        say(f"{at:%Y-%m-%d %H:%M:%S}  {step.by}  {step.kind}: {step.said}")
        if step.was:
            say(f"      was: {step.was}")
        if step.reason:
            say(f"      why: {step.reason}")

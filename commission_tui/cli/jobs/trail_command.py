"""Where a figure of the document comes from, entry by entry."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from commission_tui.cli.options import json_option, on_job
from commission_tui.cli.output import emitted, say

if TYPE_CHECKING:
    from commission_tui.logbook.job import OpenJob


@click.command("trail")
@on_job
@click.argument("what", nargs=-1, required=True)
@json_option
def trail(opened: OpenJob, what: tuple[str, ...]) -> None:
    """Print the trail of a figure: every reading, correction, limit and setting behind it.

    WHAT is a check by id, title or short name, and after it any of its fields, places, figures or
    limits; or fault and its number.
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

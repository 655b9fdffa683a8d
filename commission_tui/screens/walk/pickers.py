"""Where to go on the walk: any check, any place of a check, by typing a part of its name."""

from __future__ import annotations

from commission_tui.checks.model.types import Verdict
from commission_tui.figures import reading_text
from commission_tui.logbook.job import OpenJob
from commission_tui.screens.terminal.styled_text import Glyphs, verdict_part
from commission_tui.screens.walk.route import Route
from commission_tui.screens.widgets.picker import Choice, Picker

PATH = "another order of the cabinets"


def check_picker(job: OpenJob, at: str, glyphs: Glyphs) -> Picker:
    """Offer every check with its verdict; it is found by its stage and by what it asks as well."""
    choices = [
        Choice(
            check.id,
            (verdict_part(job.outcome(check.id).verdict, glyphs), (f"  {check.title}", "")),
            also=" ".join(
                (
                    job.state.checklist.stage_of(check.id).title,
                    *(f.label for f in check.fields),
                )
            ),
            name=check.title,
            called=" ".join(check.also),
            last=job.outcome(check.id).verdict is Verdict.NOT_APPLICABLE,
        )
        for check in sorted(job.state.checklist, key=lambda check: _rank(job, check.id))
    ]
    return Picker("Find a check", choices, at=at)


def _rank(job: OpenJob, check: str) -> int:
    """Put what applies and is open first, what does not apply last."""
    verdict = job.outcome(check).verdict
    return {Verdict.OPEN: 0, Verdict.NOT_APPLICABLE: 2}.get(verdict, 1)


def place_picker(job: OpenJob, route: Route) -> Picker:
    """Offer every place of a check with what was read there, and another order of the cabinets."""
    read: dict[str, list[str]] = {}
    for step in route.steps:
        latest = job.state.latest(route.check_id, *step.slot)
        shown = read.setdefault(step.place, [])
        if latest is not None:
            shown.append(reading_text(latest.body.value, latest.body.unit))
    choices = [
        Choice(place, ((place, ""), (f"  {', '.join(shown)}" if shown else "", "muted")))
        for place, shown in read.items()
    ]
    extra = Choice(PATH, ((f"{PATH}; now: {route.path}", "key"),))
    by_cabinet = any(step.field.per == "cabinet" for step in route.steps)
    at = route.step.place if route.step is not None else None
    return Picker("Go to a place", choices, at=at, extra=extra if by_cabinet else None)

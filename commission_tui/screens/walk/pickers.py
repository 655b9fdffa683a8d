"""Picked on the walk: any check, any place of a check, or files of it, by a part of the name."""

from __future__ import annotations

from collections.abc import Callable

from commission_tui.checks.model.types import Verdict
from commission_tui.figures import reading_text
from commission_tui.logbook.job import OpenJob
from commission_tui.screens.photographs.check_tasks import tasks
from commission_tui.screens.shared.job_screen import JobScreen
from commission_tui.screens.terminal.styled_text import Line, verdict_part
from commission_tui.screens.walk.route import Route
from commission_tui.screens.walk.view import Step
from commission_tui.screens.widgets.picker import Choice, Picker, pick
from commission_tui.text import clipped

PATH = "another order of the cabinets"


def check_picker(job: OpenJob, at: str) -> Picker:
    """Offer every check with its verdict; it is found by its stage and by what it asks as well."""
    choices = [
        Choice(
            check.id,
            (verdict_part(job.outcome(check.id).verdict), (f"  {check.title}", "")),
            also=" ".join(
                (
                    job.state.checklist.stage_of(check.id).title,
                    *(f.label for f in check.fields),
                )
            ),
            name=check.title,
            called=" ".join(check.also),
            last=job.outcome(check.id).verdict is Verdict.NOT_APPLICABLE,
            number=number,
        )
        for number, check in sorted(
            enumerate(job.state.checklist), key=lambda one: _rank(job, one[1].id)
        )
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


_TABLE, _PATTERNS, _PHOTOGRAPHS = "table", "patterns", "photographs "


def pick_file(
    screen: JobScreen, check_id: str, step: Step | None, read: Callable[[], None]
) -> None:
    """Ask which file it is about; `read` is called when something was logged."""
    check = screen.job.state.checklist.check(check_id)
    cameras = tasks(screen.job, check, step.place if step is not None else None)

    def picked(key: str) -> None:
        # Here, not at the top: each brings what the other does not need.
        if key == _TABLE:
            from commission_tui.screens.importing.dialog import import_table

            field = step.field.name if step is not None else None
            import_table(screen, check_id, field, read)
        elif key == _PATTERNS:
            from commission_tui.screens.patterns.dialog import PatternsDialog

            screen.app.push_screen(PatternsDialog(screen.job.state.wall, check.pattern))
        else:
            from commission_tui.screens.photographs.dialog import begin

            begin(screen, cameras[int(key.removeprefix(_PHOTOGRAPHS))][1](), read)

    named = f"  this check names: {clipped(check.pattern, 40)}" if check.pattern else ""
    lines: dict[str, Line] = {
        f"{_PHOTOGRAPHS}{number}": (("Read photographs", "strong"), (f"  {title}", "muted"))
        for number, (title, _) in enumerate(cameras)
    }
    meter = "  a meter's CSV or .xlsx, into this check"
    lines[_TABLE] = (("Read a table", "strong"), (meter, "muted"))
    lines[_PATTERNS] = (("Write test patterns", "strong"), (named, "muted"))
    pick(screen, f"Files for {clipped(check.title, 40)}", lines, picked)

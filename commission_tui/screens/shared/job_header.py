"""The two lines on top of every screen of a job: which job, how far, where one is."""

from __future__ import annotations

from commission_tui.checks.model.types import Verdict
from commission_tui.logbook.job import OpenJob
from commission_tui.screens.terminal.styled_text import Line
from commission_tui.text import clipped, counted

TABS = (
    ("f2", "overview", "Overview"),
    ("f3", "walk", "Walk"),
    ("f4", "wall", "Wall"),
    ("f5", "punch", "Punch list"),
    ("f7", "charts", "Charts"),
    ("f8", "handover", "Handover"),
)


def counts(job: OpenJob) -> tuple[int, int, int]:
    """Return checks done, checks that apply, and faults that are open or mended."""
    verdicts = [outcome.verdict for outcome in job.outcomes().values()]
    apply = len(verdicts) - verdicts.count(Verdict.NOT_APPLICABLE)
    faults = [fault for fault in job.state.faults if fault.state in {"open", "mended"}]
    return apply - verdicts.count(Verdict.OPEN), apply, len(faults)


def heading(job: OpenJob, screen: str, width: int) -> tuple[Line, Line]:
    """Return the job's line and the line of screens with the current one marked."""
    done, checks, faults = counts(job)
    right = f"{done} of {counted(checks, 'check')} done, {counted(faults, 'fault')} to close"
    left = clipped(job.state.title.name, width - len(right) - 2)
    gap = " " * max(2, width - len(left) - len(right))
    tabs: list[tuple[str, str]] = []
    for key, name, word in TABS:
        if name == screen:
            tabs.append((f" {key.upper()} {word} ", "here"))
        else:
            tabs += [(f" {key.upper()}", "key"), (f" {word} ", "muted")]
        tabs.append((" ", ""))
    return ((left, "title"), (gap, ""), (right, "muted")), tuple(tabs)

"""What the list of jobs shows."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from commission_tui.checks.checklists.checklist import SHORT_CABINETS, sizes
from commission_tui.checks.checklists.checklist_file import parse_checklist, shipped_files
from commission_tui.errors import InputError, WallFileError
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.logbook import JobSummary, Logbook
from commission_tui.screens.terminal.styled_text import MOMENT, Line
from commission_tui.text import clipped, counted
from commission_tui.wall.model.time_zones import at_the_wall
from commission_tui.wall.model.wall_file import read_wall

_BAR = 10
_WIDE = 200


def job_lines(job: JobSummary, width: int = _WIDE) -> tuple[Line, Line, Line]:
    """Return three lines that fit: name and how far; for whom and where; faults and the last entry."""
    room = width - _BAR - 1
    share = job.done / job.checks if job.checks else 0.0
    full = int(share * _BAR)
    faults = f"{counted(job.open_faults, 'fault') if job.open_faults else 'no fault'} to close"
    indent = " " * (_BAR + 1)
    last = f"last entry {at_the_wall(job.last_entry_at, job.time_zone):{MOMENT}}"
    if job.damage:
        return (
            ((f"damaged    {job.name}", "fail"),),
            ((f"{indent}{job.damage}", "strong"),),
            ((f"{indent}{last}", "muted"),),
        )
    return (
        (
            ("━" * full, "pass"),
            ("─" * (_BAR - full), "muted"),
            (f" {clipped(job.name, room)}", "title"),
        ),
        ((indent + clipped(f"{job.client}; {job.site}, {job.wall}", room), ""),),
        (
            (f"{indent}{job.done} of {counted(job.checks, 'check')} done", "strong"),
            (f"; {faults}; {last}", "muted"),
        ),
    )


def wall_text(typed: str) -> str:
    """Return the text of a wall file that was named.

    Raises
    ------
    InputError, WallFileError
        When nothing was typed, or there is no wall file that can be read.
    """
    typed = typed.strip()
    if not typed:
        raise InputError("wall file: found nothing, expected the path of a wall file")
    try:
        return read_wall(Path(typed).expanduser()).text
    except (RuntimeError, ValueError) as error:
        raise WallFileError(f"{typed[:60]}: cannot be read: {error}") from None


def open_new(logbook: Logbook, by: str, answers: Mapping[str, str]) -> OpenJob:
    """Open a new job from what was typed.

    Raises
    ------
    InputError, WallFileError
        When the wall file cannot be read, or a name is missing.
    """
    text = wall_text(answers["wall"])
    return logbook.create(
        by=by,
        name=answers["name"],
        client=answers["client"],
        integrator=answers["integrator"],
        reference=answers["reference"].strip() or None,
        wall_text=text,
        scope=answers["scope"],
    )


def scope_hint() -> str:
    """Say the sizes of a job that come with the program."""
    known = sizes(parse_checklist(shipped_files()))
    listed_sizes = ", ".join(f"{size} {len(checks)}" for size, checks in known.items())
    return (
        f"checks: {listed_sizes}, less what waits to be settled; short: one evening, up to "
        f"{SHORT_CABINETS} cabinets"
    )

"""What a camera is asked on a full field: faulty LEDs on any of five, seams on white."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Literal, get_args

from commission_tui.logbook.actions.photograph_log import (
    LEAST_CONTRAST,
    Answer,
    Finding,
    leds_shown,
    seams_shown,
    seen_leds,
    seen_seams,
    uneven_seams,
)
from commission_tui.logbook.job import OpenJob
from commission_tui.screens.photographs.field_reader import FieldReader, Part
from commission_tui.screens.photographs.photograph_task import PhotographTask
from commission_tui.text import counted
from commission_tui.wall.model.wall_model import Wall

if TYPE_CHECKING:
    from commission_tui.photo.light.light_reading import Shot
    from commission_tui.photo.perspective import Outlines

FieldShown = Literal["white", "black", "red", "green", "blue"]
FIELDS: tuple[FieldShown, ...] = get_args(FieldShown)
_LINE = "line"
_MOST_SEAMS = 60
_STAND = "Tripod or leaned, no flash, white at two thirds"


def led_task(job: OpenJob, field: FieldShown, check: str | None = None) -> PhotographTask:
    """Find faulty LEDs on a field; for the check of pixel faults its sweep is answered too."""
    white = ", then white" if field == "black" else ""
    return PhotographTask(
        f"LEDs on {field}, from photographs",
        f"First 'coded tiles'{white}, then {field}, from the same place.",
        f"{_STAND}, 3 px of the picture a LED.",
        FieldReader(job, field, partial(_leds, job.state.wall, field), check, sweeps=check is not None),
    )  # fmt: skip


def seam_task(job: OpenJob, check: str | None = None) -> PhotographTask:
    """Find dark and bright seams on white; for the check of seams each one's line is answered too."""
    return PhotographTask(
        "Seams on white, from photographs",
        "First 'coded tiles', then white, from the same place.",
        f"{_STAND}, as near as you look for seams.",
        FieldReader(job, "white", partial(_seams, job.state.wall, check is not None), check),
    )


def _leds(
    wall: Wall, field: FieldShown, path: Path, outlines: Outlines, shot: Shot, lit: Shot | None
) -> Part:
    from commission_tui.photo.close.pixel_report import read_pixels

    report = read_pixels(wall, outlines, shot, field, lit)
    return Part(
        tuple(map(Finding, seen_leds(shot, report))),
        f"{counted(report.looked_at, 'LED')} of {counted(report.cabinets, 'cabinet')}, "
        f"{report.px_a_led:.1f} px a LED",
        "% is how sure each is",
        report.notes,
        leds_shown(wall, outlines, shot, report, path),
        report.swept,
    )


def _seams(
    wall: Wall, answers: bool, path: Path, outlines: Outlines, shot: Shot, _lit: Shot | None
) -> Part:
    from commission_tui.photo.close.seam_profile import read_seams

    report = read_seams(wall, outlines, shot)
    every, strong = uneven_seams(report, 0.0), uneven_seams(report)[:_MOST_SEAMS]
    findings = []
    for fault in seen_seams(wall, outlines, shot, strong):
        line = Answer(_LINE, str(fault.at), fault.kind.removesuffix(" seam"))
        is_seam = answers and fault.at.module is None
        findings.append(Finding(fault, (line,) if is_seam else ()))
    weaker = len(every) - len(strong)
    less = f"{weaker} weaker, most below {LEAST_CONTRAST:.0%} of a pitch's light, are not proposed"
    return Part(
        tuple(findings),
        f"{counted(len(report.seams), 'seam')} and {counted(len(report.modules), 'edge')} of modules",
        "% of one pitch's light, mm of gap or overlap that would make it; a correction of the edges "
        "counts as much",
        (*report.notes, *([less] if weaker else [])),
        seams_shown(wall, outlines, shot, strong, path),
    )

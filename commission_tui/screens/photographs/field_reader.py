"""Photographs of a full field, LEDs on any of five or seams on white: the tiles, then the field from there."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Literal, get_args

from commission_tui.errors import InputError
from commission_tui.logbook.actions.photograph_log import (
    LEAST_CONTRAST,
    Answer,
    PhotographFinding,
    leds_shown,
    log_findings,
    not_logged_yet,
    seams_shown,
    seen_leds,
    seen_seams,
    uneven_seams,
)
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.store.photos import KeptPicture
from commission_tui.progress import Progress
from commission_tui.screens.photographs.dialog import PhotographTask, Proposal
from commission_tui.screens.shared.picture_dialog import Shown
from commission_tui.screens.terminal.styled_text import Line
from commission_tui.text import counted
from commission_tui.wall.model.location import Cell
from commission_tui.wall.model.wall_model import Wall

if TYPE_CHECKING:
    from commission_tui.photo.light.light_reading import Shot
    from commission_tui.photo.perspective import Outlines


FieldShown = Literal["white", "black", "red", "green", "blue"]
FIELDS: tuple[FieldShown, ...] = get_args(FieldShown)
_LINE = "line"
_MOST_SEAMS = 60
_STAND = "Tripod or leaned, no flash, white at two thirds"
SWEPT = "swept"


@dataclass(frozen=True, slots=True)
class FieldPhotograph:
    """What one photograph of the field says."""

    findings: tuple[PhotographFinding, ...]
    looked_at: str
    legend: str
    """What the figures of its findings are."""
    notes: tuple[str, ...]
    whole: KeptPicture
    swept: frozenset[Cell] = frozenset()
    """Cabinets of which nothing can have been missed."""


PhotographReader = Callable[[Path, "Outlines", "Shot", "Shot | None"], FieldPhotograph]
"""Reads a photograph by where its cabinets are; of a dark field with the lit one beside."""


@dataclass
class _Series:
    """How far a series of pictures is read: the tiles last seen, the lit wall after them, what was found."""

    tiles: tuple[Path, Outlines] | None = None
    lit: tuple[Path, Shot] | None = None
    parts: dict[object, FieldPhotograph] = field(default_factory=dict)


class FieldReader:
    """Reads pictures by the tiles before them; which were the tiles is found, not asked.

    What was read once is held, by the files that it was read from.
    """

    def __init__(
        self,
        job: OpenJob,
        shown: str,
        look: PhotographReader,
        check: str | None = None,
        *,
        sweeps: bool = False,
    ) -> None:
        """Read for a check; `sweeps` says that it asks whether the whole wall was swept on the field."""
        self._job, self._field, self._look = job, shown, look
        self._check, self._sweeps = check, sweeps
        self._outlines: dict[object, Outlines | None] = {}
        self._parts: dict[object, FieldPhotograph] = {}

    def __call__(self, paths: Sequence[Path], progress: Progress) -> Proposal:
        """Propose what the pictures show, each piece of the wall by its own tiles.

        Raises
        ------
        InputError
            As what looks at the last picture; when no picture before it shows the tiles.
        """
        series, notes, wanted = _Series(), [], ""
        for number, path in enumerate(paths):
            progress(number, len(paths))
            try:
                wanted = self._take_in(path, series)
            except InputError as error:
                if path == paths[-1]:
                    raise
                notes.append(f"left out: {error}")
        return self._proposal(tuple(series.parts.values()), notes, wanted)

    def _take_in(self, path: Path, series: _Series) -> str:
        """Read one more picture of a series; return what is to be photographed next, if anything."""
        from commission_tui.photo.close.pixel_report import shows_lit
        from commission_tui.photo.shot_files import shot_from

        if (outlines := self._tiles(path)) is not None:
            series.tiles, series.lit = (path, outlines), None
            then = "white" if self._field == "black" else self._field
            return f"{path.name}: the tiles are read. Show {then}, and take it from the same place."
        if series.tiles is None:
            raise InputError(
                f"{path.name}: found no marks, expected first a picture of the pattern 'coded tiles'"
            )
        (tiles, outlines), lit = series.tiles, series.lit
        key = _stamp(tiles), _stamp(lit[0]) if lit else None, _stamp(path)
        if key not in self._parts:
            shot = shot_from(path, linear=False)
            if self._field == "black" and shows_lit(self._job.state.wall, outlines, shot):
                series.lit = path, shot
                return f"{path.name}: white is read. Show black, with the same exposure."
            self._parts[key] = self._look(path, outlines, shot, lit[1] if lit else None)
        series.parts[key] = self._parts[key]
        return ""

    def _proposal(
        self, parts: Sequence[FieldPhotograph], notes: Sequence[str], wanted: str
    ) -> Proposal:
        findings, known = self._findings(parts)
        evidence = tuple(part.whole for part in parts)
        lines: list[Line] = [((wanted, "strong"),)] if wanted else []
        if parts:
            faults = counted(sum(one.fault is not None for one in findings), "fault")
            where = "; ".join(dict.fromkeys(part.looked_at for part in parts))
            lines.append(
                ((f"{faults} in {where}", "strong"),
                 (f"; {known} logged already" if known else "", "muted"))
            )  # fmt: skip
        if any(one.fault is not None for one in findings):
            lines += [((part.legend, "muted"),) for part in parts[:1]]
        all_notes = [*(note for part in parts for note in part.notes), *notes]
        lines += [((note, "marginal"),) for note in dict.fromkeys(all_notes)]
        lines += self._left(parts)
        return proposal_of(self._job, findings, evidence, lines, self._field, self._check)

    def _findings(self, parts: Sequence[FieldPhotograph]) -> tuple[list[PhotographFinding], int]:
        """Return each thing once, less faults that stand on the punch list; and how many do."""
        seen = {
            (str(one.fault.at), one.fault.kind): one
            for part in parts
            for one in part.findings
            if one.fault is not None
        }
        faults = [one.fault for one in seen.values() if one.fault is not None]
        new = {id(fault) for fault in not_logged_yet(self._job.state, faults)}
        found = [
            one if id(one.fault) in new else PhotographFinding(answers=one.answers)
            for one in seen.values()
        ]
        findings = [one for one in found if one.fault is not None or one.answers]
        if self._sweeps and parts and not self._not_swept(parts):
            answer = Answer(SWEPT, self._field, value=True)
            findings.insert(0, PhotographFinding(answers=(answer,)))
        return findings, len(faults) - len(new)

    def _not_swept(self, parts: Sequence[FieldPhotograph]) -> list[Cell]:
        swept = {cell for part in parts for cell in part.swept}
        return [cell for cell in self._job.state.wall.cabinets if cell not in swept]

    def _left(self, parts: Sequence[FieldPhotograph]) -> list[Line]:
        """Say what is lacking before the sweep is answered; nothing is guessed of what was not seen."""
        left = self._not_swept(parts)
        if not self._sweeps or not parts or not left:
            return []
        open_for = f"The sweep stays open: {counted(len(left), 'cabinet')} not looked at whole"
        return [((f"{open_for}; next its tiles, then {self._field}.", ""),)]

    def _tiles(self, path: Path) -> Outlines | None:
        """Return where a picture has the cabinets; None when it shows no tiles."""
        from commission_tui.photo.picture_file import read_picture
        from commission_tui.photo.tile_reading import read_tiles

        key = _stamp(path)
        if key not in self._outlines:
            read_picture(path)  # what cannot be read at all is said as it is
            try:
                corners = read_tiles(self._job.state.wall, [path], own=True).pictures[0].corners
            except InputError:
                corners = {}
            self._outlines[key] = corners or None
        return self._outlines[key]


def proposal_of(
    job: OpenJob,
    findings: Sequence[PhotographFinding],
    evidence: Sequence[KeptPicture],
    lines: Sequence[Line],
    seen_on: str,
    check: str | None,
) -> Proposal:
    """Propose findings one by one, each beside its piece of the picture, or else the last of all."""

    def log(left_out: frozenset[int]) -> str:
        taken = [one for number, one in enumerate(findings) if number not in left_out]
        return log_findings(job, taken, evidence, seen_on=seen_on, check=check)

    shown = [one.fault.piece if one.fault else evidence[-1] for one in findings] or evidence[-1:]
    return Proposal(
        tuple(lines),
        log if findings else None,
        items=tuple(_item(one, job, check) for one in findings),
        pictures=tuple(Shown(one.content, one.name, ((one.caption, "strong"),)) for one in shown),
    )


def _item(one: PhotographFinding, job: OpenJob, check: str | None) -> Line:
    """Say a finding in one line."""
    if one.fault is not None:
        fault = one.fault
        return (f"{fault.at}", "strong"), (f"  {fault.kind}", ""), (f"  {fault.brief}", "muted")
    answer = one.answers[0]
    label = job.state.checklist.check(check or "").label_of(answer.field)
    value = ("yes" if answer.value else "no") if isinstance(answer.value, bool) else answer.value
    return (f"{answer.place}", "strong"), (f"  {label}: ", ""), (f"{value}", "here")


def _stamp(path: Path) -> tuple[str, int, int]:
    """Name a file as it is now."""
    try:
        stat = path.stat()
    except OSError as error:
        raise InputError(f"{path}: cannot be read: {error.strerror}") from None
    return str(path), stat.st_size, stat.st_mtime_ns


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
) -> FieldPhotograph:
    from commission_tui.photo.close.pixel_report import read_pixels

    report = read_pixels(wall, outlines, shot, field, lit)
    return FieldPhotograph(
        tuple(map(PhotographFinding, seen_leds(shot, report))),
        f"{counted(report.looked_at, 'LED')} of {counted(report.cabinets, 'cabinet')}, "
        f"{report.px_a_led:.1f} px a LED",
        "% is how sure each is",
        report.notes,
        leds_shown(wall, outlines, shot, report, path),
        report.swept,
    )


def _seams(
    wall: Wall, answers: bool, path: Path, outlines: Outlines, shot: Shot, _lit: Shot | None
) -> FieldPhotograph:
    from commission_tui.photo.close.seam_profile import read_seams

    report = read_seams(wall, outlines, shot)
    every, strong = uneven_seams(report, 0.0), uneven_seams(report)[:_MOST_SEAMS]
    findings = []
    for fault in seen_seams(wall, outlines, shot, strong):
        line = Answer(_LINE, str(fault.at), fault.kind.removesuffix(" seam"))
        is_seam = answers and fault.at.module is None
        findings.append(PhotographFinding(fault, (line,) if is_seam else ()))
    weaker = len(every) - len(strong)
    less = f"{weaker} weaker, most below {LEAST_CONTRAST:.0%} of a pitch's light, are not proposed"
    return FieldPhotograph(
        tuple(findings),
        f"{counted(len(report.seams), 'seam')} and {counted(len(report.modules), 'edge')} of modules",
        "% of one pitch's light, mm of gap or overlap that would make it; a correction of the edges "
        "counts as much",
        (*report.notes, *([less] if weaker else [])),
        seams_shown(wall, outlines, shot, strong, path),
    )

"""A film of the stepped line, read into the check of the scan direction."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from functools import partial
from pathlib import Path

from commission_tui.errors import InputError
from commission_tui.logbook.actions.photograph_log import Answer, PhotographFinding
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.store.photos import KeptPicture
from commission_tui.photo.extra import FILMS
from commission_tui.progress import Progress
from commission_tui.screens.photographs.dialog import PhotographTask, Proposal
from commission_tui.screens.photographs.field_reader import proposal_of
from commission_tui.screens.terminal.styled_text import Line
from commission_tui.text import counted, listed
from commission_tui.wall.mapping.scan import ScanReading
from commission_tui.wall.model.location import Cell, Location

_ALL_RIGHT, _LINE_DOES, _RIGHT = "all_right", "line_does", "right way"
_WORST_FIRST = ("comb", "jumps", "backwards", _RIGHT)
_CAUTION = (
    "A moving bright line can hurt people with photosensitive epilepsy: warn the room, and keep it "
    "off a wall that an audience looks at."
)


def line_task(job: OpenJob, check: str) -> PhotographTask:
    """Read which way the line runs through every module."""
    return PhotographTask(
        "The stepped line, from a film",
        "Show 'stepping line in every cabinet', looped; film two rounds.",
        "Tripod, all four corners in, the room dark, at most 15 minutes.",
        partial(_read, job, check),
        _CAUTION,
        FILMS,
    )


def _read(job: OpenJob, check: str, paths: Sequence[Path], progress: Progress) -> Proposal:
    from commission_tui.photo.line_reading import read_line

    path = paths[-1]
    read = read_line(job.state.wall, path, progress)
    if not read.readings:
        raise InputError(f"{path}: found no module in which a line is seen: film in the dark")
    does = _by_cabinet(read.readings)
    unread = {at.cell for at in read.not_read}
    findings = [
        PhotographFinding(answers=(answer,))
        for answer in _answers(job, check, does, whole=not unread)
    ]
    total = len(read.readings) + len(read.not_read)
    said = f"{len(read.readings)} of {counted(total, 'module')} read"
    lines: list[Line] = [((said, "strong"),)]
    if unread:
        named = listed([str(at) for at in read.not_read], 8, "; ")
        lines.append(((f"Not read (dark, hidden or too dim): {named}", "marginal"),))
        if len(findings) == 0:
            lines.append((("What was read runs the right way; the wall is not answered for.", ""),))
    evidence = _shown(job, path, does, unread, said)
    return proposal_of(job, findings, [evidence], lines, "stepping line", check)


def _by_cabinet(readings: Mapping[Location, ScanReading]) -> dict[Cell, str]:
    """Return what the line does in each cabinet, the worst of its modules and of both ways."""
    does: dict[Cell, str] = {}
    for at, reading in readings.items():
        if at.cell is not None:
            seen = {does.get(at.cell, _RIGHT), reading.across, reading.down}
            does[at.cell] = next(word for word in _WORST_FIRST if word in seen)
    return does


def _answers(job: OpenJob, check: str, does: Mapping[Cell, str], *, whole: bool) -> list[Answer]:
    """Answer for the wall where all of it was read, or one cabinet is wrong; and for such cabinets."""
    wrong = any(word != _RIGHT for word in does.values())
    found = []
    if wrong or whole:
        found.append(Answer(_ALL_RIGHT, "wall", value=not wrong))
    for cell, word in sorted(does.items()):
        stands = job.state.latest(check, _LINE_DOES, str(cell))
        if word != _RIGHT or (stands is not None and stands.body.value != _RIGHT):
            found.append(Answer(_LINE_DOES, str(cell), word))
    return found


def _shown(
    job: OpenJob, path: Path, does: Mapping[Cell, str], unread: set[Cell | None], said: str
) -> KeptPicture:
    """Return the map of what was read, with the film's hash: the film itself is not kept."""
    from commission_tui.photo.rectified import LEGEND, CellLabel, WallSheet, beside_each_other

    sheet = WallSheet(job.state.wall)
    words = {
        cell: CellLabel("as it should be" if word == _RIGHT else "apart", word)
        for cell, word in does.items()
        if word != _RIGHT or cell not in unread
    }
    with path.open("rb") as file:
        digest = hashlib.file_digest(file, "sha256").hexdigest()
    its_map = sheet.map_of(words)
    caption = (
        f"From a film: what the stepped line does in each cabinet ({LEGEND}). {said}. "
        f"Of {path.name} as taken, which is not kept: SHA-256 {digest}"
    )
    return KeptPicture(
        f"line-of-{path.stem}.jpg", beside_each_other(its_map[:, :0], its_map), caption
    )

"""Photographs of the tiles: a folder watched, each picture read as it comes, what was read proposed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from commission_tui.errors import InputError
from commission_tui.logbook.actions.mapping_log import is_right, seen_text
from commission_tui.logbook.actions.photograph_log import log_tiles
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.store.photos import KeptPicture, read_photo
from commission_tui.progress import Progress
from commission_tui.screens.photographs.dialog import PhotographTask, Proposal
from commission_tui.screens.shared.picture_dialog import Shown
from commission_tui.screens.terminal.styled_text import Line
from commission_tui.text import counted
from commission_tui.wall.mapping.observed.observation import Observation
from commission_tui.wall.model.location import Cell

if TYPE_CHECKING:
    from commission_tui.photo.rectified import CellLabel

_LONGEST_CAPTION = 2000
_HOW_SURE = (
    "a mark that is not read whole is not looked at; shifts below two camera pixels are not told"
)


def tile_task(job: OpenJob) -> PhotographTask:
    """Read which tile every cabinet shows into the mapping check."""
    return PhotographTask(
        "Photographs of the tiles",
        "Show the pattern 'coded tiles'.",
        "Tripod or leaned, no flash, white at two thirds, all four corners in.",
        partial(read_photographs, job),
    )


def _lines(
    readings: Mapping[Cell, Observation], pictures: Sequence[KeptPicture], notes: Sequence[str]
) -> tuple[Line, ...]:
    """Say what would be logged: how much was read, each exception, what is kept."""
    read = {cell: reading for cell, reading in readings.items() if reading.seen is not None}
    wrong = {cell: reading for cell, reading in read.items() if not is_right(cell, reading)}
    lines: list[Line] = [
        ((f"{len(read)} of {counted(len(readings), 'cabinet')} read", "strong"),
         ("; the others stay as they are" if len(read) < len(readings) else "", "muted"))
    ]  # fmt: skip
    for cell, reading in wrong.items():
        turned = f", arrow turned by {reading.angle_deg}°" if reading.angle_deg else ""
        mirrored = ", mirrored" if reading.mirrored else ""
        shows = f" shows {seen_text(reading)}{turned}{mirrored}"
        lines.append(((f"{cell}", "strong"), (shows, "")))
    if read and not wrong:
        lines.append((("Every cabinet that was read shows its own tile.", "pass"),))
    *taken, shown = pictures
    lines += [((note, "marginal"),) for note in notes]
    lines += [((f"{one.name} is kept: {one.caption}", "muted"),) for one in taken]
    return *lines, ((f"So is {shown.name}, shown here", "muted"),)


def read_photographs(job: OpenJob, paths: Sequence[Path], progress: Progress) -> Proposal:
    """Read pictures, as they overlap; each is kept, and the wall as it hangs beside the map made of them.

    Raises
    ------
    InputError
        As `read_tiles`.
    """
    from commission_tui.photo.picture_file import how_taken, read_picture, source_words
    from commission_tui.photo.rectified import LEGEND, WallSheet, beside_each_other
    from commission_tui.photo.tile_reading import read_tiles

    wall, notes = job.state.wall, list[str]()
    try:
        found = read_tiles(wall, paths, progress=progress)
    except InputError as error:
        if len(paths) == 1:
            raise
        # One that nobody can read, taken by mistake, is not to stand in the way of those after it.
        paths = paths[-1:]
        notes.append(f"only {paths[-1].name} is read: {error}")
        try:
            found = read_tiles(wall, paths, progress=progress)
        except InputError:
            raise error from None
    of = f"{found.read} of {counted(len(found.readings), 'cabinet')} read"
    sheet = WallSheet(wall)
    wall_picture, kept, sources = sheet.picture(), [], []
    for path, sighting in zip(paths, found.pictures, strict=True):
        picture = read_picture(path)
        sheet.lay_out(wall_picture, picture.pixels, sighting.corners, linear=picture.linear)
        sources.append(source_words(path))
        said = filter(None, (f"Tiles from a photograph: {of}", how_taken(picture)))
        kept.append(read_photo(path, "; ".join(said)))
    its_map = sheet.map_of({cell: _label(cell, r) for cell, r in found.readings.items()})
    how_well = "; ".join((of, _HOW_SURE, *found.notes))
    kept.append(
        KeptPicture(
            f"wall-of-{Path(kept[0].name).stem}.jpg",
            beside_each_other(wall_picture, its_map),
            f"From a photograph: the wall as it hangs, and what was read ({LEGEND}). {how_well}. "
            f"Of {'; '.join(sources)}"[:_LONGEST_CAPTION],
        )
    )
    title = (("The wall as it hangs, and what was read", "strong"),)
    column = beside_each_other(wall_picture, its_map, narrow=True)
    shown = Shown(column, kept[-1].name, title)

    def log(_: frozenset[int]) -> str:
        return counted(log_tiles(job, found.readings, kept), "cabinet")

    lines = _lines(found.readings, kept, [*notes, *found.notes])
    return Proposal(lines, log, pictures=(shown,))


def _label(cell: Cell, reading: Observation) -> CellLabel:
    """Return what the map says of a cabinet."""
    from commission_tui.photo.rectified import CellLabel

    if reading.seen is None:
        return CellLabel("not looked at")
    if reading.seen == "dark":
        return CellLabel("dark", "dark")
    if is_right(cell, reading):
        return CellLabel("as it should be", str(cell))
    turned = f" {reading.angle_deg}°" if reading.angle_deg else ""
    return CellLabel(
        "apart", f"{seen_text(reading)}{turned}{' mirrored' if reading.mirrored else ''}"
    )

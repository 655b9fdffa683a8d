"""Each picture of a folder to what was logged nearest in time, or at the cabinet whose mark it shows."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from statistics import median

import numpy as np
from numpy.typing import NDArray

from commission_tui.errors import InputError
from commission_tui.files import read_bounded
from commission_tui.photo.evening.clock_code import read_clock
from commission_tui.photo.extra import PICTURES
from commission_tui.photo.marks.faces import Faces
from commission_tui.photo.marks.spotting import grey_of, spot
from commission_tui.photo.picture_file import at_most, read_picture
from commission_tui.progress import Progress, unwatched
from commission_tui.text import counted
from commission_tui.wall.model.location import Cell
from commission_tui.wall.model.wall_model import Wall

_MOST_FILES = 2000
_LARGEST_BYTES = 400_000_000
_SEEN_AT_PX = (400, 1600)
_MOST_CABINETS = 3
"""A picture that shows more marks is one of the wall, not of a cabinet."""


@dataclass(frozen=True)
class Taken:
    """A picture of the folder."""

    path: Path
    sha256: str
    """Of the file as it is."""
    at: datetime | None
    """By the camera's own clock, without a time zone."""
    camera: str
    """As the file names it."""
    clock: datetime | None
    """The time on the clock that it shows."""
    cells: tuple[Cell, ...]
    """Cabinets whose marks it shows, none when they are many."""


@dataclass(frozen=True)
class Moment:
    """Something that was logged: when, what in words, and where a picture of it goes."""

    at: datetime
    what: str
    about: str | None = None
    """The fault's entry."""
    check: str | None = None
    cell: Cell | None = None


@dataclass(frozen=True)
class Proposal:
    """A picture and what it is proposed for; no moment when it belongs to nothing."""

    taken: Taken
    at: datetime | None
    moment: Moment | None
    why: str


def read_folder(
    wall: Wall, folder: Path, progress: Progress = unwatched
) -> tuple[tuple[Taken, ...], tuple[str, ...]]:
    """Read a folder's pictures; the second is one line for each reason why one cannot be.

    Raises
    ------
    InputError
        When there is no such folder, no picture in it, or more than 2,000.
    """
    try:
        paths = sorted(path for path in folder.iterdir() if path.suffix.lower() in PICTURES)
    except OSError as error:
        raise InputError(f"{folder}: cannot be read: {error.strerror}") from None
    if not paths:
        raise InputError(
            f"{folder}: found no picture, expected the telephone's files, copied there"
        )
    if len(paths) > _MOST_FILES:
        raise InputError(
            f"{folder}: found {counted(len(paths), 'picture')}, expected at most {_MOST_FILES}: copy "
            "those of the evening alone"
        )
    found, broken = [], []
    for number, path in enumerate(paths):
        progress(number, len(paths))
        try:
            found.append(_taken(wall, path))
        except InputError as error:
            broken.append(str(error))
    return tuple(found), tuple(dict.fromkeys(broken))  # of a library that lacks, once


def clock_offsets(pictures: Sequence[Taken]) -> Mapping[str, timedelta]:
    """Return, for each camera that saw the clock, what to add to its own time to get UTC."""
    found: dict[str, list[float]] = {}
    for picture in pictures:
        if picture.clock is not None and picture.at is not None:
            off = picture.clock - picture.at.replace(tzinfo=UTC)
            found.setdefault(picture.camera, []).append(off.total_seconds())
    return {camera: timedelta(seconds=median(offs)) for camera, offs in found.items()}


def matched(
    pictures: Sequence[Taken], moments: Sequence[Moment], within: timedelta
) -> tuple[Proposal, ...]:
    """Propose for each picture what it belongs to of all that was logged; farther away in time nothing.

    A camera that saw the clock is set right by it; of any other the clock is taken to show this
    computer's local time.
    """
    offsets = clock_offsets(pictures)
    return tuple(_proposal(picture, offsets, moments, within) for picture in pictures)


def _proposal(
    picture: Taken,
    offsets: Mapping[str, timedelta],
    moments: Sequence[Moment],
    within: timedelta,
) -> Proposal:
    at = None
    if picture.at is not None:
        off = offsets.get(picture.camera)
        at = picture.at.astimezone(UTC) if off is None else picture.at.replace(tzinfo=UTC) + off
    if picture.clock is not None:
        return Proposal(picture, at, None, "shows the clock")
    there = [m for m in moments if m.about is not None and m.cell in picture.cells]
    if there and (at is not None or len(there) == 1):
        moment = there[0] if at is None else min(there, key=lambda m: abs(m.at - at))
        return Proposal(picture, at, moment, f"shows the mark of {moment.cell}")
    if at is None:
        return Proposal(picture, at, None, "its file does not say when it was taken")
    near = min(moments, key=lambda m: abs(m.at - at), default=None)
    if near is None or abs(near.at - at) > within:
        minutes = within.total_seconds() / 60
        return Proposal(picture, at, None, f"nothing was logged within {minutes:g} minutes of it")
    return Proposal(picture, at, near, _away(at - near.at))


def _away(gap: timedelta) -> str:
    seconds = round(abs(gap.total_seconds()))
    length = f"{seconds} s" if seconds < 90 else f"{round(seconds / 60)} min"
    return f"taken {length} {'after' if gap >= timedelta(0) else 'before'}"


def _taken(wall: Wall, path: Path) -> Taken:
    content = read_bounded(path, _LARGEST_BYTES, "a photograph", InputError)
    picture = read_picture(path)
    grey = grey_of(picture.pixels, linear=picture.linear)
    clock = read_clock(grey)
    return Taken(
        path,
        hashlib.sha256(content).hexdigest(),
        _own_time(picture.taken),
        picture.camera,
        clock,
        () if clock is not None else _cells(wall, grey),
    )


def _cells(wall: Wall, grey: NDArray[np.uint8]) -> tuple[Cell, ...]:
    """Return the few cabinets whose marks fill a picture, looked for the largest first."""
    faces = wall.once(Faces)
    for side in _SEEN_AT_PX:
        small = at_most(grey, side)
        # A mark that fills the picture is taken for its frame; in a wider one it is a mark.
        decoder, found, _ = spot(np.pad(small, max(small.shape) // 3))
        own = faces.are_own(found.number)
        if own.any():
            tile, _ = faces.tiles(found[own], decoder)
            cells = sorted({faces.cells[int(number)] for number in tile if number >= 0})
            return tuple(cells) if len(cells) <= _MOST_CABINETS else ()
        if small.shape == grey.shape:
            break
    return ()


def _own_time(text: str) -> datetime | None:
    try:
        return datetime.strptime(text[:19], "%Y:%m:%d %H:%M:%S")
    except ValueError:
        return None

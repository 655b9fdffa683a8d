"""From photographs of the pattern *coded tiles* to what every cabinet shows."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from commission_tui.errors import InputError
from commission_tui.photo.marks.decoding import TURNS
from commission_tui.photo.marks.faces import Faces
from commission_tui.photo.marks.growth import grown
from commission_tui.photo.marks.lattice import Hung, Placing, joined, placings, relative_places
from commission_tui.photo.marks.sighting import Sighting, Spotted
from commission_tui.photo.marks.spotting import grey_of, spot
from commission_tui.photo.picture_file import Pixels, read_picture
from commission_tui.progress import Progress, unwatched
from commission_tui.text import counted, listed
from commission_tui.wall.mapping.observed.observation import Observation
from commission_tui.wall.model.location import Cell
from commission_tui.wall.model.wall_model import Wall

_FEWEST = 3
_ENOUGH = 0.25
_CLEARLY = 2.0
_MOST = 0.5
_MIXED = 0.1
_FOREIGN = 3
_BY_CHANCE = 2
"""Marks that grass and the like make, and that are no sign of another wall."""


@dataclass(frozen=True)
class TileReadings:
    """What photographs show of a wall."""

    readings: Mapping[Cell, Observation]
    """Every cabinet; `seen` is None where nothing was read."""
    placed_by: str
    """``shape`` when the lit cabinets fit the wall in one way only, ``marks`` when several fit and
    in one of them most marks are in their own places, ``own`` when that was given."""
    notes: tuple[str, ...]
    pictures: tuple[Sighting, ...]
    """Where each picture has the cabinets, in the order in which the pictures were given."""

    @property
    def read(self) -> int:
        """How many cabinets show a tile or are dark."""
        return sum(reading.seen is not None for reading in self.readings.values())


def read_tiles(
    wall: Wall,
    paths: Sequence[Path],
    *,
    rear: bool = False,
    own: bool = False,
    progress: Progress = unwatched,
) -> TileReadings:
    """Read photographs of the pattern *coded tiles*.

    Several pictures overlap. Those taken from the `rear`, of a wall that can be seen through, are turned
    round left to right before anything is read, and so are the places given for them. Where cabinets are
    known to show their `own` tiles, what the marks say tells where they hang when a part of the wall is
    in the picture.

    Raises
    ------
    InputError
        When a picture cannot be read, shows no mark or another wall's, or when it cannot be told
        where on the wall the cabinets hang.
    """
    spotted = []
    for number, path in enumerate(paths):
        progress(number, len(paths))
        picture = read_picture(path)
        spotted.append(_spotted(wall, str(path), picture.pixels, linear=picture.linear, rear=rear))
    return _read(wall, spotted, own=own)


def _spotted(wall: Wall, name: str, pixels: Pixels, *, linear: bool, rear: bool) -> Spotted:
    """Find what one picture shows of a wall.

    Raises
    ------
    InputError
        When there is no mark, or only those of another wall.
    """
    faces = wall.once(Faces)
    grey = grey_of(pixels, linear=linear)
    if rear:
        grey = np.ascontiguousarray(grey[:, ::-1])
    decoder, read, smaller = spot(grey)
    if not len(read.number):
        raise _no_mark(name)
    decoder.learn(read)
    read = read[read.apart <= decoder.most_apart]
    own = faces.are_own(read.number)
    if not own.any() and len(own) <= _BY_CHANCE:
        raise _no_mark(name)
    if not own.all():
        foreign = int((~own).sum())
        if foreign > max(_FOREIGN, own.sum()) or not own.any():
            raise InputError(
                f"{name}: found {counted(foreign, 'mark')} that {wall.name} does not have, expected "
                "the pattern drawn from this wall's design: write it anew"
            )
    mirrored = float((read.turn[own] >= len(TURNS) // 2).mean())
    if own.sum() >= _FEWEST and not _MIXED < mirrored < 1 - _MIXED:
        decoder.mirrored = mirrored > _ENOUGH
    tile, squares = faces.tiles(read[own], decoder)
    squares, tile = grown(wall, squares[tile >= 0], tile[tile >= 0], decoder)
    found = Spotted(name, grey, decoder, squares, faces.nodes(tile, squares), smaller)
    return replace(
        found, squares=replace(squares, quads=found.edged(squares.quads, faces.leds(tile)))
    )


def _no_mark(name: str) -> InputError:
    return InputError(
        f"{name}: found no mark, expected a sharp picture of the pattern 'coded tiles' with at "
        "least 24 camera pixels a cabinet: stand nearer, no flash"
    )


def _read(wall: Wall, pictures: Sequence[Spotted], *, own: bool) -> TileReadings:
    groups = sorted(
        (
            (number, places, picture.nodes.tile)
            for number, picture in enumerate(pictures)
            for places in relative_places(wall, picture.nodes)
        ),
        key=lambda group: -len(group[1]),
    )
    if not groups:
        raise InputError(
            f"{pictures[0].name}: found marks but no pair that names a cabinet of {wall.name}, "
            "expected a sharper picture: stand nearer"
        )
    part = joined(groups)[0]
    merged: dict[tuple[int, int], int] = {}
    for number, places, (x, y) in part:
        for i, (right, down) in places.items():
            merged.setdefault((right + x, down + y), int(pictures[number].nodes.tile[i]))
    placing, by = _placed(wall, list(merged.items()), pictures, own=own)
    notes = []
    if by == "marks":
        notes.append(
            "what is lit fits the wall in more than one place; taken is the one where most cabinets "
            "show their own tile: look which side is dark or not in the picture"
        )
    hung = wall.once(Hung)
    anchors: dict[int, dict[int, Cell]] = {}
    for number, places, (x, y) in part:
        for i, (right, down) in places.items():
            cell = hung.at(right + x + placing.shift[0], down + y + placing.shift[1])
            if cell is not None:
                anchors.setdefault(number, {}).setdefault(i, cell)
    sightings = []
    for number, picture in enumerate(pictures):
        sighting = Sighting.of(wall, picture, anchors.get(number, {}))
        if sighting is None:
            sighting = Sighting(picture.name, picture.size)
            notes.append(
                f"{picture.name}: its place on the wall cannot be told, not used: take pictures that "
                "overlap by two cabinets"
            )
        sightings.append(sighting)
    readings, twice = _merged(wall, sightings)
    if twice:
        notes.append(f"read differently in two pictures, so not looked at: {listed(twice, 8)}")
    if not any(isinstance(reading.seen, Cell) for reading in readings.values()):
        raise InputError(
            f"{pictures[0].name}: found {counted(len(merged), 'mark')}, too few to tell where the "
            f"{counted(len(wall.cabinets), 'cabinet')} hang: stand nearer, all four corners in"
        )
    notes += [note for sighting in sightings for note in sighting.notes]
    return TileReadings(readings, by, tuple(dict.fromkeys(notes)), tuple(sightings))


_TURNS_BACK = {
    90: ("90 degrees anticlockwise", ((0, 1), (-1, 0))),
    180: ("by 180 degrees", ((-1, 0), (0, -1))),
    270: ("90 degrees clockwise", ((0, -1), (1, 0))),
}
"""By the degrees clockwise in which its marks stand, how a picture is to be turned, and how far right and
down of another a place then is: of right and down before."""


def _turned_back(
    wall: Wall, part: Sequence[tuple[tuple[int, int], int]], pictures: Sequence[Spotted]
) -> str:
    """Say how pictures are to be turned so that what is on them hangs as the wall does; nothing if by no turn."""
    turns = Counter(TURNS[turn][0] for picture in pictures for turn in picture.squares.turn)
    turned, (right, down) = _TURNS_BACK.get(turns.most_common(1)[0][0], ("", ((1, 0), (0, 1))))
    places = [
        ((right[0] * x + right[1] * y, down[0] * x + down[1] * y), tile) for (x, y), tile in part
    ]
    return turned if turned and placings(wall, places) else ""


def _placed(
    wall: Wall,
    part: Sequence[tuple[tuple[int, int], int]],
    pictures: Sequence[Spotted],
    *,
    own: bool,
) -> tuple[Placing, str]:
    """Say where on the wall the cabinets that were read hang, by their shape or else by what most say.

    Raises
    ------
    InputError
        When no place or no single place fits.
    """
    found, name = placings(wall, part), pictures[0].name
    if not found:
        if turned := _turned_back(wall, part, pictures):
            raise InputError(
                f"{name}: found {counted(len(part), 'cabinet')} that hang as {wall.name} does when the "
                f"picture is turned {turned}: turn it so, save it and read it again"
            )
        raise InputError(
            f"{name}: found {counted(len(part), 'cabinet')} that hang as {wall.name} does not, "
            "expected its rows and columns: is this its revision, and no other wall in the picture?"
        )
    first = found[0]
    rivals = [place for place in found if place.fitting == first.fitting]
    by_marks = max(found, key=lambda place: place.at_home)
    if own and by_marks.at_home > _MOST * len(part):
        return by_marks, "own"
    if len(rivals) == 1 and len(part) >= _FEWEST:
        return first, "shape"
    others = max((place.at_home for place in rivals if place is not by_marks), default=0)
    if (
        by_marks.at_home >= max(_FEWEST, _ENOUGH * len(part))
        and by_marks.at_home > _CLEARLY * others
    ):
        return by_marks, "marks"
    raise InputError(
        f"{name}: found {counted(len(part), 'cabinet')} of {len(wall.cabinets)}, and they fit in "
        f"{counted(len(rivals), 'place')}: take all four corners of the wall in, or pictures that "
        "overlap by two cabinets"
    )


def _merged(
    wall: Wall, sightings: Sequence[Sighting]
) -> tuple[dict[Cell, Observation], tuple[Cell, ...]]:
    """Return what all pictures show, and the cabinets that two pictures show differently."""
    readings, twice = dict.fromkeys(wall.cabinets, Observation()), []
    for cell in wall.cabinets:
        seen = [s.readings[cell] for s in sightings if cell in s.readings]
        # Dark in one picture and lit in another: it flickers, or someone stood there.
        kinds = Counter((r.seen, r.angle_deg, r.mirrored) for r in seen)
        if len(seen) == 1:
            readings[cell] = seen[0]
        elif len(kinds) == 1:
            readings[cell] = replace(
                seen[0],
                dx_px=float(np.median([r.dx_px for r in seen])),
                dy_px=float(np.median([r.dy_px for r in seen])),
            )
        elif kinds:
            twice.append(cell)
    return readings, tuple(twice)

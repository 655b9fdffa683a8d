"""From photographs of full fields to what may be said of the wall's light."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from itertools import product

import numpy as np

from commission_tui.errors import InputError
from commission_tui.photo.light.evenness import Evenness, evenness
from commission_tui.photo.light.light_report import LightReport
from commission_tui.photo.light.light_samples import (
    Blocks,
    LightPicture,
    as_light,
    blocks_of,
    dark_shares,
    size_px,
)
from commission_tui.photo.light.placement import refuse_pattern, standing, stood_note
from commission_tui.photo.light.response import (
    ASSUMED,
    COLOURS,
    LINEAR,
    Response,
    found_response,
    luminance,
)
from commission_tui.photo.perspective import Outlines
from commission_tui.photo.picture_file import Pixels
from commission_tui.photo.robust_fit import Array
from commission_tui.text import counted, listed
from commission_tui.wall.model.location import Cell
from commission_tui.wall.model.wall_model import Wall
from commission_tui.wall.patterns.fields import quarter_sixteenths

Opened = tuple[LightPicture, Outlines, str]
"""A photograph as light, the outlines as they lie in it, and its name."""

_BLOCKS = 4
_FINEST_INSET = 0.12
_BLUR_INSET = 1.2
"""Half the width of the blurred edge and a little more."""
_MOST_CLIPPED = 0.005
_NOTED_ROOM, _MOST_ROOM = 0.03, 0.20
_NOT_LINEAR = "not linear: shows, does not measure; "
_SHARES = (
    "photograph the pattern 'light shares' from the same place with the exposure locked and add "
    "--shares, or use raw files"
)
_OTHER_SHARES = (
    "photograph white and 'light shares' again with the exposure locked and all that betters pictures "
    "off, or use raw files"
)


@dataclass(frozen=True)
class Shot:
    """A photograph, and whether its codes go with light."""

    name: str
    pixels: Pixels
    linear: bool
    exposure: float | None = None
    """What the exposure lets in, on any one scale: seconds times sensitivity by f-number squared."""


@dataclass(frozen=True)
class Shots:
    """The photographs of one wall from one place."""

    white: Shot
    tiles: Shot | None = None
    shares: tuple[Shot, ...] = ()
    flat: Shot | None = None
    black: Shot | None = None
    colours: Mapping[str, Shot] = field(default_factory=dict)
    """Of ``red``, ``green`` and ``blue`` those that there are."""


def read_light(wall: Wall, outlines: Outlines, shots: Shots) -> LightReport:
    """Read how even a wall is; all photographs are from the place of that of the coded tiles.

    Raises
    ------
    InputError
        A picture is clipped, blurred, too small, of another size, or from another place, or the room
        is too bright: one line with what to do.
    """
    notes: list[str] = []
    size = None if shots.tiles is None else shots.tiles.pixels.shape
    reader = _Reader(wall, outlines, notes, size)
    white = reader.opened(shots.white)
    refuse_pattern(shots.white.name, *white[:2])
    response = _response(reader, shots, white, notes)
    black = None if shots.black is None else reader.background(shots.black, shots.white, response)
    _room(reader, shots, response, black is not None, notes)
    flat = None if shots.flat is None else reader.blocks(reader.opened(shots.flat, placed=False))
    fields = _Fields(wall, response, black or {}, flat)
    lit = reader.blocks(white)
    colours, casts, opened = {}, {}, {}
    for name, shot in shots.colours.items():
        opened[name] = reader.opened(shot)
        colours[name] = fields.colour(reader.blocks(opened[name]), COLOURS.index(name))
    for name in ("red", "blue"):
        over = under = lit
        if name in opened and "green" in opened:
            over, under = (reader.blocks(opened[which]) for which in (name, "green"))
        casts[name] = fields.cast(over, under, COLOURS.index(name))
    found = fields.luminance(lit)
    unseen = [cell for cell in wall.cabinets if cell not in lit]
    if unseen:
        notes.append(f"not in the picture: {listed(unseen, 8)}")
    if not response.measures:
        notes.append(_NOT_LINEAR + (_OTHER_SHARES if shots.shares else _SHARES))
    if flat is None:
        notes.append(
            "the falloff of lens and angle is taken off by a smooth fit: steps between neighbours and "
            "outliers are stated, the wall's slow gradient is not"
        )
    else:
        notes.append("the slow gradient is as seen from the camera, the LEDs' angle included")
    return LightReport(
        found, response.measures, flat is not None, colours, casts, tuple(dict.fromkeys(notes))
    )


@dataclass
class _Reader:
    """Opens photographs of one place, holds them against the first and says what is wrong."""

    wall: Wall
    outlines: Outlines
    notes: list[str]
    size: tuple[int, ...] | None = None
    inset: float = _FINEST_INSET

    def opened(self, shot: Shot, *, placed: bool = True) -> Opened:
        """Return a photograph as light with the outlines as they lie in it."""
        self.size = self.size or shot.pixels.shape
        if shot.pixels.shape != self.size:
            raise InputError(
                f"{shot.name}: found {shot.pixels.shape[1]} x {shot.pixels.shape[0]} px, expected "
                f"{self.size[1]} x {self.size[0]} px as the photograph of the tiles has: same camera, same place"
            )
        picture = as_light(shot.pixels, self.outlines, linear=shot.linear)
        outlines: Outlines = picture.outlined(self.outlines)
        if placed:
            outlines = self._placed(shot.name, picture, outlines)
        return picture, outlines, shot.name

    def _placed(self, name: str, picture: LightPicture, outlines: Outlines) -> Outlines:
        stood = standing(self.wall, name, picture, outlines)
        if note := stood_note(name, stood, picture.smaller):
            self.notes.append(note)
        if stood is None:
            return outlines
        blurred = _BLUR_INSET * stood.edge_px / 2 / size_px(outlines)
        self.inset = max(self.inset, min(0.3, blurred))
        return {c: at @ stood.move[:, :2].T + stood.move[:, 2] for c, at in outlines.items()}

    def blocks(self, opened: Opened, *, clipping: bool = True) -> dict[Cell, Blocks]:
        picture, outlines, name = opened
        found = {
            cell: blocks
            for cell, outline in outlines.items()
            if (blocks := blocks_of(picture, outline, _BLOCKS, self.inset)) is not None
        }
        clipped = [cell for cell, blocks in found.items() if blocks.clipped > _MOST_CLIPPED]
        if clipped and clipping:
            raise InputError(
                f"{name}: found {counted(len(clipped), 'cabinet')} clipped ({listed(clipped, 4)}), "
                "expected white at two thirds of the range: expose less"
            )
        return found

    def background(self, black: Shot, white: Shot, response: Response) -> dict[Cell, Array]:
        """Return the room's light by cabinet on the scale of the white photograph, (n, n, 3)."""
        scale = 1.0
        if black.exposure is not None and white.exposure is not None:
            scale = white.exposure / black.exposure
        else:
            self.notes.append(
                f"{black.name}: no exposure in the files, so it is taken for that of the white one"
            )
        blocks = self.blocks(self.opened(black, placed=False), clipping=False)
        return {cell: response.light(b.light) * scale for cell, b in blocks.items()}


@dataclass(frozen=True)
class _Fields:
    """Blocks to evenness, one field at a time."""

    wall: Wall
    response: Response
    black: Mapping[Cell, Array]
    flat: Mapping[Cell, Blocks] | None

    def luminance(self, blocks: Mapping[Cell, Blocks]) -> Evenness:
        return self._even(blocks, {c: luminance(self._light(c, b)) for c, b in blocks.items()})

    def colour(self, blocks: Mapping[Cell, Blocks], number: int) -> Evenness:
        return self._even(blocks, {c: self._light(c, b)[..., number] for c, b in blocks.items()})

    def cast(
        self, over: Mapping[Cell, Blocks], under: Mapping[Cell, Blocks], number: int
    ) -> Evenness:
        """Return a colour against green: where both lie on one field, or on a field each."""
        green = COLOURS.index("green")
        return self._even(
            over,
            {
                cell: self._light(cell, over[cell])[..., number]
                / np.maximum(self._light(cell, under[cell])[..., green], 1e-6)
                for cell in over
                if cell in under
            },
        )

    def _light(self, cell: Cell, blocks: Blocks) -> Array:
        light = self.response.light(blocks.light)
        if cell in self.black:
            light = light - self.black[cell]
        if self.flat is not None and cell in self.flat:
            light = light / np.maximum(self.response.light(self.flat[cell].light), 1e-6)
        return np.maximum(light, 1e-6)

    def _even(self, blocks: Mapping[Cell, Blocks], light: Mapping[Cell, Array]) -> Evenness:
        places = next(iter(blocks.values())).places if blocks else np.zeros(_BLOCKS)
        found = evenness(
            self.wall,
            {cell: np.log(values) for cell, values in light.items()},
            places,
            smooth=self.flat is None,
            response_scatter=self.response.scatter,
        )
        if not found.relative:
            raise InputError("photograph: found no lit cabinet, expected a field of full white")
        return found


def _response(reader: _Reader, shots: Shots, white: Opened, notes: list[str]) -> Response:
    if shots.white.linear:
        return LINEAR
    whole: list[float] = []
    part: list[float] = []
    share: list[float] = []
    for shot in shots.shares:
        stepped = reader.opened(shot)
        for cell in reader.outlines:
            one, other = (blocks_of(seen, at[cell], 8, 0.0) for seen, at, _ in (white, stepped))
            if one is None or other is None or max(one.clipped, other.clipped) > 0.2:
                continue
            for down, across in product((0, 1), repeat=2):
                middle = np.s_[down * 4 + 1 : down * 4 + 3, across * 4 + 1 : across * 4 + 3]
                whole += one.light[middle].mean(axis=(0, 1)).tolist()
                part += other.light[middle].mean(axis=(0, 1)).tolist()
                known = quarter_sixteenths(reader.wall.cabinets[cell], down, across) / 16
                share += [known] * 3
    if not shots.shares:
        return ASSUMED
    try:
        found = found_response(np.array(whole), np.array(part), np.array(share))
    except ValueError:
        raise InputError(
            f"{shots.shares[0].name}: found {len(share) // 3} places of known shares, expected 8 or more "
            "of the pattern 'light shares'"
        ) from None
    if not found.measures:
        notes.append(
            f"the shares of light scatter by {found.scatter:.1%} about one curve: the camera changes "
            "parts of its pictures, or the exposure was not locked"
        )
        return replace(ASSUMED, scatter=found.scatter)
    return found


def _room(
    reader: _Reader, shots: Shots, response: Response, subtracted: bool, notes: list[str]
) -> None:
    """Say or refuse the room's light, from how dark the dark of the tiles is."""
    if subtracted or shots.tiles is None:
        return
    light = as_light(shots.tiles.pixels, reader.outlines, linear=shots.tiles.linear)
    shares = dark_shares(light, light.outlined(reader.outlines), response.light)
    if not shares:
        return
    share = float(np.quantile(shares, 0.25))
    if share > _MOST_ROOM:
        raise InputError(
            f"{shots.tiles.name}: found the dark of the tiles at {share:.0%} of their light, expected less "
            f"than {_MOST_ROOM:.0%}: darken the room, or add --black with a photograph of the black wall"
        )
    if share > _NOTED_ROOM:
        notes.append(
            f"the dark of the tiles is at {share:.0%} of their light: the room or the lens adds up to that "
            "much, and steps are that much larger than stated; --black takes the room's off"
        )

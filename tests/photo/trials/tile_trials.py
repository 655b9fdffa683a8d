"""How often a photograph tells which tile each cabinet shows: walls in order and walls in disorder."""

from __future__ import annotations

import random
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from commission_tui.errors import InputError
from commission_tui.photo.tile_reading import TileReadings
from commission_tui.wall.mapping.observed.observation import Observation
from commission_tui.wall.model.location import Cell
from commission_tui.wall.model.wall_model import Wall
from commission_tui.wall.patterns.pattern_files import picture
from tests.photo.scene.lit_wall import showing
from tests.photo.scene.scene import Scene, outline
from tests.photo.scene.sensor import toned_8_bit, write
from tests.photo.trials.views import Pixels, taken, view
from tests.photo.walls_hung import read_pixels
from tests.wall.mapping.referee.evenings import by_the_first, evening_wall
from tests.wall.mapping.referee.plugs import Plugged, exchange_two_plugs

Codes = NDArray[np.uint8]


@dataclass
class TileScore:
    pictures: int = 0
    cabinets: int = 0
    read: int = 0
    wrong: int = 0
    refused: int = 0
    unread: Counter[str] = field(default_factory=Counter)
    """By what the cabinets showed."""
    failures: list[str] = field(default_factory=list)

    def line(self, title: str) -> str:
        return (
            f"{title}: {self.pictures} pictures, {self.cabinets} cabinets; read "
            f"{self.read / self.cabinets:.2%}, wrongly read {self.wrong}, pictures refused {self.refused}; "
            f"unread {dict(self.unread)}"
        )


def canvas(wall: Wall) -> Codes:
    return np.asarray(picture(wall, "coded tiles").convert("RGB"))


def as_shown(wall: Wall, codes: Codes, shows: dict[Cell, Observation]) -> Codes:
    """Return what the wall shows when cabinets show other tiles than their own, turned or dark."""
    out = np.zeros_like(codes)
    for cell, cabinet in wall.cabinets.items():
        reading = shows.get(cell, Observation(cell))
        if not isinstance(reading.seen, Cell):
            continue
        source = wall.cabinets[reading.seen]
        piece = codes[
            source.y_px : source.y_px + source.height_px,
            source.x_px : source.x_px + source.width_px,
        ]
        if reading.mirrored:
            piece = piece[:, ::-1]
        piece = np.rot90(piece, -(reading.angle_deg or 0) // 90)
        out[
            cabinet.y_px : cabinet.y_px + cabinet.height_px,
            cabinet.x_px : cabinet.x_px + cabinet.width_px,
        ] = piece
    return out


def disorder(wall: Wall, rng: np.random.Generator) -> dict[Cell, Observation]:
    """Return tiles dealt anew to some cabinets, some turned, some dark."""
    cells = list(wall.cabinets)
    shows = {cell: Observation(cell) for cell in cells}
    chosen = [cells[i] for i in rng.choice(len(cells), max(2, len(cells) // 5), replace=False)]
    dealt = [chosen[i] for i in rng.permutation(len(chosen))]
    for cell, tile in zip(chosen, dealt, strict=True):
        shows[cell] = Observation(tile)
    for cell in cells:
        lot = rng.random()
        if lot < 0.02:
            shows[cell] = Observation("dark")
        elif lot < 0.05:
            shows[cell] = Observation(shows[cell].seen, angle_deg=180)
    return shows


def judge(
    score: TileScore, shows: dict[Cell, Observation], found: TileReadings, hidden: set[Cell]
) -> list[Cell]:
    """Count; return the cabinets that were read wrongly."""
    wrong = []
    for cell, truth in shows.items():
        reading = found.readings.get(cell, Observation())
        if reading.seen is not None and (
            reading.seen != truth.seen or (reading.angle_deg or 0) != (truth.angle_deg or 0)
        ):
            wrong.append(cell)
        if cell in hidden:
            continue
        score.cabinets += 1
        read = reading.seen is not None and cell not in wrong
        score.read += read
        if not read:
            kind = "dark" if truth.seen == "dark" else "turned" if truth.angle_deg else "upright"
            score.unread[kind] += 1
    score.wrong += len(wrong)
    return wrong


def behind(wall: Wall, scene: Scene) -> set[Cell]:
    """Return the cabinets of which a person hides a part, with some room."""
    if scene.air.person_at is None:
        return set()
    width, height = scene.camera.size
    found = set()
    for cell in wall.cabinets:
        at = outline(wall, cell, scene.camera)
        middle, reach = scene.air.person_at * width, 0.13 * height
        beside = at[:, 0].max() < middle - reach or at[:, 0].min() > middle + reach
        above = at[:, 1].max() < 0.36 * height
        if not (beside or above):
            found.add(cell)
    return found


def measure(
    wall: Wall,
    pictures: int,
    seed: int,
    px: float,
    *,
    keep: Path | None = None,
    people: float = 0.25,
) -> TileScore:
    """Read photographs of a wall in disorder from anywhere within 45 degrees; keep what fails.

    In a share of the pictures somebody stands in front; what he hides need not be read, but is wrong when
    it is told dark or as another tile.
    """
    codes, score = canvas(wall), TileScore()
    for number in range(seed, seed + pictures):
        rng = np.random.default_rng(number)
        scene = view(wall, px, rng, person=bool(rng.random() < people))
        shows = disorder(wall, rng)
        shot = taken(scene, showing(wall, as_shown(wall, codes, shows)), number, "jpeg")
        hidden = behind(wall, scene)
        score.pictures += 1
        wrong: list[Cell] = []
        missed = 0.0
        said = ""
        try:
            found = read_pixels(wall, shot)
        except InputError as error:
            score.refused += 1
            score.cabinets += len(shows) - len(hidden)
            said, missed = str(error).partition(": ")[2], 1.0
        else:
            before = score.read, score.cabinets
            wrong = judge(score, shows, found, hidden)
            missed = 1 - (score.read - before[0]) / max(score.cabinets - before[1], 1)
        if wrong or missed > 0.05:
            wrongly = ", ".join(
                f"{cell} read {found.readings[cell].seen} {found.readings[cell].angle_deg} for "
                f"{shows[cell].seen} {shows[cell].angle_deg}"
                for cell in wrong
            )
            score.failures.append(
                f"seed {number}, {px:g} px: unread {missed:.1%} {said} wrong: {wrongly or 'none'}"
            )
            if keep is not None:
                write_picture(keep / f"tiles_{px:g}px_seed{number}.png", shot)
    return score


def write_picture(path: Path, shot: Pixels) -> None:
    from PIL import Image

    path.parent.mkdir(parents=True, exist_ok=True)
    Image.fromarray(shot).save(path)


def chain(evenings: int, seed: int, px: float, *, keep: Path | None = None) -> Counter[str]:
    """Photograph walls after two exchanges of plugs; do what the first explanation says.

    ``typed`` is the same with a table in which a person typed everything rightly.
    """
    rng, tally = random.Random(seed), Counter[str]()  # noqa: S311
    while tally["walls"] < evenings:
        wall = evening_wall(rng, most=112)
        site = Plugged(wall, rng.random() < 0.7)
        acts = [exchange_two_plugs(site, rng) for _ in range(2)]
        shows = site.look()
        if None in acts or all(reading.seen == cell for cell, reading in shows.items()):
            continue
        tally["walls"] += 1
        view_rng = np.random.default_rng(seed + tally["walls"])
        scene = view(wall, px, view_rng)
        lit = showing(wall, as_shown(wall, canvas(wall), dict(shows)))
        shot = taken(scene, lit, seed + tally["walls"], "jpeg")
        tally["typed"] += by_the_first(site.copy(), shows)
        try:
            found = read_pixels(wall, shot)
        except InputError as error:
            tally["refused"] += 1
            tally[f"refused: {str(error).partition(': ')[2]}"] += 1
            right = False
        else:
            right = by_the_first(site.copy(), found.readings)
        tally["photographed"] += right
        if not right and keep is not None:
            write_picture(keep / f"chain_{px:g}px_seed{seed}_{tally['walls']}.png", shot)
            (keep / f"chain_seed{seed}_{tally['walls']}.toml").write_text(wall.text, "utf-8")
    return tally


def large(wall: Wall, file: Path, seed: int) -> None:
    """Photograph a wall at twelve megapixels."""
    rng = np.random.default_rng(seed)
    scene = view(wall, 85, rng, size=(4000, 3000), most_yaw_deg=25)
    shot = scene.photograph(showing(wall, canvas(wall)), seed)
    write(file, toned_8_bit(shot, scene.sensor))

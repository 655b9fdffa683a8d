"""Photographs of the pattern *coded tiles*, from files to the table that ``diagnose`` takes."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from commission_tui.cli.output import Session, emit, json_option, message, say
from commission_tui.errors import InputError
from commission_tui.text import counted, listed

if TYPE_CHECKING:
    from commission_tui.photo.tile_reading import TileReadings
    from commission_tui.wall.mapping import Diagnosis
    from commission_tui.wall.model.wall_model import Wall

_NAMED = 12


@click.command()
@click.argument("job")
@click.argument("photos", nargs=-1, required=True, type=click.Path(path_type=Path))
@click.option(
    "-o",
    "--output",
    type=click.Path(dir_okay=False, path_type=Path),
    help="Where to write the table that 'diagnose' takes, a .csv file.",
)
@click.option(
    "--rear", is_flag=True, help="Taken from behind, through a wall that lets light pass."
)
@json_option
@click.pass_obj
def tiles(
    session: Session,
    job: str,
    photos: tuple[Path, ...],
    output: Path | None,
    rear: bool,
    as_json: bool,
) -> None:
    """Read which tile every cabinet shows from photographs of the pattern 'coded tiles'.

    JOB is a job, or a wall file whose name ends in .toml. A cabinet that cannot be read is "not
    looked at". Stand still or lean, no flash, white at two thirds of the range, all four corners
    of the wall in the picture or pictures that overlap by two cabinets, 24 camera pixels a cabinet
    or more. That the whole picture is moved evenly is not told; what a shift is good to is said
    with it. Full white and bright patterns dazzle: warn those before the wall.
    """
    from commission_tui.photo.tile_reading import read_tiles

    wall = session.wall(job)
    found = read_tiles(wall, photos, rear=rear, progress=_progress)
    explained = _explained(wall, found)
    if output is not None:
        _write(output, found)
    if as_json:
        emit(
            {
                "readings": {
                    str(cell): {
                        "seen": None if reading.seen is None else str(reading.seen),
                        "angle": reading.angle_deg,
                        "mirrored": reading.mirrored,
                        "dx": reading.dx_px,
                        "dy": reading.dy_px,
                    }
                    for cell, reading in found.readings.items()
                },
                "read": found.read,
                "cabinets": len(found.readings),
                "placed_by": found.placed_by,
                "notes": found.notes,
                "diagnosis": explained.as_dict() if explained else None,
            }
        )
        return
    _report(found)
    if explained:
        first = explained.explanations[0]
        for cause in first.causes:
            say(f"{cause.kind} ({cause.where}): {cause.says}")
        if not first.causes:
            say(
                "no cause explains what was seen"
                if first.unexplained
                else "every cabinet that was read shows its own tile"
            )
    if output is not None:
        say(f"{output}: written; 'diagnose {job} {output}' explains it in full")


def _progress(done: int, of: int) -> None:
    if of > 1:
        message(f"photograph {done + 1} of {of}")


def _explained(wall: Wall, found: TileReadings) -> Diagnosis | None:
    """Return what is wrong; nothing for a wall whose file names no chains."""
    from commission_tui.wall.mapping import diagnose

    return diagnose(wall, found.readings) if wall.chains else None


def _write(path: Path, found: TileReadings) -> None:
    from commission_tui.files import write_whole
    from commission_tui.wall.mapping.observed.observation import table_text

    write_whole(path, table_text(found.readings).encode(), InputError)


def _report(found: TileReadings) -> None:
    readings = found.readings
    total = counted(len(readings), "cabinet")
    left = "" if found.read == len(readings) else "; the others are not looked at"
    say(f"{found.read} of {total} read{left}")
    kinds = {
        "turned": [c for c, r in readings.items() if r.angle_deg],
        "mirrored": [c for c, r in readings.items() if r.mirrored],
        "shifted": [c for c, r in readings.items() if r.dx_px or r.dy_px],
        "dark": [c for c, r in readings.items() if r.seen == "dark"],
        "another's tile": [c for c, r in readings.items() if r.seen not in (None, "dark", c)],
        "not looked at": [c for c, r in readings.items() if r.seen is None],
    }
    for word, cells in kinds.items():
        if cells:
            say(f"{word}: {len(cells)} ({listed([str(cell) for cell in cells], _NAMED)})")
    for note in found.notes:
        message(note)

"""Photographs of the pattern *coded tiles*, from files to the table that ``diagnose`` takes."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from commission_tui.cli.options import any_file, json_option, table_output
from commission_tui.cli.output import Session, emitted, message, say
from commission_tui.errors import InputError
from commission_tui.text import counted, listed

if TYPE_CHECKING:
    from commission_tui.photo.tile_reading import TileReadings
    from commission_tui.wall.mapping.observed.observation import Observation

_NAMED = 12


@click.command()
@click.argument("job")
@click.argument("photos", nargs=-1, required=True, type=any_file)
@table_output("diagnose")
@click.option(
    "--rear", is_flag=True, help="Taken from behind, through a wall that lets light pass."
)
@json_option
@click.pass_obj
def tiles(
    session: Session, job: str, photos: tuple[Path, ...], output: Path | None, rear: bool
) -> None:
    """Read which tile every cabinet shows from photographs of the pattern 'coded tiles'.

    JOB is a job, or a wall file whose name ends in .toml. A cabinet that cannot be read is "not
    looked at". Stand still or lean, no flash, white at two thirds of the range, all four corners
    of the wall in the picture or pictures that overlap by two cabinets, 24 camera pixels a cabinet
    or more. That the whole picture is moved evenly is not told; what a shift is good to is said
    with it. Full white and bright patterns dazzle: warn those before the wall.
    """
    from commission_tui.files import write_whole
    from commission_tui.photo.tile_reading import read_tiles
    from commission_tui.wall.mapping.diagnosis import diagnose as explain
    from commission_tui.wall.mapping.observed.observation import table_text

    wall = session.wall(job)
    found = read_tiles(wall, photos, rear=rear, progress=_progress)
    # A wall whose file names no chains has nothing to be wrong.
    explained = explain(wall, found.readings) if wall.chains else None
    if output is not None:
        write_whole(output, table_text(found.readings).encode(), InputError)
    if emitted(
        {
            "readings": {str(cell): _as_dict(reading) for cell, reading in found.readings.items()},
            "read": found.read,
            "cabinets": len(found.readings),
            "placed_by": found.placed_by,
            "notes": found.notes,
            "diagnosis": explained,
        },
        figures=6,
    ):
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


def _as_dict(reading: Observation) -> dict[str, object]:
    """Return a reading by the names of the table's columns."""
    angle, dx, dy = reading.angle_deg, reading.dx_px, reading.dy_px
    return {"seen": reading.seen, "angle": angle, "mirrored": reading.mirrored, "dx": dx, "dy": dy}


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

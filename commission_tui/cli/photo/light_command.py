"""How even the wall is, from photographs of full fields."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

import click

from commission_tui.cli.options import any_file, json_option, on_job
from commission_tui.cli.output import emitted, message, say, table
from commission_tui.cli.photo.photo_group import linear_option, tiles_option
from commission_tui.errors import InputError
from commission_tui.text import counted

if TYPE_CHECKING:
    from commission_tui.logbook.job import OpenJob
    from commission_tui.logbook.state.state import State
    from commission_tui.photo.light.evenness import Evenness
    from commission_tui.photo.light.light_report import LightReport

_MOST_STEPS = 12
_NINE_POINTS = "nine_point_brightness"


@click.command("light")
@on_job
@click.argument("white", type=any_file)
@tiles_option
@click.option(
    "--shares",
    type=any_file,
    multiple=True,
    help="The pattern 'light shares' from the same place with the exposure locked: how the camera's "
    "JPEG or HEIC files go with light.",
)
@click.option(
    "--flat", type=any_file, help="An evenly lit surface with the same lens and f-number."
)
@click.option("--black", type=any_file, help="The black wall: the light of the room is taken off.")
@click.option("--red", type=any_file, help="The red field, for colour between neighbours.")
@click.option("--green", type=any_file, help="The green field.")
@click.option("--blue", type=any_file, help="The blue field.")
@linear_option
@click.option("--meter", metavar="CHECK", help="The check whose nine points give cd/m².")
@click.option(
    "--keep",
    "kept_with",
    metavar="CHECK",
    help="Keep the picture, laid out flat beside the map of what was read, with this check.",
)
@json_option
def light(
    opened: OpenJob,
    white: Path,
    tiles: Path,
    shares: tuple[Path, ...],
    flat: Path | None,
    black: Path | None,
    red: Path | None,
    green: Path | None,
    blue: Path | None,
    linear: bool,
    meter: str | None,
    kept_with: str | None,
) -> None:
    """Say how even the wall is from a photograph of full WHITE: steps between cabinets, outliers.

    Camera on a tripod or leaned, no flash, exposure locked so that white is at two thirds, all four
    corners in. A photograph never takes the place of a meter where a limit is in cd/m². Full white
    dazzles, and takes all the current the wall can: warn the people before it first.
    """
    from commission_tui.logbook.actions.photograph_log import shown_light
    from commission_tui.photo.light.light_reading import Shots, read_light
    from commission_tui.photo.light.light_report import absolute_cd_m2
    from commission_tui.photo.shot_files import outlines_from, shot_from

    points = _points(opened.state, meter)
    if kept_with is not None:
        kept_with = opened.state.checklist.find(kept_with).id
    wall = opened.state.wall
    outlines = outlines_from(wall, tiles)
    fields = {"red": red, "green": green, "blue": blue}
    shot = partial(shot_from, linear=linear)
    shots = Shots(
        white=shot(white),
        tiles=shot(tiles),
        shares=tuple(map(shot, shares)),
        flat=shot(flat) if flat else None,
        black=shot(black) if black else None,
        colours={name: shot(path) for name, path in fields.items() if path is not None},
    )
    found = read_light(wall, outlines, shots)
    if kept_with is not None:
        picture = shown_light(wall, outlines, shots.white, found, white)
        opened.record_all([picture.body(check=kept_with)], files=[picture.stored])
    by_meter = bool(points) and found.measures  # no curve, no cd/m²: only a share that shows
    levels, scatter = absolute_cd_m2(wall, found.white, points) if by_meter else ({}, 0.0)
    data = {
        **_as_dict(found.white, found.measures),
        "expanded": found.expanded,
        "measures": found.measures,
        "gradient": found.gradient,
        "colours": {name: _as_dict(one, found.measures) for name, one in found.colours.items()},
        "casts": {name: _as_dict(cast, found.measures) for name, cast in found.casts.items()},
        "notes": found.notes,
        "cd_m2": levels or None,
        "cd_m2_expanded": scatter if levels else None,
    }
    if emitted(data, figures=6):
        return
    _report(found)
    if levels:
        low, high = min(levels, key=levels.__getitem__), max(levels, key=levels.__getitem__)
        say(
            f"by {counted(len(points), 'point')} of the meter: {levels[low]:.0f} cd/m² at {low} to "
            f"{levels[high]:.0f} cd/m² at {high}, ± {scatter:.1%} (k = 2) about the meter's points"
        )
    elif meter is not None:
        message("--meter: no cd/m² from a picture that is not linear")
    for note in found.notes:
        message(note)


def _as_dict(found: Evenness, measures: bool) -> dict[str, object]:
    return {
        "relative": found.relative,
        "steps": [
            {
                "between": step.seam,
                "step": step.share,
                "expanded": step.expanded if measures else None,
            }
            for step in found.steps
        ],
        "outliers": [{"at": cell, "apart": by} for cell, by in found.outliers.items()],
        "left_out": found.left_out,
    }


def _report(found: LightReport) -> None:
    shown = found.white.steps[:_MOST_STEPS]
    say(
        f"{counted(len(found.white.relative), 'cabinet')}, {counted(len(found.white.steps), 'step')} "
        f"between neighbours{'' if found.measures else ' (not linear: shows, does not measure)'}"
    )
    columns = ("seam", "step", "± (k = 2)")[: 3 if found.measures else 2]
    rows = [(str(s.seam), f"{s.share:+.1%}", f"{s.expanded:.1%}") for s in shown]
    table(columns, [row[: len(columns)] for row in rows])
    for cell, by in found.white.outliers.items():
        say(f"outlier: {cell}, {by:+.1%} against those around it")
    for name, cast in found.casts.items():
        for cell, by in cast.outliers.items():
            say(f"colour: {cell}, {name} {by:+.1%} against green, compared with those around it")
    for cell, why in found.white.left_out.items():
        say(f"left out: {cell}: {why}")


def _points(state: State, meter: str | None) -> list[tuple[float, float, float]]:
    """Return what the meter read at the nine points, across and down as shares of the wall."""
    from commission_tui.checks.places.places import points_on_wall
    from commission_tui.logbook.judging.outcomes import current_readings

    able = [check.id for check in state.checklist if check.method == _NINE_POINTS]
    named = able if meter is None else [state.checklist.find(meter).id]
    if not set(named) <= set(able):
        raise InputError(f"--meter: found '{meter}', expected one of {', '.join(able)}")
    for check in named:
        read = current_readings(state, check).get("luminance_cd_m2", {})
        if read:
            at = state.wall.once(points_on_wall)
            return [(*at[place], value.number) for place, value in read.items()]
    if meter is not None:
        raise InputError(f"--meter: found no nine points logged under '{meter}'")
    return []

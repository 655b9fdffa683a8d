"""Faulty LEDs and seams, from photographs taken from near."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from commission_tui.cli.options import any_file, json_option, on_job
from commission_tui.cli.output import emitted, jsonable, message, say, table
from commission_tui.cli.photo.photo_group import linear_option, tiles_option
from commission_tui.text import counted

if TYPE_CHECKING:
    from commission_tui.logbook.actions.photograph_log import PhotographedFault
    from commission_tui.logbook.job import OpenJob
    from commission_tui.logbook.store.photos import KeptPicture
    from commission_tui.photo.close.seam_profile import SeamLight

_MOST_SEAMS = 12
_COLOURS = ("white", "black", "red", "green", "blue")


@click.command("pixels")
@on_job
@click.argument("photo", type=any_file)
@tiles_option
@click.option("--field", type=click.Choice(_COLOURS), default="white", show_default=True)
@click.option("--white", type=any_file, help="With --field black: white from the same place.")
@linear_option
@click.option(
    "--log", "surest", type=click.FloatRange(0.5, 0.99), help="Log the faults that are this sure."
)
@json_option
def pixels(
    opened: OpenJob,
    photo: Path,
    tiles: Path,
    field: Any,
    white: Path | None,
    linear: bool,
    surest: float | None,
) -> None:
    """Find dark, dim, coloured and stuck LEDs in a photograph of a full field from near.

    From 2.5 camera pixels a LED on; from farther it says how many pictures are needed. Full white
    is bright: warn the people in front of the wall. Nothing is logged without --log.
    """
    from commission_tui.logbook.actions import photograph_log as kept
    from commission_tui.photo.close.pixel_report import read_pixels
    from commission_tui.photo.shot_files import outlines_from, shot_from

    wall = opened.state.wall
    shot = shot_from(photo, linear=linear)
    lit = None if white is None else shot_from(white, linear=linear)
    outlines = outlines_from(wall, tiles)
    found = read_pixels(wall, outlines, shot, field, lit)
    logged = 0
    if surest is not None:
        whole = kept.leds_shown(wall, outlines, shot, found, photo)
        logged = _new_faults(opened, kept.seen_leds(shot, found, surest), whole, field)
    if emitted({**jsonable(found), "logged": logged}, figures=6):
        return
    for fault in found.faults:
        say(f"{fault.at}: {fault.kind}, sure {fault.sure:.0%}")
    say(
        f"{counted(len(found.faults), 'fault')} in {counted(found.looked_at, 'LED')} of "
        f"{counted(found.cabinets, 'cabinet')} at {found.px_a_led:.1f} px a LED; {logged} logged"
    )
    for note in found.notes:
        message(note)


def _new_faults(
    opened: OpenJob, faults: Sequence[PhotographedFault], whole: KeptPicture, seen_on: str
) -> int:
    """Log what is not there yet, each with its piece of the photograph; return how many that were."""
    from commission_tui.logbook.actions.photograph_log import PhotographFinding, log_findings

    before = len(opened.state.faults)
    log_findings(opened, [PhotographFinding(fault) for fault in faults], [whole], seen_on=seen_on)
    return len(opened.state.faults) - before


@click.command("seams")
@on_job
@click.argument("white", type=any_file)
@tiles_option
@linear_option
@click.option(
    "--log",
    "least",
    type=click.FloatRange(0.02, 1.0),
    help="Log as faults those that differ by at least this share of a pitch's light, such as 0.05.",
)
@json_option
def seams(opened: OpenJob, white: Path, tiles: Path, linear: bool, least: float | None) -> None:
    """Find dark and bright seams between cabinets and modules in a photograph of full white.

    Each with the gap beyond the pitch, or the overlap, that would make it. The wall's correction of
    its edges counts as much as the gap does: a photograph sees the two together. Full white
    dazzles: warn the people in front of the wall. Nothing is logged without --log.
    """
    from commission_tui.logbook.actions import photograph_log as kept
    from commission_tui.photo.close.seam_profile import read_seams
    from commission_tui.photo.shot_files import outlines_from, shot_from

    wall = opened.state.wall
    outlines, shot = outlines_from(wall, tiles), shot_from(white, linear=linear)
    found = read_seams(wall, outlines, shot)
    logged = 0
    if least is not None:
        uneven = kept.uneven_seams(found, least)
        whole = kept.seams_shown(wall, outlines, shot, uneven, white)
        faults = kept.seen_seams(wall, outlines, shot, uneven)
        logged = _new_faults(opened, faults, whole, "white")
    data = {
        "seams": list(map(_as_dict, found.seams)),
        "modules": list(map(_as_dict, found.modules)),
        "notes": found.notes,
        "logged": logged,
    }
    if emitted(data, figures=6):
        return
    for title, edges in (("cabinets", found.seams), ("modules", found.modules)):
        told = [edge for edge in edges if edge.kind]
        say(f"between {title}: {len(told)} of {len(edges)} differ from an even wall")
        table(
            ("at", "kind", "of a pitch's light", "gap", "± (k = 2)"),
            [
                (
                    *(str(edge.at), edge.kind, f"{-edge.contrast:+.0%}"),
                    *(f"{edge.gap_mm:+.2f} mm", f"{edge.expanded_mm:.2f} mm"),
                )
                for edge in told[:_MOST_SEAMS]
            ],
        )
    for note in found.notes:
        message(note)
    if least is not None:
        say(f"{counted(logged, 'fault')} logged")


def _as_dict(edge: SeamLight) -> dict[str, object]:
    return {**jsonable(edge), "kind": edge.kind or None}

"""What a source is told and shown, and what a mapping pattern shows explained."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from commission_tui.cli.options import Measured, any_file, json_option, new_file, on_job, wants_json
from commission_tui.cli.output import answer, emitted, message, say
from commission_tui.errors import InputError
from commission_tui.text import counted, quoted

if TYPE_CHECKING:
    from commission_tui.logbook.job import OpenJob
    from commission_tui.wall.model.wall_model import Wall
    from commission_tui.wall.patterns.catalogue import Pattern


@click.command()
@click.argument("wall_file", type=any_file)
@click.argument("name", required=False)
@click.option(
    *("-o", "--output"),
    type=any_file,
    help="A .png file; a folder takes the frames of a moving pattern one by one.",
)
@click.option("--all", "every", is_flag=True, help="Every pattern, into the folder given with -o.")
@click.option(
    "--steps-per-s", type=Measured(), default=10.0, show_default=True, help="Of the stepping lines."
)
@json_option
def pattern(
    wall_file: Path, name: str | None, output: Path | None, every: bool, steps_per_s: float
) -> None:
    """Draw a test pattern at the wall's own resolution; without NAME, list them."""
    from commission_tui.wall.model.wall_file import read_wall
    from commission_tui.wall.patterns import PATTERNS

    wall = read_wall(wall_file)
    if every and name is not None:
        raise InputError(f"--all: found the pattern {quoted(name)} too, expected one or the other")
    if name is None and not every:
        _list(list(PATTERNS.values()))
        return
    if output is None:
        raise InputError("--output: found nothing, expected where to write, such as -o pattern.png")
    if name is None:
        _write_all(wall, list(PATTERNS.values()), output)
        return
    from commission_tui.wall.patterns.pattern_files import render

    drawn = render(wall, name, output, steps_per_s=steps_per_s)
    if drawn.pattern.caution:
        message(drawn.pattern.caution)
    frames = f", {counted(drawn.frames, 'frame')}" if drawn.frames > 1 else ""
    answer(
        drawn,
        f"{drawn.path}: {drawn.width_px} x {drawn.height_px} px{frames}",
        f"look for: {drawn.pattern.look_for}",
        f"proves: {drawn.pattern.proves}",
        f"does not prove: {drawn.pattern.does_not_prove}",
    )


def _write_all(wall: Wall, patterns: Sequence[Pattern], folder: Path) -> None:
    from commission_tui.wall.patterns.folder import write_patterns

    written: list[Path] = []
    for path in write_patterns(wall, patterns, folder, lambda _step: None):
        written.append(path)
        if not wants_json():
            say(str(path))
    for caution in dict.fromkeys(item.caution for item in patterns if item.moving):
        message(caution)
    emitted(written)


def _list(patterns: Sequence[Pattern]) -> None:
    if emitted(patterns):
        return
    for item in patterns:
        say(f"{item.name}{' (moving)' if item.moving else ''}")
        say(f"  proves: {item.proves}")
        say(f"  does not prove: {item.does_not_prove}")


@click.command()
@click.argument("wall_file", type=any_file)
@click.argument("input_name")
@click.option("-o", "--output", type=new_file, required=True)
@click.option("--name", help="As the source shows it; at most 13 plain characters.")
@click.option("--interface", type=click.Choice(["HDMI", "DisplayPort", "DVI"]), default="HDMI")
@click.option("--blanking", type=click.Choice(["cvt", "rb1", "rb2"]), default="rb1")
@click.option("--year", type=int, default=lambda: datetime.now(UTC).year)
@json_option
def edid(
    wall_file: Path,
    input_name: str,
    output: Path,
    name: str | None,
    interface: Any,
    blanking: Any,
    year: int,
) -> None:
    """Write the EDID block that offers a source the canvas of one input."""
    from commission_tui.engineering.signal.edid import write_edid
    from commission_tui.engineering.signal.edid_reading import edid_lines, read_edid
    from commission_tui.engineering.signal.video_timing import cvt_timing
    from commission_tui.files import write_whole
    from commission_tui.wall.model.wall_file import read_wall

    wall = read_wall(wall_file)
    item = next((known for known in wall.file.inputs if known.name == input_name), None)
    if item is None:
        known = ", ".join(known.name for known in wall.file.inputs) or "none in this wall file"
        raise InputError(f"input: found {quoted(input_name)}, expected one of {known}")
    shown = name or "".join(c for c in wall.name if c.isascii() and c.isprintable())[:13].strip()
    try:
        timing = cvt_timing(item.width_px, item.height_px, item.frame_rate_hz, blanking)
        size = (round(wall.width_mm), round(wall.height_mm))
        block = write_edid(
            timing, shown, year, interface=interface, bits_per_colour=item.bits, size_mm=size
        )
    except ValueError as error:
        raise InputError(str(error)) from None
    write_whole(output, block.data, InputError)
    contents = read_edid(block.data)
    if emitted(
        {"file": output, "bytes": len(block.data), "offers": contents, "notes": block.notes}
    ):
        return
    say(f"{output}: {counted(len(block.data), 'byte')}")
    for line in (*edid_lines(contents), *block.notes):
        say(line)


@click.command()
@on_job
@click.argument("observed", type=any_file)
@click.option("--rear", is_flag=True, help="The table was read from behind the wall.")
@json_option
def diagnose(opened: OpenJob, observed: Path, rear: bool) -> None:
    """Explain what every cabinet shows: causes, plug moves, and what to look at next.

    OBSERVED is CSV with two columns, position,seen; angle,mirrored,dx,dy,confirmed may follow. Seen
    is a tile's position (R3C7), 'dark', 'garbled', or empty for not looked at. Two cabinets are
    enough to begin with. Other looks are rows too: 'circuit C2' and 'R1C5 link' with on or off,
    'R1C5 chain' with its chain number, such as P1.5, 'R1C5 cable' with where the cable from its
    output leads: 'R2C7 input', a port or 'none'.
    """
    from commission_tui.wall.mapping.diagnosis import diagnose as explain
    from commission_tui.wall.mapping.observed.answers import answers_from_rear
    from commission_tui.wall.mapping.observed.observation import from_rear, read_looks

    wall = opened.state.wall
    table, answers = read_looks(observed, wall)
    if rear:
        table, answers = from_rear(wall, table), answers_from_rear(wall, answers)
    found = explain(wall, table, answers=answers)
    if emitted(found, figures=6):
        return
    if len(found.explanations) > 1:
        say(f"one of these {len(found.explanations)}, likeliest first:")
    for number, explanation in enumerate(found.explanations, start=1):
        say(f"{number}. {_heading(explanation, any(r.seen for r in table.values()))}")
        for cause in explanation.causes:
            _say_cause(cause.as_dict())
        for change in explanation.configuration[:_ENTRIES] if explanation.causes else ():
            was, becomes = change.was or _NO_ENTRY, change.becomes or _NO_ENTRY
            say(f"   - P{change.port}.{change.place}: {was} becomes {becomes}")
        if len(explanation.configuration) > _ENTRIES:
            say(f"   - and {len(explanation.configuration) - _ENTRIES} entries more: see --json")
        if explanation.check.text:
            say(f"   - {explanation.check.text}")
        if explanation.unexplained:
            say(f"   not explained: {', '.join(str(cell) for cell in explanation.unexplained)}")
            say(f"   what is certain of them: {'; '.join(explanation.certain)}")
        if explanation.look_after:
            say(f"   then look at: {', '.join(str(cell) for cell in explanation.look_after)}")
    if found.next_look:
        say(f"to tell them apart: {found.next_look}")


_ENTRIES = 8
"""Entries of the configuration that are listed one by one."""
_NO_ENTRY = "nothing"


def _heading(explanation: Any, looked: bool) -> str:
    if not looked:
        return "nobody has looked yet: two cabinets are enough to begin with"
    if not explanation.causes and explanation.unexplained:
        return "no cause explains what was seen: misread, or of a kind of its own"
    if not explanation.causes:
        return "every cabinet that was looked at shows its own tile"
    named = "; ".join(f"{cause.kind} ({cause.where})" for cause in explanation.causes)
    return f"{len(explanation.causes)} together: {named}" if explanation.causes[1:] else named


def _say_cause(cause: dict[str, Any]) -> None:
    say(f"   {cause['says']}")
    for move in cause["moves"]:
        say(f"   - {move}")
    if cause["moves_after_the_next_look"]:
        left = counted(cause["moves_after_the_next_look"], "move")
        say(f"   - then look again; {left} more")
    if cause["configuration_edit"]:
        lead = "or in the configuration" if cause["moves"] else "in the configuration"
        say(f"   {lead}: {cause['configuration_edit']}")

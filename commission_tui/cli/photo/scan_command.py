"""A video of the stepped line, from the file to what is turned or scanned wrongly."""

from __future__ import annotations

from pathlib import Path

import click

from commission_tui.cli.options import any_file, json_option, table_output
from commission_tui.cli.output import Session, emitted, jsonable, message, say
from commission_tui.errors import InputError
from commission_tui.text import counted, listed

_NAMED = 12
_PARTS = 10


@click.command("scan")
@click.argument("job")
@click.argument("video", type=any_file)
@table_output("wall scan")
@json_option
@click.pass_obj
def scan(session: Session, job: str, video: Path, output: Path | None) -> None:
    """Read which way a stepped line runs through every module, from a VIDEO of it.

    JOB is a job, or a wall file whose name ends in .toml. Show 'stepping line in every cabinet' (or
    'stepping line'), looped; film two rounds from a tripod, all four corners in, the room dark, at
    most 15 minutes. A moving bright line can hurt people with photosensitive epilepsy: warn the room
    and keep it off a wall that an audience looks at.
    """
    from commission_tui.photo.line_reading import read_line
    from commission_tui.wall.mapping.scan import diagnose_scan, scan_table_text

    wall = session.wall(job)
    told = [0]

    def progress(done: int, of: int) -> None:
        part = _PARTS * done // max(of, 1)
        if part > told[0]:
            told[0] = part
            message(f"{100 * part // _PARTS} % of the video")

    found = read_line(wall, video, progress)
    if not found.readings:
        raise InputError(f"{video}: found no module in which a line is seen: film in the dark")
    explained = diagnose_scan(wall, found.readings)
    if output is not None:
        from commission_tui.files import write_whole

        write_whole(output, scan_table_text(found.readings).encode(), InputError)
    if emitted(
        {
            "modules": found.readings,
            "not_read": found.not_read,
            **jsonable(explained),
        }
    ):
        return
    total = len(found.readings) + len(found.not_read)
    say(f"{len(found.readings)} of {counted(total, 'module')} read")
    if found.not_read:
        named = listed([str(at) for at in found.not_read], _NAMED, "; ")
        say(f"not read (dark, hidden or too dim): {named}")
    for line in explained.lines():
        say(line)
    if output is not None:
        say(f"{output}: written")

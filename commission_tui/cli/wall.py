"""Wall files: writing one, reviewing one."""

from __future__ import annotations

from pathlib import Path

import click

from commission_tui.cli.output import emit, json_option, say


@click.group()
def wall() -> None:
    """Wall files: the design as the engineer hands it over."""


@wall.command("review")
@click.argument("file", type=click.Path(path_type=Path))
@json_option
@click.pass_context
def review(ctx: click.Context, file: Path, as_json: bool) -> None:
    """Say what follows from a wall file, and what contradicts what.

    Exit status 1 when there is a contradiction or an overload.
    """
    from commission_tui.wall.reading import read_wall
    from commission_tui.wall.review import review as review_wall

    found = review_wall(read_wall(file))
    if as_json:
        emit(found.as_dict())
    else:
        for line in found.lines():
            say(line)
    if any(finding.severity in {"contradiction", "overload"} for finding in found.findings):
        ctx.exit(1)

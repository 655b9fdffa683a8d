"""Wall files: writing one, reviewing one."""

from __future__ import annotations

import math
import os
from pathlib import Path
from typing import Any

import click

from commission_tui.cli.output import emit, json_option, say
from commission_tui.errors import InputError
from commission_tui.files import write_whole
from commission_tui.text import quoted


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
    from commission_tui.wall.model.wall_file import read_wall
    from commission_tui.wall.review.design_review import review as review_wall

    found = review_wall(read_wall(file))
    if as_json:
        emit(found.as_dict())
    else:
        for line in found.lines():
            say(line)
    if any(finding.severity in {"contradiction", "overload"} for finding in found.findings):
        ctx.exit(1)


class _Pair(click.ParamType):  # type: ignore[type-arg]
    """Two numbers, across and down: ``500x500``, or ``500`` for both."""

    name = "across x down"

    def convert(
        self, value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> tuple[float, float]:
        if isinstance(value, tuple):  # an answer to a question comes by twice
            return value[0], value[1]
        across, times, down = value.lower().partition("x")
        try:
            return float(across), float(down if times else across)
        except ValueError:
            self.fail(f"found {quoted(value, 30)}, expected such as 500x500", param, ctx)


class _Number(click.ParamType):  # type: ignore[type-arg]
    """A number, with a point or a comma."""

    name = "number"

    def convert(
        self, value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> float:
        if isinstance(value, float):
            return value
        try:
            return float(str(value).strip().replace(",", "."))
        except ValueError:
            self.fail(f"found {quoted(str(value), 30)}, expected a number such as 8.4", param, ctx)


class _Count(click.IntRange):
    """A whole number, told apart from others in plain words."""

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        try:
            return super().convert(value, param, ctx)
        except click.BadParameter:
            least = f"of {self.min} or more"
            span = least if self.max is None else f"from {self.min} to {self.max}"
            self.fail(f"found {quoted(str(value), 30)}, expected a whole number {span}", param, ctx)


@wall.command("new")
@click.argument("file", type=click.Path(dir_okay=False, path_type=Path))
@click.option("--name", prompt="Wall", help="Such as 'Main auditorium'.")
@click.option("--site", prompt="Site", help="The building.")
@click.option(
    "--mounting",
    type=click.Choice(["flown", "stacked", "wall-mounted"]),
    prompt="Mounting",
    default="flown",
)
@click.option("--columns", type=_Count(1, 500), prompt="Cabinets across")
@click.option("--rows", type=_Count(1, 500), prompt="Cabinets down")
@click.option("--cabinet-mm", type=_Pair(), prompt="Cabinet, mm", help="Such as 500x500.")
@click.option("--cabinet-px", type=_Pair(), prompt="Cabinet, px", help="Such as 200x200.")
@click.option("--modules", type=_Pair(), default="1x1", help="In a cabinet, across x down.")
@click.option("--weight-kg", type=_Number(), prompt="Weight of a cabinet, kg")
@click.option("--power-w", type=_Number(), prompt="Highest power of a cabinet, W")
@click.option("--power-factor", type=_Number(), default=0.95, show_default=True)
@click.option("--ports", type=_Count(1, 1024), prompt="Ports of the processor")
@click.option("--pixels-per-port", type=_Count(1), prompt="Pixels per port")
@click.option(
    "--load-rule", type=click.Choice(["sum", "rectangle"]), default="sum", show_default=True
)
@click.option("--rate", "frame_rate_hz", type=_Number(), default=60.0, show_default=True)
@click.option("--voltage", "voltage_v", type=_Number(), default=230.0, show_default=True)
@click.option("--breaker", "breaker_a", type=_Number(), default=16.0, show_default=True)
@click.option("--replace", is_flag=True, help="Write over a file that is there.")
def new(
    file: Path,
    replace: bool,
    cabinet_mm: tuple[float, float],
    cabinet_px: tuple[float, float],
    modules: tuple[float, float],
    power_w: float,
    **told: Any,
) -> None:
    """Write the wall file of a plain grid; asks for what the options do not say."""
    from commission_tui.wall.model.wall_draft import Plan, new_wall_text

    if os.path.lexists(file) and not replace:
        raise InputError(f"{file}: is there already; say --replace to write over it")
    text = new_wall_text(
        Plan(
            cabinet_mm=cabinet_mm,
            cabinet_px=_whole("--cabinet-px", cabinet_px),
            modules=_whole("--modules", modules),
            power_max_w=power_w,
            **told,
        )
    )
    write_whole(file, text.encode(), InputError)
    say(
        f"{file}: {told['columns'] * told['rows']} cabinets; next: commission-tui wall review {file}"
    )


def _whole(option: str, pair: tuple[float, float]) -> tuple[int, int]:
    if not all(math.isfinite(value) and value == int(value) for value in pair):
        raise InputError(f"{option}: found {pair[0]:g}x{pair[1]:g}, expected whole numbers")
    return int(pair[0]), int(pair[1])


@wall.command("failures")
@click.argument("file", type=click.Path(path_type=Path))
@click.option(
    "--agreed",
    type=click.IntRange(0),
    default=0,
    show_default=True,
    help="Cabinets that a single failure may darken, by the contract.",
)
@click.option("--script", is_flag=True, help="Also the failover test, step by step.")
@json_option
@click.pass_context
def failures(ctx: click.Context, file: Path, agreed: int, script: bool, as_json: bool) -> None:
    """List what goes dark when one port, jumper, circuit or shared part fails.

    Exit status 1 when one failure loses more cabinets than agreed.
    """
    from commission_tui.wall.model.wall_file import read_wall
    from commission_tui.wall.review.redundancy import failover_script, graph_of, ranges

    graph = graph_of(read_wall(file))
    found = graph.failures(agreed)
    steps = failover_script(graph) if script else ()
    if as_json:
        emit(
            {
                "failures": [failure.as_dict() for failure in found],
                "script": [step.as_dict() for step in steps],
            }
        )
    else:
        alone = [
            failure for failure in found if failure.kind == "cabinet" and len(failure.dark) == 1
        ]
        for failure in found:
            if failure in alone and not failure.is_beyond_agreed:
                continue
            grave = "MORE THAN AGREED" if failure.is_beyond_agreed else "within agreed"
            say(
                f"{failure.kind} {failure.name}: {len(failure.dark)} dark, {grave}: {ranges(failure.dark)}"
            )
        say(f"cabinets that darken themselves alone: {len(alone)} of {len(graph.wall.cabinets)}")
        for step in steps:
            say(f"{step.starts_s // 60:>3} min  {step.do}; expect {step.expect}; {step.put_back}")
    if any(failure.is_beyond_agreed for failure in found):
        ctx.exit(1)


@wall.command("scan")
@click.argument("file", type=click.Path(path_type=Path))
@click.argument("observed", type=click.Path(path_type=Path))
@json_option
def scan(file: Path, observed: Path, as_json: bool) -> None:
    """Explain what a stepped line did: what is turned, and what has the wrong scan table.

    OBSERVED is CSV: location,across,down. A location is a cabinet (R3C7) or a module (R3C7 m1,2);
    the line runs 'right way', 'backwards', 'jumps' or as a 'comb'.
    """
    from commission_tui.wall.mapping.scan import diagnose_scan
    from commission_tui.wall.mapping.scan_table import read_scan_table
    from commission_tui.wall.model.wall_file import read_wall

    hung = read_wall(file)
    found = diagnose_scan(hung, read_scan_table(observed, hung))
    if as_json:
        emit(found.as_dict())
        return
    for finding in found.findings:
        say(f"{finding.kind} ({finding.scope}, {finding.where}): {finding.says}")
        say(f"  {finding.correction}")
    if found.tearing_seams:
        say(f"may tear on camera at: {', '.join(str(seam) for seam in found.tearing_seams)}")
    if not found.findings:
        say("every line runs the right way")

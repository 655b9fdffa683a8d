"""What several commands take: files, a job by its name, and whether the answer is wanted as JSON."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from functools import wraps
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from commission_tui.errors import InputError

if TYPE_CHECKING:
    from commission_tui.logbook.job import OpenJob

_JSON = f"{__name__}.json"
"""Under this the context of a command knows whether its answer is wanted as JSON."""
_BELOW_NOUGHT = re.compile(r"-[.,]?\d")


def _remember(ctx: click.Context, _option: click.Parameter, wanted: bool) -> None:
    ctx.meta[_JSON] = wanted


json_option: Callable[[Any], Any] = click.option(
    "--json",
    is_flag=True,
    expose_value=False,
    callback=_remember,
    help="Machine-readable output on stdout.",
)


class ValueCommand(click.Command):
    """A command that takes a value, which may be a number below nought and is then no option."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        ctx.ignore_unknown_options = any(map(_BELOW_NOUGHT.match, args))
        return super().parse_args(ctx, args)


class Measured(click.ParamType[float]):
    """A measured number of an option, read as a reading is: a decimal comma, its own unit behind it."""

    name = "number"

    def __init__(self, unit: str = "") -> None:
        self.unit = unit

    def convert(
        self, value: str | float, param: click.Parameter | None, ctx: click.Context | None
    ) -> float:
        """Return the number in the option's unit."""
        from commission_tui.engineering.numeric.quantity_text import parse_quantity

        if isinstance(value, int | float):  # a default
            return float(value)
        try:
            return parse_quantity(value, self.unit)
        except ValueError as error:
            raise click.BadParameter(str(error), ctx, param) from None


any_file = click.Path(path_type=Path)
new_file = click.Path(dir_okay=False, path_type=Path)


def _free_table(_: click.Context, _option: click.Parameter, path: Path | None) -> Path | None:
    """Refuse a name for a table that is no .csv file's, or that of a file that is there."""
    if path is not None and path.suffix.lower() != ".csv":
        raise InputError(
            f"{path}: found a name of another kind of file, expected one that ends in .csv"
        )
    if path is not None and path.exists():
        raise InputError(f"{path}: found a file, expected a name that is free")
    return path


def table_output(taker: str) -> Callable[[Any], Any]:
    """Return the option for the new table that a command writes and `taker` takes."""
    return click.option(
        *("-o", "--output"),
        type=new_file,
        callback=_free_table,
        help=f"Where to write the table that '{taker}' takes, a .csv file that is not there yet.",
    )


def wants_json() -> bool:
    """Whether the command that runs is asked for data; without `json_option` it never is."""
    return bool(click.get_current_context().meta.get(_JSON))


def _checks_by_id(opened: OpenJob, given: Mapping[str, Any]) -> dict[str, Any]:
    """Return what a command was given, its checks by id, which may have been named by words."""
    found = dict(given)
    if found.get("check"):
        found["check"] = opened.state.checklist.find(found["check"]).id
    if "checks" in found:
        found["checks"] = tuple(opened.state.checklist.find(one).id for one in found["checks"])
    return found


def opens_job(metavar: str) -> Callable[[Callable[..., Any]], Callable[..., Any]]:
    """Return what gives a command a job by name: open while it runs, closed behind it."""

    def decorated(command: Callable[..., Any]) -> Callable[..., Any]:
        @click.argument("job", metavar=metavar)
        @wraps(command)
        def on_opened(job: str, **given: Any) -> Any:
            with click.get_current_context().obj.job(job) as opened:
                return command(opened, **_checks_by_id(opened, given))

        return on_opened

    return decorated


on_job = opens_job("JOB")

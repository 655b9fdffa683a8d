"""The command line: everything the program does, without its screens.

Data goes to stdout, messages to stderr. Exit status: 0 done, 1 a check failed (or the wall file
contradicts itself), 2 the input was wrong, 3 the database, 4 the document, 130 interrupted.
"""

from __future__ import annotations

import os
import sys
from enum import IntEnum
from pathlib import Path

import click

from commission_tui import __version__
from commission_tui.cli.lazy import LazyGroup
from commission_tui.cli.output import Session, message
from commission_tui.errors import CommissionError, DocumentError, StoreError


class Exit(IntEnum):
    """What the exit status means."""

    DONE = 0
    FAILED = 1
    INPUT = 2
    STORE = 3
    DOCUMENT = 4
    INTERRUPTED = 130


@click.group(
    cls=LazyGroup,
    lazy={
        "demo": "commission_tui.cli.demo:demo",
        "wall": "commission_tui.cli.wall:wall",
        "job": "commission_tui.cli.job:job",
        "log": "commission_tui.cli.log:log",
        "evaluate": "commission_tui.cli.job:evaluate",
        "calc": "commission_tui.cli.calc:calc",
        "pattern": "commission_tui.cli.picture:pattern",
        "edid": "commission_tui.cli.picture:edid",
        "diagnose": "commission_tui.cli.picture:diagnose",
        "export": "commission_tui.cli.export:export",
    },
    invoke_without_command=True,
    context_settings={"help_option_names": ["-h", "--help"]},
)
@click.option(
    "--database",
    type=click.Path(dir_okay=False, path_type=Path),
    envvar="COMMISSION_TUI_DATABASE",
    help="The logbook file. Default: in the user's data folder.",
)
@click.option("--as", "by", envvar="COMMISSION_TUI_AS", help="Who logs. Default: the login name.")
@click.option("--ascii", "ascii_only", is_flag=True, help="Screens without drawn characters.")
@click.version_option(__version__, "-V", "--version")
@click.pass_context
def root(ctx: click.Context, database: Path | None, by: str | None, ascii_only: bool) -> None:
    """Commission an LED video wall, from first power-up to a signed handover.

    Without a command: opens the screens.
    """
    ctx.obj = Session(database, by, ascii_only)
    if ctx.invoked_subcommand is None:
        ctx.obj.open_screens()


def main() -> None:
    """Run the command line; no traceback reaches a user."""
    sys.exit(run(sys.argv[1:]))


def run(arguments: list[str]) -> int:
    """Run one command and return its exit status."""
    try:
        status = root.main(arguments, prog_name="commission-tui", standalone_mode=False)
    except click.exceptions.Exit as done:
        return done.exit_code
    except click.Abort:
        message("stopped; what was logged is kept")
        return Exit.INTERRUPTED
    except click.ClickException as error:
        message(error.format_message())
        return Exit.INPUT
    except StoreError as error:
        message(str(error))
        return Exit.STORE
    except DocumentError as error:
        message(str(error))
        return Exit.DOCUMENT
    except CommissionError as error:
        message(str(error))
        return Exit.INPUT
    except BrokenPipeError:
        # The reader (head, less) has gone; Python must not complain when it closes stdout.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return Exit.DONE
    return status if isinstance(status, int) else Exit.DONE

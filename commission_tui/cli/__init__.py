"""The command line: everything the program does, without its screens.

Data goes to stdout, messages to stderr. Exit status: 0 done, 1 a check failed (or the wall file
contradicts itself), 2 the input was wrong, 3 the database, 4 the document, 5 nothing proves a
document that is intact for all that can be told (`verify`), 130 interrupted.
"""

from __future__ import annotations

import contextlib
import io
import os
import signal
import sys
from collections.abc import Iterator
from enum import IntEnum
from pathlib import Path

import click

from commission_tui import __version__
from commission_tui.cli.lazy import LazyGroup
from commission_tui.cli.output import Session, message
from commission_tui.cli.summaries import SUMMARIES
from commission_tui.errors import CommissionError, DocumentError, StoreError


class Exit(IntEnum):
    """What the exit status means."""

    DONE = 0
    FAILED = 1
    INPUT = 2
    STORE = 3
    DOCUMENT = 4
    UNPROVED = 5
    INTERRUPTED = 130


@click.group(
    cls=LazyGroup,
    lazy={
        "demo": "commission_tui.cli.jobs.demo_command:demo",
        "wall": "commission_tui.cli.design.wall_commands:wall",
        "job": "commission_tui.cli.jobs.job_commands:job",
        "name": "commission_tui.cli.jobs.name_command:name",
        "log": "commission_tui.cli.jobs.log_commands:log",
        "part": "commission_tui.cli.jobs.part_commands:part",
        "checklist": "commission_tui.cli.design.checklist_commands:checklist",
        "evaluate": "commission_tui.cli.jobs.job_commands:evaluate",
        "calc": "commission_tui.cli.design.calc:calc",
        "pattern": "commission_tui.cli.design.pattern_commands:pattern",
        "edid": "commission_tui.cli.design.pattern_commands:edid",
        "photo": "commission_tui.cli.photo.photo_group:photo",
        "diagnose": "commission_tui.cli.design.pattern_commands:diagnose",
        "setting": "commission_tui.cli.jobs.settings_and_visits:setting",
        "doubts": "commission_tui.cli.jobs.settings_and_visits:doubts",
        "keep": "commission_tui.cli.jobs.settings_and_visits:keep",
        "limit": "commission_tui.cli.jobs.settings_and_visits:limit",
        "plan": "commission_tui.cli.jobs.settings_and_visits:plan",
        "visit": "commission_tui.cli.jobs.settings_and_visits:visit",
        "compare": "commission_tui.cli.jobs.settings_and_visits:compare",
        "trail": "commission_tui.cli.jobs.trail_command:trail",
        "export": "commission_tui.cli.documents.export_command:export",
        "key": "commission_tui.cli.documents.signing_commands:key",
        "accept": "commission_tui.cli.documents.acceptance_command:accept",
        "sign": "commission_tui.cli.documents.signing_commands:sign",
        "verify": "commission_tui.cli.documents.signing_commands:verify",
        "import": "commission_tui.cli.documents.signing_commands:import_",
        "backup": "commission_tui.cli.documents.backup_commands:backup",
        "restore": "commission_tui.cli.documents.backup_commands:restore",
        "merge": "commission_tui.cli.documents.backup_commands:merge",
    },
    summaries=SUMMARIES,
    invoke_without_command=True,
    context_settings={"help_option_names": ["-h", "--help"]},
)
@click.option(
    "--database",
    type=click.Path(path_type=Path),
    envvar="COMMISSION_TUI_DATABASE",
    help="The logbook file. Default: in the user's data folder.",
)
@click.option(
    "--as",
    "by",
    envvar="COMMISSION_TUI_AS",
    help="Who logs. Default: the name given at the first start.",
)
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
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            # What the terminal's encoding lacks is written as an escape.
            stream.reconfigure(errors="backslashreplace")
    if sys.stdin is None:  # closed by the caller; a question then finds no answer
        sys.stdin = Path(os.devnull).open(encoding="utf-8")  # noqa: SIM115 (until the end)
    status = run(sys.argv[1:])
    # All is done or undone: an interrupt while Python tidies up must not say otherwise.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    sys.exit(status)


def run(arguments: list[str]) -> int:
    """Run one command and return its exit status."""
    try:
        with _pipes_apart():
            status = _run(arguments)
            if sys.stdout is not None:
                sys.stdout.flush()
    except BrokenPipeError:
        # The reader (head, less) has gone; Python must not complain when it closes stdout.
        _give_up_stdout()
        return Exit.DONE
    except KeyboardInterrupt:
        return Exit.INTERRUPTED
    except OSError as error:
        _give_up_stdout()
        with contextlib.suppress(OSError):
            message(f"{error.filename or 'output'}: {error.strerror}")
        return Exit.INPUT
    return status


@contextlib.contextmanager
def _pipes_apart() -> Iterator[None]:
    """Tell a reader that has gone from a check that failed: click makes both exit status 1.

    Click puts a wrapper round both streams when the reader has gone, and only then.
    """
    out, err = sys.stdout, sys.stderr
    try:
        yield
    except SystemExit:
        if sys.stdout is out:
            raise
        sys.stdout, sys.stderr = out, err
        raise BrokenPipeError from None


def _give_up_stdout() -> None:
    """Let what is still to be written go nowhere."""
    with contextlib.suppress(OSError, ValueError, AttributeError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _run(arguments: list[str]) -> int:
    try:
        status = root.main(arguments, prog_name="commission-tui", standalone_mode=False)
    except click.exceptions.Exit as done:
        return done.exit_code
    except click.Abort as stopped:
        return _stopped(stopped)
    except click.ClickException as error:
        message(error.format_message())
        return Exit.INPUT
    except CommissionError as error:
        # Some errors say everything that is wrong, line by line.
        for line in getattr(error, "lines", [str(error)]):
            message(line)
        kinds = {StoreError: Exit.STORE, DocumentError: Exit.DOCUMENT}
        return next((kinds[kind] for kind in kinds if isinstance(error, kind)), Exit.INPUT)
    return status if isinstance(status, int) else Exit.DONE


def _stopped(stopped: click.Abort) -> int:
    if isinstance(stopped.__context__, EOFError):
        message("found no answer, expected one; every question is also an option, see --help")
        return Exit.INPUT
    message("stopped; what was logged is kept")
    return Exit.INTERRUPTED

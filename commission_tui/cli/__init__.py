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
from collections.abc import Iterator, Mapping
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
    UNPROVED = 5
    INTERRUPTED = 130


SUMMARIES: Mapping[str, str] = {
    "demo": "Make the invented job Fellmoor Town Hall and open it.",
    "wall": "Wall files: the design as the engineer hands it over.",
    "job": "Jobs of this logbook.",
    "name": "Show whose name signs what is logged on this computer, or change it to NAME.",
    "log": "Log a reading, a fault, a note, an instrument or a meter's table.",
    "part": "Cabinets, modules, receiving cards, power supplies and spares, by serial.",
    "checklist": "List the checks and methods that come with the program; try a firm's own.",
    "evaluate": "Judge every check of a job: verdict, figures, reason. Exit status 1 when one fails.",
    "calc": "Compute one thing: timing, load, current, contrast, shutter and so on.",
    "pattern": "Draw a test pattern at the wall's own resolution; without NAME, list them.",
    "edid": "Write the EDID block that offers a source the canvas of one input.",
    "photo": "Read photographs of the wall: tiles, evenness, faulty LEDs, seams, a camera's bands.",
    "diagnose": "Explain what every cabinet shows: causes, plug moves, and what to look at next.",
    "setting": "Log a setting as it now is, and say what is no longer good; alone, list the settings.",
    "doubts": "List the results that a later change left no longer good, and the shortest retest.",
    "keep": "Say why results that a change put in doubt still stand.",
    "limit": "List the limits of a check with their sources, or agree one anew.",
    "plan": "Order what to do in the remaining time, by what is worth most on the opening night.",
    "visit": "Begin a later visit, or list the visits of a job.",
    "compare": "Compare two visits: what drifted, what is new, what is gone.",
    "trail": "Print the trail of a figure: every reading, correction, limit and setting behind it.",
    "export": "Write the handover document (pdf, or png pictures of its pages) or the record in an open form.",
    "key": "Keys that documents are signed with.",
    "accept": "Log the client's decision on the wall and on each exception; --list says which there are.",
    "sign": "Sign a handover document; each further signer signs what the one before left.",
    "verify": "Check a document (PDF), a record (JSON) or a logbook.",
    "import": "Read a job back out of its document or record, into the logbook.",
    "backup": "Copy the logbook while it is in use: to a file or folder, or beside it with the rolling copies.",
    "restore": "Put a copy in the place of the logbook; the logbook that it replaces is kept.",
    "merge": "Bring other logbooks, documents or records into this logbook; the others are only read.",
}
"""What the help says of each command, so that it need not be imported; a test holds both alike."""


_MODULES: Mapping[str, str] = {
    "design.calc": "calc",
    "design.checklist_commands": "checklist",
    "design.pattern_commands": "pattern edid diagnose",
    "design.wall_commands": "wall",
    "documents.backup_commands": "backup restore merge",
    "documents.handover_commands": "export accept",
    "documents.signing_commands": "key sign verify import",
    "jobs.demo_command": "demo",
    "jobs.job_commands": "job",
    "jobs.verdict_commands": "evaluate trail",
    "jobs.log_commands": "log",
    "jobs.name_command": "name",
    "jobs.part_commands": "part",
    "jobs.settings_and_visits": "setting doubts keep limit plan visit compare",
    "photo.photo_group": "photo",
}
"""Where each command stands."""


@click.group(
    cls=LazyGroup,
    modules=_MODULES,
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

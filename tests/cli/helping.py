"""What a command was told and what came back."""

from __future__ import annotations

import contextlib
import json
import os
import pty
import select
import signal
import sys
from collections.abc import Sequence
from typing import Any, NoReturn, Protocol

from commission_tui.cli import main

_MOST_S = 60
"""So long nothing may be said."""


class Cli(Protocol):
    """Runs a command on a database of a test's own: exit status, what it said, what went wrong."""

    def __call__(
        self, *arguments: object, database: str = "logbook.db"
    ) -> tuple[int, str, str]: ...


def as_json(result: tuple[int, str, str]) -> Any:
    status, out, err = result
    assert status == 0, err
    return json.loads(out)


def with_meter(cli: Cli) -> None:
    status, out, _ = cli(
        *("log", "instrument", "Hall", "meter", "--name", "Spot meter", "--serial", "7"),
        *("--calibration-due", "2027-01-01", "--accuracy", "cd/m2=2"),
    )
    assert status == 0
    assert "Spot meter 7" in out


def typed_at_a_terminal(
    words: Sequence[str], typed: str, answers: Sequence[tuple[str, str]] = (), *, ends: int = 0
) -> str:
    """Run a command on a pseudo-terminal; all is typed at once, before anything is asked.

    `answers` are typed each when its question is there, in this order; "kill" is what no key says.
    The command ends with `ends`.
    """
    child, terminal = pty.fork()
    if child == 0:
        _at_its_terminal(words)
    os.write(terminal, typed.encode())
    said, left = b"", list(answers)
    with contextlib.suppress(OSError):  # the end of a pseudo-terminal
        while select.select([terminal], [], [], _MOST_S)[0] and (chunk := os.read(terminal, 65536)):
            said += chunk
            if not left or left[0][0].encode() not in said:
                continue
            _, answer = left.pop(0)
            if answer == "kill":
                os.kill(child, signal.SIGKILL)
            else:
                os.write(terminal, answer.encode())
    os.close(terminal)  # whoever still waits for an answer ends, and is told by how
    assert os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == ends, said.decode()
    return said.decode()


def _at_its_terminal(words: Sequence[str]) -> NoReturn:
    """Be the program, in a process that has all of it read in, on the terminal that it was given."""
    status = 1
    try:
        os.environ["TERM"] = "xterm"
        sys.stdin, sys.stdout, sys.stderr = (
            os.fdopen(number, mode, encoding="utf-8") for number, mode in enumerate("rww")
        )
        sys.argv[1:] = words
        main()
    except SystemExit as ended:
        status = int(ended.code or 0)
    finally:
        for stream in (sys.stdout, sys.stderr):
            stream.flush()
        os._exit(status)  # nothing of the test's own ends twice

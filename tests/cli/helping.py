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
from typing import Any, Protocol

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
    code = (
        f"import sys; sys.argv[1:] = {list(words)!r}\nfrom commission_tui.cli import main; main()"
    )
    child, terminal = pty.fork()
    if child == 0:
        os.environ["TERM"] = "xterm"
        os.execv(sys.executable, [sys.executable, "-c", code])  # noqa: S606 (on the pseudo-terminal)
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

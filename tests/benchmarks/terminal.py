"""A program in a pseudo-terminal of its own: what it writes, how soon, and how much memory it holds."""

from __future__ import annotations

import atexit
import fcntl
import os
import pty
import select
import shutil
import signal
import struct
import subprocess
import tempfile
import termios
import time
from collections.abc import Sequence
from functools import cache
from pathlib import Path
from types import TracebackType

QUIET_S = 0.06
"""A screen is painted when nothing more comes for this long."""


def as_installed() -> dict[str, str]:
    """Return an environment in which Python keeps its bytecode, as for a program that pip installed.

    Of both programs alike: pip compiles what it installs, a checkout may be told not to.
    """
    environment = dict(os.environ)
    if environment.pop("PYTHONDONTWRITEBYTECODE", None):
        environment["PYTHONPYCACHEPREFIX"] = _bytecode()
    return environment


@cache
def _bytecode() -> str:
    folder = tempfile.mkdtemp()
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    return folder


class InTerminal:
    """Runs a program in a terminal of a size; use as a context."""

    def __init__(self, command: Sequence[str], *, columns: int = 80, rows: int = 24) -> None:
        self.begun = time.perf_counter()
        self._main, inner = pty.openpty()
        fcntl.ioctl(inner, termios.TIOCSWINSZ, struct.pack("HHHH", rows, columns, 0, 0))
        environment = {
            "COMMISSION_TUI_AS": "A. Technician",
            **as_installed(),
            "TERM": "xterm-256color",
            "COLORTERM": "truecolor",
            "TEXTUAL_ANIMATIONS": "none",
        }
        environment.pop("NO_COLOR", None)
        self._process = subprocess.Popen(
            command, stdin=inner, stdout=inner, stderr=inner, env=environment, close_fds=True,
            start_new_session=True,
        )  # fmt: skip
        os.close(inner)
        self.written = b""

    def __enter__(self) -> InTerminal:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        at: TracebackType | None,
    ) -> None:
        self._process.send_signal(signal.SIGKILL)
        self._process.wait()
        os.close(self._main)

    def _read(self, wait_s: float) -> bytes:
        ready, _, _ = select.select([self._main], [], [], wait_s)
        if not ready:
            return b""
        try:
            return os.read(self._main, 65_536)
        except OSError:  # the program has ended
            return b""

    @property
    def handle(self) -> int:
        """The terminal's own end, to type at and to ask how it is set."""
        return self._main

    def type(self, keys: bytes) -> None:
        """Send keys and wait for nothing."""
        os.write(self._main, keys)

    def interrupt(self) -> None:
        """Send what the terminal makes of Ctrl-C for the program that has it to itself."""
        self._process.send_signal(signal.SIGINT)

    def ended(self, limit_s: float = 60.0) -> int:
        """Wait until the program has ended; return its exit status."""
        end = time.perf_counter() + limit_s
        while self._process.poll() is None and time.perf_counter() < end:
            self.written += self._read(0.1)
        return self._process.wait(1.0)

    def until(self, text: bytes, *, limit_s: float = 120.0) -> float:
        """Return the seconds since the start until a text has come.

        Raises
        ------
        TimeoutError
            When it does not come.
        """
        end = time.perf_counter() + limit_s
        while text not in self.written:
            if time.perf_counter() > end or self._process.poll() is not None:
                raise TimeoutError(f"{text!r} not seen; last: {self.written[-2000:]!r}")
            self.written += self._read(0.5)
        return time.perf_counter() - self.begun

    def quiet(self, for_s: float = QUIET_S) -> None:
        """Read until nothing more comes."""
        while True:
            got = self._read(for_s)
            if not got:
                return
            self.written += got

    def press(self, keys: bytes) -> tuple[float, int]:
        """Send a key; return the seconds until the last byte of what follows, and the bytes."""
        begun = time.perf_counter()
        os.write(self._main, keys)
        last, count, wait = begun, 0, 2.0
        while got := self._read(wait):
            last, wait = time.perf_counter(), QUIET_S
            count += len(got)
            self.written += got
        return last - begun, count

    def resident_bytes(self) -> int:
        """Return the memory that the program holds now, shared libraries included."""
        status = Path(f"/proc/{self._process.pid}/status").read_text(encoding="ascii")
        line = next(line for line in status.splitlines() if line.startswith("VmRSS"))
        return int(line.split()[1]) * 1024

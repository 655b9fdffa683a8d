"""Long work in a process of its own: it says how far it is, and ends at once when told to.

What computes outside Python for seconds, such as a typesetter, answers no interrupt, in a thread as
little as anywhere; a process is ended by the system. The work is a function ``module:name`` that takes
a request of plain data and a callable to say each step to, and returns files: name to bytes.

Not by `multiprocessing`: its new process looks for modules in the folder one stands in before anywhere
else, so that a ``multiprocessing.py`` lying on somebody's stick would be run; and what it prints while it
starts comes out on the screen.
"""

from __future__ import annotations

import contextlib
import os
import pickle
import shutil
import signal
import subprocess
import sys
import tempfile
import threading
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path
from typing import Any, NoReturn

from commission_tui.errors import CommissionError
from commission_tui.progress import StoppedError

Files = dict[str, bytes]
TellStep = Callable[[int, int, str], None]
"""Is told of each step as it begins: its number, how many there are, and what it is."""

COMMAND = (sys.executable, "-P", "-m", "commission_tui.subprocess_job")
"""Without the folder one stands in on Python's path: nothing that lies there is run."""
_PACKAGE_FOLDER = str(Path(__file__).resolve().parent.parent)
_SCRATCH = "commission-tui-work-"


@dataclass(frozen=True, slots=True)
class Step:
    """How far the work is."""

    number: int
    count: int
    says: str


class SubprocessJob:
    """One piece of work: `run` waits for it in any thread, `stop` ends it from any other."""

    def __init__(self, work: str, request: Mapping[str, Any]) -> None:
        self._asked = work, dict(request)
        self._lock = threading.Lock()
        self._process: subprocess.Popen[bytes] | None = None
        self._stopped = False

    def stop(self) -> None:
        """End the work, now or before it has begun; what is done already stays done."""
        with self._lock:
            self._stopped = True
            if self._process is not None:
                self._process.kill()

    def run(self, on_step: Callable[[Step], None], error: type[CommissionError]) -> Files:
        """Do the work and return its files; whatever is raised here, the process has ended.

        Raises
        ------
        StoppedError
            When `stop` was called.
        CommissionError
            What the work raised, or the given one when it broke off.
        """
        try:
            with tempfile.TemporaryDirectory(prefix=_SCRATCH) as scratch:
                process = self._started(scratch)
                answer = self._answer(process, on_step)
        except OSError as cause:
            raise error(f"work: cannot be started: {cause.strerror or cause}") from None
        if self._stopped:
            raise StoppedError
        if isinstance(answer, CommissionError):
            raise answer
        if isinstance(answer, dict):
            return answer
        status = process.returncode
        how = f"signal {-status}" if status < 0 else f"status {status}"
        raise error(answer or f"work: its process ended before it was done ({how})")

    def _started(self, scratch: str) -> subprocess.Popen[bytes]:
        path = os.pathsep.join(filter(None, (_PACKAGE_FOLDER, os.environ.get("PYTHONPATH"))))
        more = {"TMPDIR": scratch, "TEMP": scratch, "TMP": scratch, "PYTHONPATH": path}
        with self._lock:
            if self._stopped:
                raise StoppedError
            self._process = subprocess.Popen(  # noqa: S603 (our own command)
                [*COMMAND, scratch],
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                stderr=subprocess.DEVNULL,
                env=os.environ | more,
            )
            return self._process

    def _answer(self, process: subprocess.Popen[bytes], on_step: Callable[[Step], None]) -> Any:
        """Return files, an error or a line; nothing when the process ended before it answered."""
        assert process.stdin is not None  # noqa: S101 (both are pipes)
        assert process.stdout is not None  # noqa: S101
        try:
            with contextlib.suppress(BrokenPipeError):
                pickle.dump(self._asked, process.stdin)
                process.stdin.flush()
            while isinstance(answer := pickle.load(process.stdout), tuple):  # noqa: S301 (ours)
                on_step(Step(*answer))
        except (EOFError, pickle.UnpicklingError):  # cut off as the process ended
            answer = None
        finally:
            process.kill()
            process.wait()
            process.stdout.close()
            with contextlib.suppress(BrokenPipeError):
                process.stdin.close()
        return answer


# --- in the process


def main() -> NoReturn:
    """Do one piece of work, as asked on standard input."""
    # The one who asked ends this; an interrupt at the terminal reaches both.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    output = os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)  # what a library prints goes nowhere
    try:
        work, request = pickle.load(sys.stdin.buffer)  # noqa: S301 (from the one who asked)
    except EOFError:
        _end()
    threading.Thread(target=_end_with_who_asked, daemon=True).start()

    def tell(*step: int | str) -> None:
        pickle.dump(step, output)
        output.flush()

    try:
        module, _, name = work.partition(":")
        answer = getattr(import_module(module), name)(request, tell)
    except CommissionError as error:
        answer = error
    except OSError as error:
        answer = f"{error.filename or 'work'}: {error.strerror or error}"
    except BaseException as error:  # said in one line where it was asked for
        answer = f"work: failed: {type(error).__name__}: {error}"
    with contextlib.suppress(BrokenPipeError):
        pickle.dump(answer, output)
        output.close()
    os._exit(0)  # the thread that waits for the input to close is not waited for


def _end_with_who_asked() -> None:
    """Wait for the input to close: nobody then waits for the work, nobody else clears up."""
    sys.stdin.buffer.read()
    _end()


def _end() -> NoReturn:
    scratch = Path(sys.argv[1])
    if scratch.name.startswith(_SCRATCH):
        shutil.rmtree(scratch, ignore_errors=True)
    os._exit(1)


if __name__ == "__main__":
    main()

"""Long work in a process of its own: it says how far it is, and ends at once when told to.

What computes outside Python for seconds, such as a typesetter, ignores interrupts, in a
thread too; a process is ended by the system. The work is a function ``module:name`` that takes
a request of plain data and a callable to say each step to, and returns files: name to bytes. The
process that asked owns the folder for temporary files, and clears it away however the work ends; should
that process be killed itself, the work sees its input close, clears away and ends too.
"""

from __future__ import annotations

import contextlib
import json
import os
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
from typing import IO, Any, NoReturn

from commission_tui import errors

Files = dict[str, bytes]
Tell = Callable[[int, int, str], None]
"""Is told of each step as it begins: its number, how many there are, and what it is."""

COMMAND = (sys.executable, "-P", "-m", "commission_tui.apart")
"""Without the folder one stands in on Python's path: nothing that lies there is run."""
_PACKAGE_FOLDER = Path(__file__).resolve().parent.parent
_SCRATCH = "commission-tui-work-"
_CHUNK = 65536


class StoppedError(Exception):
    """The work was stopped; there is no result."""


@dataclass(frozen=True, slots=True)
class Step:
    """How far the work is."""

    number: int
    count: int
    says: str


class Apart:
    """One piece of work: `run` waits for it in any thread, `stop` ends it from any other."""

    def __init__(self, work: str, request: Mapping[str, Any]) -> None:
        self._work = work
        self._request = request
        self._lock = threading.Lock()
        self._process: subprocess.Popen[bytes] | None = None
        self._stopped = False

    def stop(self) -> None:
        """End the work, now or before it has begun; what is done already stays done."""
        with self._lock:
            self._stopped = True
            if self._process is not None:
                self._process.kill()

    def run(self, on_step: Callable[[Step], None], error: type[errors.CommissionError]) -> Files:
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
                return self._in_process(Path(scratch), on_step, error)
        except OSError as cause:
            raise error(f"work: cannot be started: {cause.strerror or cause}") from None

    def _in_process(
        self,
        scratch: Path,
        on_step: Callable[[Step], None],
        error: type[errors.CommissionError],
    ) -> Files:
        process = self._started(scratch)
        assert process.stdin is not None  # noqa: S101 (both are pipes)
        assert process.stdout is not None  # noqa: S101
        try:
            asked = {"work": self._work, "request": self._request}
            with contextlib.suppress(BrokenPipeError):
                process.stdin.write(json.dumps(asked).encode() + b"\n")
                process.stdin.flush()
            said = _read(process.stdout, on_step)
        finally:
            process.kill()
            process.wait()
            process.stdout.close()
            with contextlib.suppress(BrokenPipeError):
                process.stdin.close()
        if self._stopped:
            raise StoppedError
        return _result(said, process.returncode, error)

    def _started(self, scratch: Path) -> subprocess.Popen[bytes]:
        folder = str(scratch)
        path = os.pathsep.join(filter(None, (str(_PACKAGE_FOLDER), os.environ.get("PYTHONPATH"))))
        more = {"TMPDIR": folder, "TEMP": folder, "TMP": folder, "PYTHONPATH": path}
        with self._lock:
            if self._stopped:
                raise StoppedError
            self._process = subprocess.Popen(  # noqa: S603 (our own command)
                [*COMMAND, folder],
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                stderr=subprocess.DEVNULL,
                env=os.environ | more,
            )
            return self._process


@dataclass(slots=True)
class _Said:
    """What came back: files and whether they are all, or an error."""

    files: Files
    is_whole: bool = False
    error: str = ""
    text: str = ""


def _read(stream: IO[bytes], on_step: Callable[[Step], None]) -> _Said:
    said = _Said({})
    for line in iter(stream.readline, b""):
        try:
            head = json.loads(line)
        except ValueError:  # cut off as the process ended
            break
        if "step" in head:
            on_step(Step(*head["step"]))
        elif "file" in head:
            said.files[head["file"]] = stream.read(head["size"])
        elif "error" in head:
            said.error, said.text = head["error"], head["said"]
        else:
            said.is_whole = True
    return said


def _result(said: _Said, status: int, error: type[errors.CommissionError]) -> Files:
    if said.is_whole:
        return said.files
    if said.error:
        kinds = {kind.__name__: kind for kind in errors.CommissionError.__subclasses__()}
        raise kinds.get(said.error, error)(said.text)
    how = f"signal {-status}" if status < 0 else f"status {status}"
    raise error(f"work: its process ended before it was done ({how})")


# --- in the process


def main() -> NoReturn:
    """Do one piece of work, as asked on standard input."""
    # The one who asked ends this; an interrupt at the terminal reaches both.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    output = _output_alone()
    scratch = Path(sys.argv[1])
    asked = json.loads(_first_line() or _ended(scratch))
    threading.Thread(target=_end_with_input, args=(scratch,), daemon=True).start()

    def tell(number: int, count: int, says: str) -> None:
        _write(output, {"step": [number, count, says]})

    try:
        module, _, name = asked["work"].partition(":")
        files: Files = getattr(import_module(module), name)(asked["request"], tell)
        for name, content in files.items():
            _write(output, {"file": name, "size": len(content)}, content)
        _write(output, {"done": len(files)})
    except errors.CommissionError as error:
        _write(output, {"error": type(error).__name__, "said": str(error)})
    except BrokenPipeError:
        pass
    except BaseException as error:  # said in one line where it was asked for
        _write(output, {"error": type(error).__name__, "said": _told(error)})
    output.close()
    os._exit(0)  # the thread that waits for the input to close is not waited for


def _told(error: BaseException) -> str:
    if isinstance(error, OSError) and error.strerror:
        return f"{error.filename or 'work'}: {error.strerror}"
    return f"work: failed: {type(error).__name__}: {error}"


def _output_alone() -> IO[bytes]:
    """Keep the way back for what is said here; what a library prints goes nowhere."""
    back = os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)
    return back


def _write(output: IO[bytes], head: Mapping[str, Any], content: bytes = b"") -> None:
    output.write(json.dumps(head).encode() + b"\n" + content)
    output.flush()


def _first_line() -> bytes:
    """Return the first line of the input, or nothing when it ends before."""
    line = b""
    while not line.endswith(b"\n"):
        more = os.read(0, _CHUNK)
        if not more:
            return b""
        line += more
    return line


def _end_with_input(scratch: Path) -> None:
    while os.read(0, _CHUNK):
        pass
    _ended(scratch)


def _ended(scratch: Path) -> NoReturn:
    """End as the one who asked is gone: nobody waits for the work, nobody else clears up."""
    if scratch.name.startswith(_SCRATCH):
        shutil.rmtree(scratch, ignore_errors=True)
    os._exit(1)


if __name__ == "__main__":
    main()

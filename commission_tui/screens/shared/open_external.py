"""Opening a file outside the terminal, from a copy that only its owner can read."""

from __future__ import annotations

import atexit
import os
import shutil
import subprocess
import sys
import tempfile
from functools import cache
from pathlib import Path

from commission_tui.errors import InputError


def open_outside(name: str, content: bytes) -> Path:
    """Show bytes with the system's viewer for such files; returns the copy that it shows.

    Raises
    ------
    InputError
        When there is no desktop to show anything on, or the copy cannot be written.
    """
    path = kept_copy(name, content)
    command = _viewer()
    if command is None:
        raise InputError(f"no viewer can be opened from here; a copy is at {path}")
    try:
        _launch([*command, str(path)])
    except OSError as error:
        raise InputError(f"{command[0]}: {error.strerror}; a copy is at {path}") from None
    return path


def kept_copy(name: str, content: bytes) -> Path:
    """Write a copy that is gone when the program ends."""
    safe = "".join(c if c.isalnum() or c in "-_." else "-" for c in name).lstrip(".-")[-80:]
    try:
        path = _folder() / (safe or "file")
        handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
        with os.fdopen(handle, "wb") as file:
            file.write(content)
    except OSError as error:
        raise InputError(f"copy of {name}: cannot be written: {error.strerror}") from None
    return path


@cache
def _folder() -> Path:
    folder = Path(tempfile.mkdtemp(prefix="commission-tui-"))  # for its owner only
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    return folder


def _viewer() -> list[str] | None:
    """Return the system's own command; never one that would draw into this terminal."""
    if sys.platform == "darwin":
        return ["open"]
    if sys.platform == "win32":
        return ["explorer"]
    if not (os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY")):
        return None
    found = shutil.which("xdg-open")
    return [found] if found else None


def _launch(command: list[str]) -> None:
    nothing = subprocess.DEVNULL
    subprocess.Popen(  # noqa: S603 (our own command and our own copy)
        command, stdin=nothing, stdout=nothing, stderr=nothing, start_new_session=True
    )

"""A laptop whose Python has none of the modules of POSIX: commands and screens work there too.

The modules that Windows lacks are those that the library reference calls "Availability: Unix"
(https://docs.python.org/3/library/unix.html, from memory). Rules of Windows for files are simulated where
they differ: a name that is reserved, and a file that cannot be replaced while it is open.
"""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from commission_tui.errors import DocumentError
from commission_tui.files import write_all
from commission_tui.handover.writing import file_stem
from tests.paths import ROOT

MISSING = ("fcntl", "termios", "resource", "pwd", "grp", "tty", "pty", "curses", "readline")
WITHOUT = f"""
import sys
MISSING = frozenset({MISSING!r})
class Refused:
    def find_spec(self, name, path=None, target=None):
        if name in MISSING:
            raise ImportError(f"{{name}}: not on this system")
for name in MISSING:
    sys.modules.pop(name, None)
sys.meta_path.insert(0, Refused())
"""
IMPORTS = """
import importlib, pkgutil
import commission_tui
for found in pkgutil.walk_packages(commission_tui.__path__, "commission_tui."):
    if not found.name.startswith("commission_tui.photo") and not found.name.endswith("__main__"):
        importlib.import_module(found.name)
assert not MISSING & set(sys.modules), MISSING & set(sys.modules)
"""
COMMANDS = """
from commission_tui.cli import run
book = ["--database", sys.argv[1], "--as", "Jo"]
from importlib import resources
wall = str(resources.files("commission_tui.demo") / "fellmoor.toml")
for command in (
    ["wall", "review", wall],
    [*book, "job", "new", wall, "--name", "J", "--client", "C", "--integrator", "I"],
    [*book, "log", "note", "J", "a note"],
    [*book, "export", "J", "--format", "json", "-o", sys.argv[2]],
    [*book, "backup"],
):
    status = run(command)
    assert status in (0, 1), (command, status)
"""
SCREENS = """
import asyncio
from pathlib import Path
from commission_tui.logbook.logbook import Logbook
from commission_tui.screens.app.app import CommissionApp
async def look():
    app = CommissionApp(Logbook(Path(sys.argv[1])), "Jo")
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("f1", "escape")
        await pilot.pause()
asyncio.run(look())
"""


def test_every_module_every_command_and_the_screens_do_without(tmp_path: Path) -> None:
    program = WITHOUT + IMPORTS + COMMANDS + SCREENS
    done = subprocess.run(
        [sys.executable, "-c", program, str(tmp_path / "a.db"), str(tmp_path / "out")],
        capture_output=True,
        text=True,
        env={
            **os.environ,
            "PYTHONPATH": str(ROOT),
            "TERM": "xterm-256color",
            # On Windows Textual takes a driver of its own; the one for Linux is not looked for here.
            "TEXTUAL_DRIVER": "textual.drivers.headless_driver:HeadlessDriver",
        },
        timeout=300,
    )
    assert done.returncode == 0, done.stderr[-2000:]
    assert (tmp_path / "out").is_dir()


@pytest.mark.parametrize(
    "name", ["CON", "con", "Aux", "NUL", "COM1", "lpt9", "a.", "a. .", "CON.old", "x" * 300]
)
def test_no_file_of_ours_has_a_name_that_windows_keeps_for_itself(name: str) -> None:
    """Names as Microsoft's "Naming Files, Paths, and Namespaces" lists them (from memory)."""
    stem = file_stem(name)
    assert stem.partition(".")[0].upper() not in {"CON", "PRN", "AUX", "NUL", "COM1", "LPT9"}
    assert stem == stem.rstrip(". ")
    assert 0 < len(stem) < 200
    assert not set(stem) & set('<>:"/\\|?*')


def test_a_file_that_another_program_holds_open_leaves_all_as_it_was(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Windows refuses to replace a file that is open: sharing violation, as a PermissionError."""
    (tmp_path / "b").write_bytes(b"before")
    replace = Path.replace

    def refused(self: Path, target: Path) -> Path:
        if Path(target).name == "b":
            raise PermissionError(13, "The process cannot access the file: it is being used")
        return replace(self, target)

    monkeypatch.setattr(Path, "replace", refused)
    with pytest.raises(DocumentError, match=r"b: cannot be written: .*nothing written"):
        write_all(tmp_path, {"a": b"new", "b": b"new"}, DocumentError)
    assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == {"b": b"before"}

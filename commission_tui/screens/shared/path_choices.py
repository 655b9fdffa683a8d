"""The files of one kind in a folder, and the folders in it, as far as what was typed says so."""

from __future__ import annotations

import os
import stat
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from commission_tui.errors import InputError
from commission_tui.screens.shared.photo_dialog import typed_path
from commission_tui.screens.terminal.styled_text import Line, in_cells

_MOST = 500
UP = ".."


@dataclass(frozen=True, slots=True)
class PathChoice:
    """A folder to go into, or a file to take."""

    path: Path
    name: str
    folder: bool = False
    size: int = 0
    changed: float = 0.0


@dataclass(frozen=True, slots=True)
class PathChoices:
    """What can be chosen, and from which folder; or why there is nothing."""

    folder: Path
    choices: tuple[PathChoice, ...]
    trouble: str = ""


def choices(base: Path, typed: str, endings: Sequence[str]) -> PathChoices:
    """Return files with one of some endings, the newest first, then folders.

    What is typed narrows them by a part of their name, or leads elsewhere by a path. A file whose
    path is typed whole can be taken whatever its ending.
    """
    folder, part = _split(base, typed)
    try:
        found = [choice for entry in os.scandir(folder) if (choice := _choice(folder, entry))]
    except (OSError, ValueError) as error:
        problem = error.strerror if isinstance(error, OSError) else str(error)
        return PathChoices(folder, (), f"{folder}: cannot be read: {problem}")
    wanted = [
        c
        for c in found
        if part.casefold() in c.name.casefold()
        and (part.startswith(".") or not c.name.startswith("."))
        and (c.folder or c.name.casefold().endswith(tuple(endings)) or c.name == part)
    ]
    files = sorted((c for c in wanted if not c.folder), key=lambda c: (-c.changed, c.name))
    folders = sorted((c for c in wanted if c.folder), key=lambda c: c.name.casefold())
    up = [] if part else [PathChoice(folder.absolute().parent, UP, folder=True)]
    return PathChoices(folder, (*files[:_MOST], *folders[:_MOST], *up))


def _split(base: Path, typed: str) -> tuple[Path, str]:
    """Part what was typed into a folder and a part of a name."""
    try:
        path = typed_path(typed)
    except InputError:
        return base, ""
    if typed.rstrip("'\" ").endswith(("/", os.sep)) or path.name in ("", UP):
        return base / path, ""
    return base / path.parent, path.name


def _choice(folder: Path, entry: os.DirEntry[str]) -> PathChoice | None:
    try:
        found = entry.stat()
    except OSError:  # a link that leads nowhere
        return None
    if stat.S_ISDIR(found.st_mode):
        return PathChoice(folder / entry.name, entry.name, folder=True)
    if not stat.S_ISREG(found.st_mode):
        return None  # a pipe would wait for ever
    return PathChoice(folder / entry.name, entry.name, size=found.st_size, changed=found.st_mtime)


def folder_text(folder: Path) -> str:
    """Say where a folder is, as short as is clear."""
    try:
        whole = folder.absolute()
        here, home = Path.cwd(), Path.home()
    except (OSError, RuntimeError):
        return str(folder)
    if whole == here:
        return "the folder where this program was started"
    for near, sign in ((here, "."), (home, "~")):
        if whole.is_relative_to(near):
            return str(Path(sign) / whole.relative_to(near)) if whole != near else sign
    return str(whole)


def choice_line(choice: PathChoice, width: int) -> Line:
    """Say what can be chosen in one line."""
    if choice.folder:
        name = in_cells(choice.name, width - 8).rstrip()
        return (f"{name}/", "key"), ("  up" if choice.name == UP else "", "muted")
    more = f"  {_size(choice.size):>8}  {datetime.fromtimestamp(choice.changed).astimezone():%d %b %H:%M}"
    return (in_cells(choice.name, width - len(more)), ""), (more, "muted")


def _size(size: int) -> str:
    for unit in ("B", "kB", "MB"):
        if size < 1000:
            return f"{size:.0f} {unit}"
        size = round(size / 1000)
    return f"{size} GB"

"""Several patterns into one folder, each file whole or not there, told as it goes."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from commission_tui.errors import InputError
from commission_tui.wall.model.wall_model import Wall
from commission_tui.wall.patterns.catalogue import Pattern


@dataclass(frozen=True, slots=True)
class Step:
    """Which file is being written, and how many frames of it are done."""

    number: int
    of: int
    pattern: Pattern
    frame: int = 0
    frames: int = 1


def file_name(pattern: Pattern, wall: Wall) -> str:
    """Name a pattern's file by the pattern and by the canvas that it is made for."""
    words = "-".join(re.findall(r"[a-z0-9.]+", pattern.name))
    return f"{words}-{wall.width_px}x{wall.height_px}.png"


def there_already(patterns: Sequence[Pattern], wall: Wall, folder: Path) -> int:
    """Count the files that writing would replace."""
    return sum((folder / file_name(pattern, wall)).is_file() for pattern in patterns)


def write_patterns(
    wall: Wall, patterns: Sequence[Pattern], folder: Path, on_step: Callable[[Step], None]
) -> Iterator[Path]:
    """Write patterns into a folder, which is made when it is not there; yield each file that is whole.

    Files that are whole stay when a later one fails or `on_step` raises; a part of one never does.

    Raises
    ------
    InputError
        When the folder or a file cannot be written, or the wall has no room for a pattern.
    """
    from commission_tui.wall.patterns.pattern_files import render

    made = _made(folder)
    written = 0
    try:
        for number, pattern in enumerate(patterns, start=1):
            on_step(Step(number, len(patterns), pattern))

            def on_frame(
                done: int, of: int, number: int = number, pattern: Pattern = pattern
            ) -> None:
                on_step(Step(number, len(patterns), pattern, done, of))

            path = folder / file_name(pattern, wall)
            render(wall, pattern.name, path, progress=on_frame)
            written += 1
            yield path
    finally:
        if not written:
            _unmade(made)


def _made(folder: Path) -> list[Path]:
    """Make a folder; return those that were not there, the outermost first."""
    try:
        missing = [path for path in (folder, *folder.parents) if not path.exists()]
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise InputError(f"{folder}: cannot be written: {error.strerror}") from None
    except ValueError as error:  # a NUL in the path
        raise InputError(f"{str(folder)!r}: cannot be written: {error}") from None
    return missing[::-1]


def _unmade(made: Sequence[Path]) -> None:
    for path in reversed(made):
        try:
            path.rmdir()
        except OSError:
            return

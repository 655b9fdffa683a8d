"""What the dialog of the test patterns shows: each pattern, what it is for, what would be written."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from commission_tui.errors import InputError
from commission_tui.screens.shared.background_work import progress_line
from commission_tui.screens.shared.photo_dialog import typed_path
from commission_tui.screens.terminal.styled_text import (
    CAUTION_SIGN,
    MARK,
    Line,
    caution_line,
    in_cells,
)
from commission_tui.text import counted, listed
from commission_tui.wall.model.wall_model import Wall
from commission_tui.wall.patterns import PATTERNS, Pattern
from commission_tui.wall.patterns.folder import Step, file_name, there_already

ALL = tuple(PATTERNS.values())
_NAME_WIDTH = 31
_CAUTION_WIDTH = 11


def pattern_line(pattern: Pattern, width: int, *, marked: bool) -> Line:
    """Show a pattern: whether it is marked, its name, its caution in a word, what to look for."""
    word = "flashing" if pattern.moving else "caution" if pattern.caution else ""
    return (
        (f"{MARK if marked else ' '} ", "key"),
        (in_cells(pattern.name, _NAME_WIDTH), "strong" if marked else ""),
        (f"{CAUTION_SIGN} {word}".ljust(_CAUTION_WIDTH) if word else " " * _CAUTION_WIDTH, "caution-text"),
        (in_cells(pattern.look_for, max(10, width - _NAME_WIDTH - _CAUTION_WIDTH - 2)), "muted"),
    )  # fmt: skip


def detail_lines(pattern: Pattern, wall: Wall) -> list[Line]:
    """Say all there is to say of a pattern, its caution first."""
    lines: list[Line] = []
    if pattern.caution:
        lines.append(caution_line(pattern.caution))
    lines += [
        ((f"{label} ", "muted"), (text, ""))
        for label, text in (
            ("Look for", pattern.look_for),
            ("Proves", pattern.proves),
            ("Does not prove", pattern.does_not_prove),
        )
    ]
    kind = "an animated PNG" if pattern.moving else "PNG"
    lines.append((("File ", "muted"), (f"{file_name(pattern, wall)}, {kind}", "")))
    return lines


def wanted_line(patterns: Sequence[Pattern], wall: Wall, typed: str) -> Line:
    """Say what Enter would write, and how many files of these names are there already."""
    names = listed([pattern.name for pattern in patterns], 3)
    try:
        there = there_already(patterns, wall, typed_path(typed))
    except (InputError, OSError, ValueError):
        there = 0
    replaced = f"; {counted(there, 'file')} there already, to be replaced" if there else ""
    return ("Enter", "key"), (f" writes {names}{replaced}", "muted")


def step_line(step: Step, width: int) -> Line:
    """Say how far the writing is, over all files."""
    done = step.number - 1 + step.frame / max(1, step.frames)
    frames = f", frame {step.frame:,} of {step.frames:,}" if step.frames > 1 else ""
    more = in_cells(f"{step.pattern.name}{frames}", max(10, width - 46)).rstrip()
    return progress_line(f"{step.number} of {step.of}", done, step.of, width, more)


def written_lines(paths: Sequence[Path], patterns: Sequence[Pattern]) -> list[Line]:
    """Say where the files are, and once more what to mind before one is shown."""
    folder = paths[0].parent.absolute()
    names = listed([path.name for path in paths], 2)
    lines: list[Line] = [((f"{counted(len(paths), 'file')} in {folder}: {names}", "pass"),)]
    if any(pattern.moving for pattern in patterns):
        caution = f"{CAUTION_SIGN} Flashing: keep it off a wall that an audience looks at"
        lines.append(((caution, "caution-text"),))
    return lines


def stopped_text(written: int, of: int, why: str) -> str:
    """Say what is there after the writing ended early."""
    kept = f"{written} of {counted(of, 'file')} were whole and are kept"
    return f"{why}; {kept if written else 'nothing was written'}"

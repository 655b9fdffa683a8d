"""A firm's own checklist folder tried file by file, so that one error does not hide another."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from commission_tui.checks.checklists.checklist import Checklist
from commission_tui.checks.checklists.checklist_file import (
    file_errors,
    files_with,
    parse_checklist,
    shipped_files,
)
from commission_tui.errors import ChecklistError


@dataclass(frozen=True, slots=True)
class Tried:
    """What a folder holds: all errors of each check, and what the sound ones add and override."""

    files: int
    errors: tuple[str, ...]
    added: tuple[str, ...]
    overridden: tuple[str, ...]


def try_folder(folder: Path) -> Tried:
    """Try a folder of checklists with those that come with the program.

    Raises
    ------
    ChecklistError
        When the folder itself or a file in it cannot be read.
    """
    shipped = shipped_files()
    own = {name: text for name, text in files_with(folder).items() if name not in shipped}
    if not own:
        raise ChecklistError(f"{folder}: found no .toml file, expected checklists")
    errors: list[str] = []
    sound: dict[str, str] = {}
    for name, text in own.items():
        wrong = file_errors(name, text)
        errors += wrong
        if not wrong:
            sound[name] = text
    whole = _with(shipped, sound, errors)
    before = parse_checklist(shipped)
    there = {check.id: check for check in before}
    now = {check.id: check for check in whole} if whole else {}
    return Tried(
        len(own),
        tuple(errors),
        tuple(check for check in now if check not in there),
        tuple(check for check, item in now.items() if check in there and item != there[check]),
    )


def _with(shipped: dict[str, str], sound: dict[str, str], errors: list[str]) -> Checklist | None:
    """Put the sound files after the shipped ones, one by one, so that a clash names its file."""
    taken = dict(shipped)
    whole: Checklist | None = None
    for name, text in sound.items():
        try:
            whole = parse_checklist(taken | {name: text})
        except ChecklistError as error:
            errors.append(f"{name}: {error}")
        else:
            taken[name] = text
    return whole

"""The name of the person who logs, kept for this user of the computer until it is changed."""

from __future__ import annotations

from pathlib import Path

from commission_tui.errors import CommissionError, InputError
from commission_tui.files import read_text, write_whole
from commission_tui.text import escaped, quoted

_LONGEST = 80


def _path() -> Path | None:
    from platformdirs import user_config_path

    try:
        return user_config_path("commission_tui") / "who-logs.txt"
    except RuntimeError:  # no home folder
        return None


def kept_name() -> str:
    """Return the name that was given before, or nothing."""
    path = _path()
    if path is None or not path.is_file():
        return ""
    try:
        return escaped(read_text(path, 4 * _LONGEST, "a name", InputError).strip())[:_LONGEST]
    except CommissionError:
        return ""


def proper_name(typed: str) -> str:
    """Return a name as it is logged.

    Raises
    ------
    InputError
        When nothing was said, or more than a name, such as a key that is no letter.
    """
    name = escaped(typed.strip())
    if not name:
        raise InputError("name: found nothing, expected who logs")
    if name != typed.strip():
        raise InputError(f"name: found {quoted(typed)}, expected who logs, in letters alone")
    if len(name) > _LONGEST:
        raise InputError(f"name: found {len(name)} characters, expected at most {_LONGEST}")
    return name


def keep_name(name: str) -> bool:
    """Keep a name for the next start; False where it cannot be kept here."""
    path = _path()
    if path is None:
        return False
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        write_whole(path, (name + "\n").encode(), InputError)
    except (CommissionError, OSError):
        return False
    return True

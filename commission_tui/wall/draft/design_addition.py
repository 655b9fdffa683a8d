"""A wall file with one thing more in it: a camera, a stage position, a group of loudspeakers."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, MutableMapping
from dataclasses import dataclass
from functools import partial
from typing import Any

import tomli

from commission_tui.errors import InputError
from commission_tui.wall.draft import typed_design as typed
from commission_tui.wall.model.wall_file import parse_wall
from commission_tui.wall.model.wall_file_keys import toml_value

_ROOM = re.compile(r"(?ms)^\[room\].*?(?=^\[|\Z)")


@dataclass(frozen=True, slots=True)
class Addition:
    """One kind of thing that may be added."""

    words: str
    key: str
    """The table of the wall file that it is a row of, or the list of `[room]` that it stands in."""
    example: str
    read: Callable[[str], dict[str, Any]] = typed.name_line
    in_room: bool = False


ADDITIONS: tuple[Addition, ...] = (
    Addition("stage position", "stage_positions", "Lectern"),
    Addition("camera", "cameras", "Camera 1, 18 m, 1/50, 50", typed.camera_line),
    Addition("input", "inputs", "Laptop, HDMI 1, 1920x1080, 60", typed.input_line),
    Addition("loudspeakers with a delay of their own", "sound_zones", "Balcony", in_room=True),
    Addition("seat that is judged from", "seats", "Row A seat 12", in_room=True),
    Addition("state of the house's light", "light_states", "Service", in_room=True),
    Addition("preset of the processor", "presets", "Evening", in_room=True),
)


def with_added(text: str, addition: Addition, line: str) -> str:
    """Return a wall file's text with one thing more; what stood in it stays, comments too.

    Parameters
    ----------
    text
        The wall file.
    addition
        Which kind of thing.
    line
        What it is, as `wall new` takes it: ``Camera 1, 18 m, 1/50, 50``.

    Raises
    ------
    InputError
        When the line is not read, or the file is written so that it cannot be added here.
    WallFileError
        When the wall would not be sound with it, such as a name that is there already.
    """
    from tomlkit.exceptions import TOMLKitError

    row = addition.read(line)
    wanted = tomli.loads(text)
    change = partial(_change_room, addition, row["name"])
    if addition.in_room and "room" not in wanted:
        text = f"{text.rstrip()}\n\n[room]\n"
        wanted["room"] = {}
    try:
        if "room" in wanted:
            change(wanted["room"])
            text = _with_room(text, change)
        if not addition.in_room:
            wanted.setdefault(addition.key, []).append(row)
            text = _with_row(text, addition.key, row)
        taken = tomli.loads(text) == wanted
    except (TOMLKitError, tomli.TOMLDecodeError):
        taken = False
    if not taken:
        raise InputError(
            f"{addition.words}: the wall file is written so that it is not added here; add it there "
            "and log it with 'commission-tui job revise'"
        )
    parse_wall(text)
    return text


def _change_room(addition: Addition, name: str, room: MutableMapping[str, Any]) -> None:
    if addition.in_room:
        names = room.setdefault(addition.key, [])
        if name in names:
            raise InputError(f"{addition.words}: found {name!r} twice, expected each name once")
        names.append(name)
    for absent in ("without", "not_known"):  # what is there is not without it
        if addition.key in room.get(absent, []):
            room[absent].remove(addition.key)


def _with_room(text: str, change: Callable[[MutableMapping[str, Any]], None]) -> str:
    """Return the text with its room changed; of a `[room]` of its own no byte outside of it."""
    import tomlkit

    part = _ROOM.search(text)
    start, end = part.span() if part else (0, len(text))
    file = tomlkit.parse(text[start:end])
    change(file["room"])
    return text[:start] + file.as_string() + text[end:]


def _with_row(text: str, key: str, row: Mapping[str, Any]) -> str:
    """Return the text with a row more, as a table at its end or in the list that its rows stand in."""
    lines = "".join(f"{name} = {toml_value(value)}\n" for name, value in row.items())
    new = f"{text.rstrip()}\n\n[[{key}]]\n{lines}"
    try:
        tomli.loads(new)
    except tomli.TOMLDecodeError:
        import tomlkit

        file = tomlkit.parse(text)
        file[key].append(row)
        new = file.as_string()
    return new

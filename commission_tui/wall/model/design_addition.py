"""A wall file with one thing more in it: a camera, a stage position, a group of loudspeakers."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

import tomli

from commission_tui.errors import InputError
from commission_tui.wall.model import typed_design as typed
from commission_tui.wall.model.wall_file import parse_wall
from commission_tui.wall.model.wall_file_keys import toml_value


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
    row = addition.read(line)
    before = tomli.loads(text)
    if addition.in_room:
        name = row["name"]
        there = before.get("room", {}).get(addition.key, [])
        if name in there:
            raise InputError(f"{addition.words}: found {name!r} twice, expected each name once")
        new = _with_list(text, addition.key, [*there, name])
        wanted = before | {"room": before.get("room", {}) | {addition.key: [*there, name]}}
    else:
        there = before.get(addition.key, [])
        rows = "".join(f"{key} = {toml_value(value)}\n" for key, value in row.items())
        new = f"{text.rstrip()}\n\n[[{addition.key}]]\n{rows}"
        wanted = before | {addition.key: [*there, row]}
    for absent in ("without", "not_known"):  # what is there is not without it
        listed = before.get("room", {}).get(absent, [])
        if not addition.in_room and addition.key in listed:
            left = [feature for feature in listed if feature != addition.key]
            new = _with_list(new, absent, left)
            wanted["room"] = wanted["room"] | {absent: left}
    if not _says(new, wanted):
        raise InputError(
            f"{addition.words}: the wall file is written so that it is not added here; add it there "
            "and log it with 'commission-tui job revise'"
        )
    parse_wall(new)
    return new


def _with_list(text: str, key: str, names: list[str]) -> str:
    """Return the text with a list of `[room]` as given, where it stands on one line or not at all."""
    line = f"{key} = {toml_value(names)}"
    head = re.search(r"(?m)^\[room\][^\n]*\n", text)
    if head is None:
        return f"{text.rstrip()}\n\n[room]\n{line}\n"
    end = re.search(r"(?m)^\[", text[head.end() :])
    at = head.end() + end.start() if end else len(text)
    room = text[head.end() : at]
    old = re.compile(rf"(?m)^{key} *=[^\n]*$")
    new = old.sub(lambda _: line, room) if old.search(room) else f"{line}\n{room}"
    return text[: head.end()] + new + text[at:]


def _says(text: str, wanted: Mapping[str, Any]) -> bool:
    try:
        return tomli.loads(text) == wanted
    except tomli.TOMLDecodeError:
        return False

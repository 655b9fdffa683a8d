"""The kinds of fault a technician picks from: where each is, how grave, what to look at first.

Severities, gravest first: ``danger`` can hurt someone; ``stop`` an agreed function is lost, or
the middle of the picture spoilt; ``shows`` is seen from the nearest seat; ``near`` only closer or on a test pattern; ``note``.
The kinds are in ``faults.toml``. (Common practice, no published source; a job may choose another
severity for any fault.)
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields
from importlib import resources
from typing import Any, Literal, get_args

import tomli

from commission_tui.checks.model.types import SEVERITIES, Severity
from commission_tui.errors import ChecklistError, did_you_mean
from commission_tui.wall.model.location import Location
from commission_tui.wall.model.wall_model import Wall

Blocks = Literal["always", "unless accepted", "in the allowance", "no"]
"""Whether a fault stands in the way of acceptance; see `severity.blocking_rule`."""

RESOLUTIONS: dict[str, tuple[str, str]] = {
    "pixel": ("pixel", "a pixel: R3C7 x59 y18, or on the canvas x1211 y402"),
    "pixel and colour": ("pixel", "a pixel and its colour: R3C7 x59 y18 red, or x1211 y402 red"),
    "module": ("module", "a module, row and column inside the cabinet: R3C7 m1,2"),
    "line in module": ("line", "a line of a module: R3C7 m1,2 row 5, or R3C7 m1,2 columns 17-32"),
    "cabinet": ("cabinet", "a cabinet: R3C7"),
    "seam": ("seam", "a seam: R3C7 right, R3C7 bottom"),
    "corner": ("corner", "a corner: R3C7 corner"),
    "chain place": ("chain place", "a place in a chain: P4.12"),
    "port": ("port", "a port: P4"),
    "circuit": ("circuit", "a circuit: circuit LP1-1-L1"),
    "suspension point": ("suspension point", "a suspension point: suspension point H2"),
    "input": ("input", "an input: input Stage laptop"),
    "camera": ("camera", "a camera: camera Camera 1, balcony"),
    "light state": ("light state", "a light state: light state Concert"),
    "preset": ("preset", "a preset: preset House preset"),
    "seat": ("seat", "a seat: seat farthest seat"),
    "wall": ("wall", "wall"),
}
"""How closely a kind of fault must be placed: the form of the grammar, and how it is typed."""


@dataclass(frozen=True, slots=True)
class FaultKind:
    """A kind of fault: how closely it is placed, how grave it is, what to look at first."""

    name: str
    at: str
    """How closely the place must be named; one of `RESOLUTIONS`."""
    severity: Severity
    """The usual one."""
    seen_on: str
    first_looks: tuple[str, str, str]
    blocks: Blocks
    also: tuple[str, ...] = ()
    """What technicians call it as well."""
    hints: tuple[str, ...] = ()
    """Words for what may be it and may be another: it is offered, and somebody chooses."""
    either: tuple[str, ...] = ()
    """Words of its name that it leaves open: which of them was said is a note."""
    record: str = ""
    """What else to write down."""
    caution: str = ""
    picture: bool = True
    """Whether it is part of the picture, so that the middle of the wall makes it graver."""
    counts: bool = False
    """Whether it counts in the allowance for pixel faults although it blocks by itself."""

    @property
    def form(self) -> str:
        """The form of location (`Location.form`)."""
        return RESOLUTIONS[self.at][0]

    @property
    def place_hint(self) -> str:
        return RESOLUTIONS[self.at][1]

    @property
    def pixel(self) -> bool:
        """Whether it counts in the allowance for pixel faults."""
        return self.form == "pixel" and (self.counts or self.blocks == "in the allowance")


def read_catalogue(text: str) -> tuple[tuple[FaultKind, ...], frozenset[str]]:
    """Read a catalogue of faults: its kinds, and the words that make own words one of pixels.

    Raises
    ------
    ChecklistError
        Names the kind and the key that is not sound.
    """
    try:
        table = tomli.loads(text)
    except ValueError as error:  # bad TOML, or a number of thousands of digits
        raise ChecklistError(f"faults: not TOML: {error}") from None
    except RecursionError:
        raise ChecklistError("faults: nested too deeply, expected a catalogue") from None
    cautions, rows = table.get("cautions", {}), table.get("faults", [])
    if not isinstance(cautions, dict) or not isinstance(rows, list):
        raise ChecklistError("faults: expected a table of cautions and a list of faults")
    kinds = tuple(_kind(f"faults[{n}]", row, cautions) for n, row in enumerate(rows, 1))
    names = [kind.name for kind in kinds]
    for name in names:
        if names.count(name) > 1:
            raise ChecklistError(f"faults: found {name!r} again, expected each kind once")
    words = table.get("about_pixels", [])
    if not isinstance(words, list) or not all(isinstance(word, str) for word in words):
        raise ChecklistError(f"faults: about_pixels: found {words!r:.40}, expected a list of words")
    return kinds, frozenset(words)


def _kind(where: str, row: Any, cautions: Mapping[str, str]) -> FaultKind:
    if not isinstance(row, dict):
        raise ChecklistError(f"{where}: found {row!r:.40}, expected a table")
    values = dict(row)
    name = str(values.pop("kind", ""))
    where = f"{where} ({name[:40]})"
    known = {item.name for item in fields(FaultKind)} - {"name"}
    for key in values:
        if key not in known:
            raise ChecklistError(f"{where}.{key}: no such key{did_you_mean(key, known)}")
    for key, allowed in (
        ("at", RESOLUTIONS),
        ("severity", SEVERITIES),
        ("blocks", get_args(Blocks)),
    ):
        _one_of(f"{where}.{key}", values.get(key), tuple(allowed))
    if "caution" in values:
        _one_of(f"{where}.caution", values["caution"], tuple(cautions))
        values["caution"] = cautions[values["caution"]]
    looks = values.get("first_looks")
    if not isinstance(looks, list) or len(looks) != 3 or not name or not values.get("seen_on"):
        raise ChecklistError(f"{where}: expected kind, seen_on and three first_looks")
    words = {key: _words(f"{where}.{key}", values.get(key, [])) for key in _LISTS}
    return FaultKind(name, **(values | {"first_looks": tuple(looks)} | words))


_LISTS = ("also", "hints", "either")


def _words(where: str, found: Any) -> tuple[str, ...]:
    if not isinstance(found, list) or not all(isinstance(word, str) and word for word in found):
        raise ChecklistError(f"{where}: found {found!r:.40}, expected a list of words")
    return tuple(found)


def _one_of(where: str, found: Any, allowed: tuple[str, ...]) -> None:
    if found not in allowed:
        raise ChecklistError(
            f"{where}: found {found!r:.40}, expected one of {', '.join(allowed)}"
            f"{did_you_mean(str(found), allowed)}"
        )


_OURS = resources.files("commission_tui.checks.faults") / "faults.toml"
KINDS, PIXEL_WORDS = read_catalogue(_OURS.read_text(encoding="utf-8"))
"""What makes a fault in somebody's own words one of pixels."""
SOMETHING_ELSE = "something else"
"""The kind of what fits no other; what it is stands in the words beside it."""
_BY_NAME = {kind.name: kind for kind in KINDS}
_STEP_UP = {"note": "near", "near": "shows", "shows": "stop"}


def known_kind(name: str) -> FaultKind | None:
    """Return a kind by name; None for a fault in somebody's own words."""
    return _BY_NAME.get(name)


def first_looks(name: str) -> tuple[str, ...]:
    """Return what to look at first for a fault, in order; nothing for one in own words."""
    kind = _BY_NAME.get(name)
    return kind.first_looks if kind else ()


def too_coarse(kind: FaultKind, location: Location) -> str:
    """Say how a place could be named more closely, or nothing when it is as close as the kind asks."""
    if _closeness(location.form) >= _closeness(kind.form):
        lacks_colour = kind.at == "pixel and colour" and location.colour is None
        return f"expected {kind.place_hint}" if lacks_colour else ""
    return f"found {location}, expected {kind.place_hint}"


def _closeness(form: str) -> int:
    order = {"wall": 0, "cabinet": 1, "module": 2, "line": 3, "pixel": 4}
    # What is no part of a cabinet is as close as it gets.
    return order.get(form, 1)


def usual_severity(kind: FaultKind, wall: Wall, location: Location) -> str:
    """Return the usual severity: one step up in the middle half of the picture, never to danger."""
    if kind.picture and _in_middle(wall, location):
        return _STEP_UP.get(kind.severity, kind.severity)
    return kind.severity


def _in_middle(wall: Wall, location: Location) -> bool:
    if location.cell is None and location.chain_place is None:
        return False
    cells = wall.cells_at(location)
    if not cells:
        return False
    cabinet = wall.cabinets[cells[0]]
    x, y = location.pixel or (cabinet.width_px // 2, cabinet.height_px // 2)
    x, y = cabinet.x_px + x, cabinet.y_px + y
    return (
        wall.width_px <= 4 * x < 3 * wall.width_px and wall.height_px <= 4 * y < 3 * wall.height_px
    )

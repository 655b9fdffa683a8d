"""The places where a field is read: one for the wall, or one per cabinet, input, circuit; and those beside one."""

from __future__ import annotations

import itertools
import re
from collections.abc import Callable, Iterator

from commission_tui.engineering.structure.geometry import pitch_mm
from commission_tui.errors import InputError
from commission_tui.text import flat
from commission_tui.wall.model.location import Cell, parse_location
from commission_tui.wall.model.wall_model import Wall
from commission_tui.wall.review.findings import Finding

NINE_POINTS = tuple(f"point {n}" for n in range(1, 10))
"""Centres of nine equal rectangles, row by row from the top left (1/6, 1/2, 5/6)."""
GREY_STEPS = tuple(f"{percent} %" for percent in range(0, 101, 5))
GREY_LEVELS = ("100 % white", "50 % grey", "10 % grey")
DRIFT_MINUTES = ("0 min", "10 min", "20 min", "30 min", "60 min")
SEATS = ("nearest seat", "middle seat", "farthest seat")
VIEWING_SEATS = (*SEATS, "widest seat, house left", "widest seat, house right")
SHUTTER_STEPS = (
    *("two steps longer", "one step longer", "as used"),
    *("one step shorter", "two steps shorter"),
)
SOLID_COLOURS = ("red", "green", "blue", "white", "black")
SHARED_PARTS = ("converter", "trunk", "network switch")
"""What more than one port usually hangs on, where the wall file names none."""
_SHARED = frozenset({"converter", "trunk", "switch"})
TRAINING_TOPICS = (
    "switching on and off",
    "blackout",
    "choosing an input or preset",
    "level of each light state",
    "a row or cabinet goes dark",
    "changing a module",
    "whom to call",
)

_ANSWERED = frozenset({"contradiction", "overload"})
_LONGEST_NAME = 150
ROWS, COLUMNS = 2, 4
"""How far up and down, and left and right, a neighbour of a cabinet may be."""
_STEPS = sorted(
    (
        step
        for step in itertools.product(range(-ROWS, ROWS + 1), range(-COLUMNS, COLUMNS + 1))
        if step != (0, 0)
    ),
    key=lambda step: (abs(step[0]) + abs(step[1]), step),
)
_IN_A_LIST = 8
_SPOT_PX = 11
"""Half the side of 500 pixels, which a meter's spot is to cover at least."""
_ALIKE = frozenset(
    {
        *("nine points", "port", "backed-up port", "circuit", "protected circuit", "phase"),
        *("suspension point", "input", "stage position"),
    }
)
"""Kinds of place, named in a list, whose numbers are comparable."""
_ON_THE_GRID = frozenset({"cabinet", "row end", "seam"})
_NTH = re.compile(r"([0-9]+) of ([0-9]+)")


def findings_to_answer(wall: Wall) -> dict[str, Finding]:
    """Return the findings of the design review that need an answer, by a name that says them.

    The name is the finding's own words, so that an answer never stands beside another finding when
    a revision of the wall file changes what the review finds.
    """
    # Here, not at the top: the review brings in arrays, which every start would pay for.
    from commission_tui.wall.review.design_review import review

    found: dict[str, Finding] = {}
    for finding in review(wall).findings:
        if finding.severity in _ANSWERED:
            # The first sentence, figures and all.
            name = flat(finding.text).split(". ")[0][:_LONGEST_NAME].rstrip(". ")
            same = sum(known.split(" (again", 1)[0] == name for known in found)
            found[f"{name} (again, {same + 1})" if same else name] = finding
    return found


_PLACES: dict[str, Callable[[Wall], tuple[str, ...]]] = {
    "wall": lambda _: ("wall",),
    "design finding": lambda wall: tuple(findings_to_answer(wall)),
    "nine points": lambda _: NINE_POINTS,
    "grey step": lambda _: GREY_STEPS,
    "seat": lambda _: SEATS,
    "viewing seat": lambda wall: _room(wall, "seats") or VIEWING_SEATS,
    "grey level": lambda _: GREY_LEVELS,
    "shutter step": lambda _: SHUTTER_STEPS,
    "white drift minute": lambda _: DRIFT_MINUTES,
    "solid colour": lambda _: SOLID_COLOURS,
    "training topic": lambda _: TRAINING_TOPICS,
    "cabinet": lambda wall: tuple(str(cell) for cell in wall.cabinets),
    "seam": lambda wall: tuple(str(seam) for seam in wall.seams),
    "port": lambda wall: tuple(f"P{chain.port}" for chain in wall.chains),
    "backed-up port": lambda wall: tuple(
        f"P{chain.port}"
        for chain in wall.chains
        if chain.backup_port is not None or _none_named(wall, "backup runs")
    ),
    "circuit": lambda wall: tuple(circuit.name for circuit in wall.circuits),
    "protected circuit": lambda wall: tuple(
        circuit.name
        for circuit in wall.circuits
        if circuit.circuit.residual_ma is not None
        or _none_named(wall, "residual-current devices")
        or wall.has("residual-current devices") is None  # read at one, it is settled
    ),
    "phase": lambda wall: tuple(sorted({c.circuit.phase for c in wall.circuits})),
    "light state": lambda wall: _room(wall, "light_states") or ("show state",),
    "preset": lambda wall: _room(wall, "presets") or ("house preset",),
    "control point": lambda wall: _room(wall, "control_points") or ("main desk",),
    "sound zone": lambda wall: _room(wall, "sound_zones") or ("main loudspeakers",),
    "row end": lambda wall: _row_ends(wall),
    "shared part": lambda wall: (
        tuple(p.name for p in wall.file.signal_parts if p.kind in _SHARED) or SHARED_PARTS
    ),
    "input": lambda wall: tuple(item.name for item in wall.file.inputs),
    "camera": lambda wall: (
        tuple(item.name for item in wall.file.cameras)
        or (("camera 1",) if wall.has("cameras") else ())
    ),
    "stage position": lambda wall: tuple(item.name for item in wall.file.stage_positions),
    "suspension point": lambda wall: tuple(item.name for item in wall.file.suspension_points),
}

PER = tuple(_PLACES)
_REPEAT = re.compile(r"repeat ([1-9][0-9]?)")


def place_kinds(per: str) -> tuple[str, ...]:
    """Return the kinds of place that are named, those of repeats left out."""
    parts = (part.strip() for part in per.split(","))
    return tuple(part for part in parts if not _REPEAT.fullmatch(part))


def places(where: str | tuple[str, ...], wall: Wall) -> tuple[str, ...]:
    """Return every place of a kind on this wall, in the order in which one goes there.

    ``camera, repeat 3`` is every camera three times: ``camera 1, 1 of 3`` and so on. A tuple is a
    list of places that a check gives itself.
    """
    if isinstance(where, tuple):
        return where
    return wall.once(_places, where)


def is_place(place: str, where: str | tuple[str, ...], wall: Wall) -> bool:
    """Whether a place is one of a kind, told at once however many there are."""
    return place in wall.once(_known, where)


def _known(wall: Wall, where: str | tuple[str, ...]) -> frozenset[str]:
    return frozenset(places(where, wall))


def _places(wall: Wall, where: str) -> tuple[str, ...]:
    if where in _PLACES:
        return _PLACES[where](wall)
    if times := _REPEAT.fullmatch(where):
        return tuple(f"{n} of {times[1]}" for n in range(1, int(times[1]) + 1))
    several = [places(part.strip(), wall) for part in where.split(",")]
    return tuple(", ".join(combined) for combined in itertools.product(*several))


def _room(wall: Wall, names: str) -> tuple[str, ...]:
    return () if wall.file.room is None else tuple(getattr(wall.file.room, names))


def _none_named(wall: Wall, feature: str) -> bool:
    """Whether a feature is said to be there and the wall file names none of it."""
    shown = {
        "backup runs": any(chain.backup_port is not None for chain in wall.chains),
        "residual-current devices": any(c.circuit.residual_ma is not None for c in wall.circuits),
    }
    return wall.has(feature) is True and not shown[feature]


def _row_ends(wall: Wall) -> tuple[str, ...]:
    columns: dict[int, list[int]] = {}
    for cell in wall.cabinets:
        columns.setdefault(cell.row, []).append(cell.column)
    ends = {row: {min(there), max(there)} for row, there in columns.items()}
    return tuple(str(cell) for cell in wall.cabinets if cell.column in ends[cell.row])


def point_fraction(point: str) -> tuple[float, float]:
    """Return across and down, as fractions of width and height, of one of the nine points."""
    index = NINE_POINTS.index(point)
    return (index % 3 * 2 + 1) / 6, (index // 3 * 2 + 1) / 6


def nearest_cell(fraction: tuple[float, float], wall: Wall) -> Cell:
    """Return the cabinet at, or nearest to, a fraction of the wall's width and height."""
    x = wall.left_mm + fraction[0] * wall.width_mm
    y = wall.top_mm + fraction[1] * wall.height_mm
    return min(
        wall.cabinets,
        key=lambda cell: (
            (wall.cabinets[cell].x_mm + wall.cabinets[cell].width_mm / 2 - x) ** 2
            + (wall.cabinets[cell].y_mm + wall.cabinets[cell].height_mm / 2 - y) ** 2
        ),
    )


def points_on_wall(wall: Wall) -> dict[str, tuple[float, float]]:
    """Return where each of the nine points is read: as `point_fraction` has it, never in a gap.

    A point where no LEDs are is read in the middle of the cabinet nearest to it.
    """
    found = {point: point_fraction(point) for point in NINE_POINTS}
    for point, fraction in found.items():
        if not _cabinets_at(wall, fraction):
            cabinet = wall.cabinets[nearest_cell(fraction, wall)]
            across_mm = cabinet.x_mm + cabinet.width_mm / 2 - wall.left_mm
            down_mm = cabinet.y_mm + cabinet.height_mm / 2 - wall.top_mm
            found[point] = across_mm / wall.width_mm, down_mm / wall.height_mm
    return found


def beside_gap_words(wall: Wall, point: str) -> str:
    """Say where a point is read that lies in a gap, ``R7C7, beside the gap``; else nothing."""
    fraction = point_fraction(point)
    is_in_gap = wall.once(points_on_wall)[point] != fraction
    return f"{nearest_cell(fraction, wall)}, beside the gap" if is_in_gap else ""


def cabinets_at_point(wall: Wall, point: str) -> tuple[Cell, ...]:
    """Return the cabinets that a meter aimed at one of the nine points sees: up to four, where they meet."""
    return _cabinets_at(wall, wall.once(points_on_wall)[point])


def _cabinets_at(wall: Wall, fraction: tuple[float, float]) -> tuple[Cell, ...]:
    across, down = fraction
    x_mm, y_mm = wall.left_mm + across * wall.width_mm, wall.top_mm + down * wall.height_mm
    found = []
    for cell, cabinet in wall.cabinets.items():
        spot_mm = _SPOT_PX * pitch_mm(cabinet.width_mm, cabinet.width_px)
        beside_mm = max(cabinet.x_mm - x_mm, x_mm - cabinet.x_mm - cabinet.width_mm)
        above_mm = max(cabinet.y_mm - y_mm, y_mm - cabinet.y_mm - cabinet.height_mm)
        if max(beside_mm, above_mm) < spot_mm:
            found.append(cell)
    return tuple(found)


def seam_pitch_mm(wall: Wall, seam: str) -> float:
    """Return the pitch across a seam, of the cabinet that it belongs to."""
    owner, _, edge = seam.partition(" ")
    cabinet = wall.cabinets[Cell.parse(owner)]
    if edge == "right":
        return pitch_mm(cabinet.width_mm, cabinet.width_px)
    return pitch_mm(cabinet.height_mm, cabinet.height_px)


def neighbours(where: str | tuple[str, ...], place: str, wall: Wall) -> tuple[str, ...]:
    """Return the places beside one, nearest first; none where numbers are not comparable.

    Of a combination such as ``input, repeat 3`` one part changes and the others stay.
    """
    if isinstance(where, tuple):
        return ()
    kinds = [kind.strip() for kind in where.split(",")]
    parts = _parts(kinds, place, wall)
    if parts is None:
        return ()
    found: list[str] = []
    for at, kind in enumerate(kinds):
        found += (
            ", ".join((*parts[:at], other, *parts[at + 1 :]))
            for other in _beside(kind, parts[at], wall)
        )
    return tuple(found)


def grey_steps_of(where: str | tuple[str, ...], place: str, wall: Wall) -> dict[float, str]:
    """Return percent of signal to place, of every grey step of the series a place belongs to."""
    if isinstance(where, tuple) or "grey step" not in where:
        return {}
    kinds = [kind.strip() for kind in where.split(",")]
    parts = _parts(kinds, place, wall)
    if parts is None or "grey step" not in kinds:
        return {}
    at = kinds.index("grey step")
    return {
        float(step.split()[0]): ", ".join((*parts[:at], step, *parts[at + 1 :]))
        for step in GREY_STEPS
    }


def _parts(kinds: list[str], place: str, wall: Wall) -> list[str] | None:
    """Part a place by its kinds; a name may itself hold a comma."""
    found: list[str] = []
    rest = place
    for left, kind in zip(range(len(kinds) - 1, -1, -1), kinds, strict=True):
        part = rest if not left else _first_part(kind, rest, wall)
        if part is None:
            return None
        found.append(part)
        rest = rest[len(part) + 2 :]
    return found


def _first_part(kind: str, rest: str, wall: Wall) -> str | None:
    if kind in _ON_THE_GRID or _REPEAT.fullmatch(kind):
        return rest.partition(", ")[0]
    fits = [name for name in places(kind, wall) if rest.startswith(f"{name}, ")]
    return max(fits, key=len, default=None)


def _beside(kind: str, part: str, wall: Wall) -> Iterator[str]:
    if kind in _ON_THE_GRID:
        yield from _on_the_grid(part, wall)
    elif nth := _NTH.fullmatch(part) if _REPEAT.fullmatch(kind) else None:
        yield from (f"{n} of {nth[2]}" for n in range(1, int(nth[2]) + 1) if n != int(nth[1]))
    elif kind in _ALIKE:
        names = places(kind, wall)
        if part in names:
            at = names.index(part)
            order = sorted((abs(i - at), i) for i in range(len(names)) if i != at)
            yield from (names[i] for _, i in order[:_IN_A_LIST])


def _on_the_grid(part: str, wall: Wall) -> Iterator[str]:
    try:
        location = parse_location(part)
    except InputError:
        return
    if location.cell is None:
        return
    row, column = location.cell
    edge = f" {location.edge}" if location.edge else ""
    for down, right in _STEPS:
        near = (row + down, column + right)
        if near in wall.cabinets:
            yield f"R{near[0]}C{near[1]}{edge}"

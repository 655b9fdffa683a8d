"""Asks whether x and y were exchanged or a decimal sign slipped, where something tells which colour it is."""

from __future__ import annotations

from collections.abc import Callable
from math import dist
from statistics import median

from commission_tui.checks.model.definition import FieldDefinition
from commission_tui.checks.model.physical_bounds import other_coordinate
from commission_tui.checks.places.places import neighbours
from commission_tui.engineering.colour.colorimetry import PRIMARIES
from commission_tui.logbook.state.state import State

CoordinateLookup = Callable[[str, str], float | None]
"""Field and place to the number that now stands there."""
_LEAST_OFF = 0.01
"""How far from what it should be a pair lies before it is asked about, in x and y."""
_MUCH_NEARER = 3.0
"""How many times nearer the exchanged pair lies (both: common practice, no published source)."""
_FEWEST_BESIDE = 2
_TIMES_OFF = 5.0
"""How many times what it should be, or which part of it, a coordinate is that is asked about: primaries of
different walls, and whites of any tint, lie within a half and twice of each other (common practice, no
published source)."""
_PRIMARIES = ("red", "green", "blue")


def exchanged(
    state: State,
    check: str,
    item: FieldDefinition,
    place: str,
    value: float,
    there: CoordinateLookup,
) -> str:
    """Ask whether x and y are exchanged: so they lie much nearer to the sheet, the target or the others."""
    names = _both_names(item)
    beside = there(other_coordinate(item.name), place) if names else None
    if names is None or beside is None:
        return ""
    x, y = (value, beside) if item.name == names[0] else (beside, value)
    for known, whose in _known(state, check, item, place, names, there):
        off, exchanged_off = dist((x, y), known), dist((y, x), known)
        if off >= _LEAST_OFF and exchanged_off * _MUCH_NEARER <= off:
            return (
                f"x {x:g} with y {y:g}, where {whose} {known[0]:.4g} / {known[1]:.4g}: "
                "are x and y exchanged?"
            )
    return ""


def slipped(
    state: State,
    check: str,
    item: FieldDefinition,
    place: str,
    value: float,
    there: CoordinateLookup,
) -> str:
    """Ask whether the decimal sign is right, where a coordinate is many times off what it should be."""
    names = _both_names(item)
    if names is None:
        return ""
    is_x = item.name == names[0]
    known = [
        *_known(state, check, item, place, names, there),
        *_by_name(state, place.split(",")[0]),
    ]
    if not known:
        return ""
    (x, y), whose = known[0]
    wanted = x if is_x else y
    if wanted <= 0 or wanted / _TIMES_OFF < value < wanted * _TIMES_OFF:
        return ""
    return (
        f"{'x' if is_x else 'y'} {value:g}, where {whose} {wanted:.4g}: "
        "are colour and decimal sign right?"
    )


def _both_names(item: FieldDefinition) -> tuple[str, str] | None:
    """Return the names of x and y of which a field is one; None where it is neither."""
    other = other_coordinate(item.name)
    if item.unit != "xy" or other == item.name:
        return None
    return (item.name, other) if item.name.endswith("x") else (other, item.name)


def _by_name(state: State, colour: str) -> list[tuple[tuple[float, float], str]]:
    """Return about where a colour lies that is known by its name alone, and the words for it."""
    targets = state.wall.file.targets
    if colour == "white":
        return [((targets.white_x, targets.white_y), "the design wants")]
    if colour not in _PRIMARIES:
        return []
    return [(PRIMARIES["BT.709"][_PRIMARIES.index(colour)], f"BT.709 has {colour} at")]


def _known(
    state: State,
    check: str,
    item: FieldDefinition,
    place: str,
    names: tuple[str, str],
    there: CoordinateLookup,
) -> list[tuple[tuple[float, float], str]]:
    """Return what tells the colour here, the surest first, and the words for it."""
    x_name, y_name = names
    found: list[tuple[tuple[float, float], str]] = []
    colour = place.split(",")[0]
    sheet_x, sheet_y = there("sheet_x", colour), there("sheet_y", colour)
    if sheet_x is not None and sheet_y is not None and not x_name.startswith("sheet"):
        found.append(((sheet_x, sheet_y), "the maker's sheet says"))
    targets = state.wall.file.targets
    if any(limit.from_target == "white_x" for limit in state.checklist.check(check).limits):
        found.append(((targets.white_x, targets.white_y), "the design wants"))
    pairs = [
        (x, y) for p in neighbours(item.where, place, state.wall)
        if (x := there(x_name, p)) is not None and (y := there(y_name, p)) is not None
    ]  # fmt: skip
    if len(pairs) >= _FEWEST_BESIDE:
        usual = median(x for x, _ in pairs), median(y for _, y in pairs)
        found.append((usual, "those beside it have, by their median,"))
    return found

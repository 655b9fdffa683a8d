"""Which part is where in a cabinet, by serial, and what lies on the shelf, as lines."""

from __future__ import annotations

from commission_tui.logbook.entries.logged import Logged
from commission_tui.logbook.entries.models import PartFitted
from commission_tui.logbook.state.parts import PARTS, Inventory, history_of_place, inventory
from commission_tui.logbook.state.state import State
from commission_tui.screens.terminal.styled_text import Line, moment_text
from commission_tui.text import clipped, listed
from commission_tui.wall.model.location import Cell

_SPARES_SHOWN = 6


def places_in(state: State, cell: Cell) -> list[tuple[str, str]]:
    """Return every sort of part in a cabinet with its place, the modules last, row by row."""
    cabinet = state.wall.cabinets[cell]
    whole = [(part, str(cell)) for part in PARTS if part != "module"]
    modules = [
        ("module", f"{cell} m{row},{column}")
        for row in range(1, cabinet.module_rows + 1)
        for column in range(1, cabinet.module_columns + 1)
    ]
    return [*whole, *modules]


def place_line(now: Inventory, part: str, place: str) -> Line:
    """Say what is fitted at a place."""
    fitted = now.fitted.get((part, place))
    _, _, inside = place.partition(" ")
    name = f"{part} {inside}".rstrip()
    return ((name, "strong"), (f"  {fitted.serial}" if fitted else "  not recorded", "muted"))


def shelf_text(now: Inventory, part: str) -> str:
    """Name the spares of a sort that are on the shelf."""
    serials = [serial for serial, spare in now.shelf.items() if spare.part == part]
    if not serials:
        return "no spare of this sort is recorded on the shelf"
    return f"on the shelf: {listed(serials, _SPARES_SHOWN)}"


def part_lines(state: State, cell: Cell) -> list[Line]:
    """Say every part recorded in a cabinet, and what was there before."""
    if not state.parts:
        return [(("none recorded", "muted"),)]
    at: dict[tuple[str, str], list[Logged[PartFitted]]] = {}
    for logged in history_of_place(state, str(cell)):
        at.setdefault((logged.body.part, logged.body.location), []).append(logged)
    now = inventory(state)
    return [
        _part_line(state, now, key, at[key]) for key in places_in(state, cell) if key in at
    ] or [(("none recorded", "muted"),)]  # fmt: skip


def _part_line(
    state: State, now: Inventory, key: tuple[str, str], history: list[Logged[PartFitted]]
) -> Line:
    last = history[-1].body
    before = [logged.body.serial for logged in history[:-1]]
    if last.replaces and last.replaces not in before:
        before.append(last.replaces)
    source = ", from the spares" if last.from_spares else ""
    gone = "" if now.where(last.serial) == key else ", moved away since"
    was = f"; before: {', '.join(dict.fromkeys(before))}" if before else ""
    _, _, inside = key[1].partition(" ")
    return (
        (f"{key[0]} {inside}".rstrip() + " ", "muted"),
        (clipped(last.serial, 40), "strong"),
        (f"  {moment_text(history[-1].at, state)}{source}{gone}{was}", "muted"),
    )

"""The layers "luminance" and "change": how much light each cabinet gives, and against the baseline."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.judging.visits import counting_value
from commission_tui.logbook.plan.visit_comparison import compare, difference_map
from commission_tui.logbook.state.state import State
from commission_tui.screens.layers.progress_layers import cells_in
from commission_tui.screens.layers.wall_geometry import Look
from commission_tui.screens.terminal.styled_text import (
    CAUTION_SIGN,
    CHANGES,
    DASH,
    SHADES,
    Line,
    Part,
)
from commission_tui.wall.model.location import Cell

SAME_PERCENT = 2.0
PLAIN_PERCENT = 5.0
"""Up to the first a change is not told from the meter's; past the second it is plain (common
practice, no published source)."""
_CHANGE_WORDS = ("much darker", "darker", "same", "brighter", "much brighter")


def luminance_field(state: State) -> tuple[str, str] | None:
    """Return the check and field that read cd/m2 at every cabinet."""
    pairs = ((check.id, item) for check in state.checklist for item in check.fields)
    return next(((c, i.name) for c, i in pairs if i.per == "cabinet" and i.unit == "cd/m2"), None)


def luminance_of(job: OpenJob) -> tuple[str, dict[Cell, float]]:
    """Return the check that reads cd/m2 at every cabinet, and what it has so far."""
    slot = job.once(luminance_field)
    if slot is None:
        return "", {}
    found = {}
    for cell in job.state.wall.cabinets:
        value = luminance_at(job, slot, cell)
        if value is not None:
            found[cell] = value
    return slot[0], found


def luminance_at(job: OpenJob, slot: tuple[str, str] | None, cell: Cell) -> float | None:
    read = job.state.slot(*slot, str(cell)) if slot else None
    return float(counting_value(read)) if read else None


def changes_of(job: OpenJob) -> dict[Cell, float]:
    """Return by how much per cent each cabinet read at the first and at this visit has changed."""
    slot, last = job.once(luminance_field), len(job.state.visits)
    if slot is None or not last:
        return {}
    by_place = difference_map(compare(job.state, 0, last).pairs, *slot)
    return {cell: by_place[str(cell)] for cell in job.state.wall.cabinets if str(cell) in by_place}


# --- luminance


def luminance_looks(job: OpenJob) -> dict[Cell, Look]:
    check_id, values = luminance_of(job)
    where = set(cells_in(job.outcome(check_id).where)) if check_id else set()
    low, high = min(values.values(), default=0.0), max(values.values(), default=0.0)
    steps = len(SHADES)

    @cache  # one for all that look the same
    def lit(value: float, named: bool) -> Look:
        step = int((value - low) / (high - low) * (steps - 0.001)) if high > low else steps - 1
        shade, mark = SHADES[step], CAUTION_SIGN if named else ""
        number = f"{value:.0f}" if abs(value) >= 100 else f"{value:.3g}"  # a cabinet has few places
        signs, role, ground = f"{shade}{mark}", "strong" if named else "", f"amount-{step}"
        return Look(mark or shade, signs, role, number, f"{signs}{number}", ground, short=signs)

    none = dict.fromkeys(job.state.wall.cabinets, Look(DASH, DASH, "muted", "none"))
    return none | {cell: lit(value, cell in where) for cell, value in values.items()}


def luminance_legend(job: OpenJob) -> Line:
    _, values = luminance_of(job)
    if not values:
        return (
            (
                "cd/m2: no cabinet read yet. Mark cabinets and press i to log a reading.",
                "muted",
            ),
        )
    low, high = min(values.values()), max(values.values())
    steps = len(SHADES)
    named: Part = (f"{CAUTION_SIGN} named by the check", "")
    if low == high:
        return (f"cd/m2  {low:.4g} at every cabinet that was read   ", "muted"), named
    parts: list[Part] = [("cd/m2  ", "muted")]
    for step, shade in enumerate(SHADES):
        first = low + (high - low) * step / steps
        parts += [(f"{shade} from {first:.4g}", f"amount-{step}"), (" ", "")]
    return (*parts, (f"to {high:.4g}   ", "muted"), named)


# --- change


def change_step(percent: float) -> int:
    """Return 0 for much darker over 2 for the same to 4 for much brighter."""
    size = abs(percent)
    steps = 0 if size <= SAME_PERCENT else 1 if size <= PLAIN_PERCENT else 2
    return 2 + (steps if percent > 0 else -steps)


def change_looks(cells: Mapping[Cell, object], changes: Mapping[Cell, float]) -> dict[Cell, Look]:
    """Return each cabinet's change; a dash where it was not read at both visits."""
    found = {}
    for cell in cells:
        percent = changes.get(cell)
        if percent is None:
            found[cell] = Look(DASH, DASH, "muted")
            continue
        step = change_step(percent)
        sign, number = CHANGES[step], f"{percent:+.1f}"
        role = "strong" if step in {0, 4} else ""
        found[cell] = Look(
            sign, f"{sign}{percent:+.0f}", role, f"{number}%", f"{sign}{percent:+.0f}",
            f"change-{step}", below_short=f"{percent:+.0f}",
        )  # fmt: skip
    return found


def change_legend(job: OpenJob, changes: Mapping[Cell, float]) -> Line:
    if not job.state.visits:
        return (("This is the first visit: there is nothing to compare with yet.", "muted"),)
    if not changes:
        return (("No cabinet was read both at the first and at this visit yet.", "muted"),)
    parts: list[Part] = [("% against the first visit  ", "muted")]
    for step, word in enumerate(_CHANGE_WORDS):
        parts += [(f"{CHANGES[step]} {word}", f"change-{step}"), (" ", "")]
    parts.append((f" same: within {SAME_PERCENT:g} %", "muted"))
    return tuple(parts)

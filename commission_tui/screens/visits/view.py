"""Visits as lines: which there were, and what two of them have in common and what sets them apart."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass

from commission_tui.errors import InputError
from commission_tui.logbook.judging.visits import visit_names
from commission_tui.logbook.plan.visit_comparison import (
    Comparison,
    Drift,
    Pair,
    WhiteDrift,
    change_words,
)
from commission_tui.logbook.state.state import Fault, State
from commission_tui.screens.terminal.styled_text import CAUTION_SIGN, Line, fault_part, moment_text
from commission_tui.text import clipped, counted, lower_first
from commission_tui.wall.model.location import parse_location

SHOWN = 40
"""Faults of one sort, or checks; the punch list and the overview have them all."""


@dataclass(frozen=True, slots=True)
class DriftRow:
    """A line of the comparison and where it leads: a place of a check, or a fault's place."""

    line: Line
    check: str | None = None
    place: str | None = None
    fault: int | None = None
    walk: bool = False
    """Whether to walk there, although it is a cabinet."""

    @property
    def opens(self) -> bool:
        return self.check is not None or self.fault is not None


def visit_lines(state: State, width: int) -> list[Line]:
    """Return each visit: number, name, when it began, hours, what for."""
    names = visit_names(state)
    opened = state.job
    began = moment_text(opened.at, state) if opened else ""
    lines: list[Line] = [(("1 ", "key"), (names[0], "strong"), (f"  from {began}", "muted"))]
    for number, (name, logged) in enumerate(zip(names[1:], state.visits, strict=True), start=2):
        hours = logged.body.hours_run
        hours_run = f"  {hours:g} h run" if hours is not None else ""
        why = f"  {logged.body.reason}" if logged.body.reason else ""
        facts = f"  from {moment_text(logged.at, state)}, {logged.by}{hours_run}{why}"
        name = clipped(name, width // 2)
        facts = clipped(facts, max(0, width - len(name) - 4))
        lines.append(((f"{number} ", "key"), (name, "strong"), (facts, "muted")))
    return lines


def pair_after(count: int, pair: tuple[int, int], *, before: bool) -> tuple[int, int]:
    """Return the next pair of visits when one of the two is changed; the earlier stays earlier."""
    first, second = pair
    if before:
        first = (first + 1) % second
    else:
        second = second + 1 if second + 1 < count else first + 1
    return first, second


def title(found: Comparison) -> Line:
    hours = f"  {found.hours:g} h run between them" if found.hours is not None else ""
    against: Line = (("  against  ", "muted"), (found.after, "title"))
    return ((found.before, "title"), *against, (hours, "muted"))


def rows(state: State, found: Comparison, width: int) -> list[DriftRow]:
    """Return the comparison line by line, what moved otherwise right under what it left."""
    faults = found.faults
    return [
        *_drift_rows(state, found, width),
        *_white_rows(state, found.whites, width),
        *_fault_rows(f"New faults, found after {found.before}", faults.new, width),
        *_fault_rows("Faults that came back", faults.came_back, width),
        *_fault_rows("Known faults, logged again", faults.logged_again, width),
        *_fault_rows("Known faults, nothing logged of them since", faults.not_logged, width),
        *_fault_rows("Settled faults", faults.settled, width),
        *_setting_rows(found, width),
        *_missing_rows(state, found, width),
    ]


def _head(text: str, count: int | None = None) -> DriftRow:
    return DriftRow(((text, "title"), (f"  {count}" if count is not None else "", "muted")))


def _drift_rows(state: State, found: Comparison, width: int) -> Iterator[DriftRow]:
    if not found.drifts:
        yield _head("Nothing was read on both of these visits")
        return
    yield _head("Drift of what was read on both, number by number", len(found.pairs))
    for drift in found.drifts:
        for line in _drift_lines(state, drift, width):
            yield DriftRow(line, drift.check)
        if drift.remark:
            said = clipped(drift.remark, max(8, width - 6))
            yield DriftRow(((f"    {CAUTION_SIGN} ", "marginal"), (said, "")), drift.check)
        for pair in drift.outliers:
            line = _outlier_line(pair, width, apart=drift.apart)
            yield DriftRow(line, pair.check, pair.place)


def _drift_lines(state: State, drift: Drift, width: int) -> list[Line]:
    """Return what moved and by how much, on two rows where one has no room for what it is."""
    check = state.checklist.check(drift.check)
    unit = "" if drift.unit == "xy" else drift.unit
    moved = f"{drift.median_difference:+.3g} {unit}".rstrip()
    if drift.median_percent is not None and unit:
        moved = f"{drift.median_percent:+.1f} %"
    many = f"  {counted(drift.places, 'place')}, median " if drift.places > 1 else "  "
    if drift.apart:
        many, moved = f"  {counted(drift.places, 'place')}, ", "not alike"
    field = f": {lower_first(check.field(drift.field).label)}" if len(check.fields) > 1 else ""
    label, by_how_much = f"  {check.title}{field}", ((many, "muted"), (moved, "strong"))
    if len(label) + len(many) + len(moved) <= width:
        return [((label, ""), *by_how_much)]
    # What else the check reads has the same title: it gives way first.
    title = clipped(check.title, max(width // 2, width - len(field) - 2))
    return [((clipped(f"  {title}{field}", width), ""),), (("    ", ""), *by_how_much)]


def _outlier_line(pair: Pair, width: int, *, apart: bool) -> Line:
    percent = f"{pair.percent:+.1f} %" if pair.percent is not None else f"{pair.difference:+.3g}"
    values = f"  {pair.from_to}, "
    remark = "  left the common drift" if width >= 70 and not apart else ""
    place = clipped(pair.place, max(8, width - len(values) - len(percent) - len(remark) - 6))
    return (
        (f"    {CAUTION_SIGN} ", "marginal"), (place, "strong"), (values, ""),
        (percent, "marginal"), (remark, "muted"),
    )  # fmt: skip


def _white_rows(state: State, whites: Collection[WhiteDrift], width: int) -> Iterator[DriftRow]:
    if whites:
        yield _head("White moved, as a distance in u'v'")
    for white in whites:
        figures = f"  mean {white.mean_duv:.4f}, most {white.largest_duv:.4f}"
        where = "" if white.largest_at == "wall" else f" at {white.largest_at}"
        label = clipped(state.checklist.check(white.check).title, max(8, width - len(figures) - 22))
        line: Line = ((f"  {label}", ""), (figures, "strong"), (where, "muted"))
        yield DriftRow(line, white.check, white.largest_at)


def _fault_rows(head: str, faults: tuple[Fault, ...], width: int) -> Iterator[DriftRow]:
    yield _head(head, len(faults))
    for fault in faults[:SHOWN]:
        found, part = fault.found.body, fault_part(fault.state)
        where = f"  {fault.number}  {found.location}  "
        kind = clipped(found.called, max(8, width - len(where) - len(part[0]) - 2))
        line: Line = (("  ", ""), part, (where, "muted"), (kind, ""))
        yield DriftRow(line, place=found.location, fault=fault.number)
    if len(faults) > SHOWN:
        yield DriftRow(((f"  and {len(faults) - SHOWN} more, in the punch list", "muted"),))


def _setting_rows(found: Comparison, width: int) -> Iterator[DriftRow]:
    if found.settings:
        yield _head("Settings that are not as they were", len(found.settings))
    for setting, place, before, after in found.settings:
        where = "" if place == "wall" else f" at {place}"
        text = f"  {setting}{where}: {change_words(before, after)}"
        yield DriftRow(((clipped(text, width), ""),))


def _missing_rows(state: State, found: Comparison, width: int) -> Iterator[DriftRow]:
    if found.only_before:
        yield _head(f"Read on {found.before} only", len(found.only_before))
    ids = {check.title: check.id for check in state.checklist}
    for name in found.only_before[:SHOWN]:
        yield DriftRow(((f"  {clipped(name, width - 2)}", "muted"),), ids.get(name))
    if len(found.only_before) > SHOWN:
        more = counted(len(found.only_before) - SHOWN, "more check")
        yield DriftRow(((f"  and {more}", "muted"),))


def cabinet_of(state: State, place: str | None) -> str | None:
    """Return the cabinet a place lies in; None when it lies in none."""
    if place is None:
        return None
    try:
        cell = state.wall.resolve(parse_location(place)).cell
    except InputError:
        return None
    return None if cell is None else str(cell)

"""What the import of a table shows: its columns and what they are, what would be logged, how far."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from rich.cells import cell_len

from commission_tui.checks.model.definition import CheckDefinition, FieldDefinition
from commission_tui.errors import InputError
from commission_tui.logbook.state.state import State
from commission_tui.logbook.tables.table_logging import NONE_LOGGED, AlreadyLogged
from commission_tui.logbook.tables.table_mapping import (
    COLUMN,
    PLACE,
    ROW,
    TIME,
    Column,
    factor_note,
    with_heading_unit,
)
from commission_tui.logbook.tables.table_proposal import (
    NO_HEADINGS,
    UNREAD,
    TableHead,
    TablePlan,
    meanings,
)
from commission_tui.logbook.tables.table_rows import TableRows, why_withheld
from commission_tui.screens.terminal.styled_text import DASH, HERE, Line, Part, in_cells
from commission_tui.text import counted, upper_first

NOT_READ = "-"
"""Key of the choice that leaves a column alone."""
_MOST_LINES = 200
_MEANING = {
    UNREAD: "not read",
    PLACE: "the place",
    ROW: "row of the place",
    COLUMN: "column of the place",
    TIME: "time on the meter",
    "value": "the value",
    "field": "which field",
    "check": "which check",
    "unit": "unit, compared",
}
DECIMALS = (None, "point", "comma")
DECIMAL_WORD = {
    None: "as it is plain from the table",
    "point": "a point: 1.5",
    "comma": "a comma: 1,5",
}


@dataclass(frozen=True, slots=True)
class Answers:
    """What was said about the rows, and by what name the columns are remembered."""

    odd_too: bool = False
    bad_out: bool = False
    remember: str = ""


@dataclass(frozen=True, slots=True)
class TableFound:
    """What reading the whole table found: its rows, or why it is none."""

    rows: TableRows | None
    standing: AlreadyLogged = NONE_LOGGED
    trouble: str = ""
    state: State | None = None
    """Of the job that the rows were held against."""


def meaning_text(check: CheckDefinition, target: str) -> str:
    """Say what a column is taken for."""
    item = _field(check, target)
    return item.label if item is not None else _MEANING.get(target, target)


def _field(check: CheckDefinition, target: str) -> FieldDefinition | None:
    return next((item for item in check.fields if item.name == target), None)


def column_lines(
    check: CheckDefinition, head: TableHead, plan: TablePlan, width: int
) -> list[Line]:
    """Show each column: its heading, what stands below it first, and what it is taken for."""
    longest = max(map(cell_len, plan.headings), default=0)
    heading_width = max(8, min(22, width // 3, longest))
    meant_width = max(20, (width - heading_width) // 2)
    rest = width - heading_width - meant_width - 3
    lines: list[Line] = []
    for index, (heading, target) in enumerate(zip(plan.headings, plan.targets, strict=True)):
        below = "  ".join(filter(None, head.below(plan, index)[:8]))
        meant = meaning_text(check, target)
        if not target and not plan.readable(index):
            meant = "not read: two headings alike" if heading else "not read: no heading"
        shown = f"{HERE if target else DASH} {meant}"
        lines.append((
            (in_cells(heading or "(no heading)", heading_width), "strong" if target else "muted"),
            (f" {in_cells(below, rest)} ", "muted"),
            (in_cells(shown, meant_width), "" if target else "muted"),
        ))  # fmt: skip
    return lines


def meaning_choices(check: CheckDefinition, plan: TablePlan, index: int) -> dict[str, Line]:
    """Offer what a column can be."""
    return {
        target or NOT_READ: (
            (meaning_text(check, target), ""),
            (_note(check, plan, index, target), "muted"),
        )
        for target in meanings(check, plan, index)
    }


def with_meaning(plan: TablePlan, index: int, key: str) -> TablePlan:
    """Take a column for what was picked."""
    return plan.with_target(index, UNREAD if key == NOT_READ else key)


def _note(check: CheckDefinition, plan: TablePlan, index: int, target: str) -> str:
    """Say what else is to know of taking a column for something."""
    item = _field(check, target)
    if item is not None:
        heading = plan.headings[index]
        try:
            note = factor_note(item, with_heading_unit(Column(index, heading, target), item))
        except InputError:
            return "  the heading has another unit"
        return f"  {note.partition(': ')[2] or item.unit}"
    now = plan.headings[plan.targets.index(target)] if target in plan.targets and target else ""
    return f"  now: {now}" if now else ""


def with_next_meaning(check: CheckDefinition, plan: TablePlan, index: int, by: int) -> TablePlan:
    """Take a column for the next thing that it can be."""
    known = meanings(check, plan, index)
    at = known.index(plan.targets[index]) if plan.targets[index] in known else 0
    target = known[(at + by) % len(known)]
    return plan if target == plan.targets[index] else plan.with_target(index, target)


# --- where one is


def file_line(path: Path, head: TableHead, plan: TablePlan, sheet: str | None, width: int) -> Line:
    """Say which file it is, where its headings are, and by what its columns are known."""
    at = "no headings"
    if plan.heading != NO_HEADINGS:
        at = f"headings on {head.unit} {head.rows[plan.heading].where}"
    parts: list[Part] = [(at, "muted")]
    if len(head.sheets) > 1:
        name = sheet or head.sheets[0]
        number = head.sheets.index(name) + 1 if name in head.sheets else 1
        parts.append(
            (f"  sheet {number} of {len(head.sheets)} {in_cells(name, 16).rstrip()}", "muted")
        )
    if plan.remembered:
        parts.append((f"  known as {in_cells(plan.remembered, 20).rstrip()}", "pass"))
    elif plan.plain:
        parts.append(("  place and value: needs no mapping", "pass"))
    used = sum(len(text) for text, _ in parts) + 2
    return ((f"{in_cells(path.name, max(10, width - used)).rstrip()}  ", "strong"), *parts)


# --- what would be logged


def summary_lines(seen: TableFound, answers: Answers) -> list[Line]:
    """Say what would be logged, what is refused, what is odd, each with the key that answers it."""
    if seen.rows is None:
        return [((f"Nothing to log: {seen.trouble}", "error"),)]
    rows = seen.rows
    standing = f"{seen.standing.text(len(rows.good))}; the new value replaces them"
    lines: list[Line] = [
        ((counted(len(rows.good), "reading"), "strong"), (f" to log, of {rows.count.text}", ""))
    ]
    if seen.standing:
        lines.append(((standing, "caution-text"),))
    if rows.unclear:
        question = "It is not plain which sign begins the decimals; "
        lines.append(((question, "caution-text"), ("d", "key"), (" says it", "muted")))
    if rows.bad:
        many = counted(rows.count.refused, "row")
        question = " left out" if answers.bad_out else " refused, so nothing is logged; "
        lines.append(_asked(many, question, "b", " leaves them out", answers.bad_out))
    if rows.odd:
        question = " imported anyway" if answers.odd_too else " that look unusual; "
        of = f"{len(rows.odd)} of them" if len(rows.odd) != len(rows.good) else "all of them"
        lines.append(_asked(of, question, "y", " imports them anyway", answers.odd_too))
    if why_withheld(rows, skip_bad=answers.bad_out, confirm=answers.odd_too) is None:
        name = f", and remembers the columns as {answers.remember}" if answers.remember else ""
        lines.append((("^S", "key"), (" logs them in one go", ""), (name, "")))
    return [((f"{DASH} ", "muted"), *line) for line in lines]


def _asked(what: str, question: str, key: str, does: str, answered: bool) -> Line:
    if answered:
        return (what, "strong"), (question, "")
    return (what, "caution-text"), (question, "caution-text"), (key, "key"), (does, "muted")


def row_lines(seen: TableFound, path: Path) -> list[Line]:
    """Name each row that is refused or odd, and what was done to the table on the way."""
    if seen.rows is None:
        return []
    lines: list[Line] = [((upper_first(note), "muted"),) for note in seen.rows.notes]
    for word, role, rows in (
        ("Refused", "error", seen.rows.told),
        ("Unusual", "caution-text", seen.rows.odd),
    ):
        lines += [
            ((f"{word} ", role), (row.removeprefix(f"{path}: "), "")) for row in rows[:_MOST_LINES]
        ]
        if len(rows) > _MOST_LINES:
            lines.append(((f"and {len(rows) - _MOST_LINES} more", "muted"),))
    return lines


def refusal(seen: TableFound | None, answers: Answers) -> str:
    """Say why nothing can be logged as it stands; nothing when it can."""
    if seen is None:
        return "The table is still being read"
    if seen.rows is None:
        return seen.trouble
    why = why_withheld(seen.rows, skip_bad=answers.bad_out, confirm=answers.odd_too)
    return {
        None: "",
        "refused": f"{counted(seen.rows.count.refused, 'row')} refused: b leaves them out, or correct them",
        "odd": f"{counted(len(seen.rows.odd), 'unusual reading')}: y imports them anyway",
        "nothing": "No reading to log in this table",
    }[why]

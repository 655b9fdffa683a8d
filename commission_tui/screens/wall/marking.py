"""Which cabinets are marked, and the same reading or fault logged at all of them."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from operator import itemgetter

from textual.binding import BindingType

from commission_tui.checks.faults.typed_places import cabinets_of, written_out
from commission_tui.checks.model.definition import CheckDefinition, FieldDefinition
from commission_tui.checks.model.input_parsing import typed_value, unit_hint
from commission_tui.checks.model.types import Verdict
from commission_tui.errors import InputError
from commission_tui.logbook.actions.reading_corrections import reading_in_place
from commission_tui.logbook.job import OddReadingError, OpenJob
from commission_tui.screens.host.key_table import key, quiet
from commission_tui.screens.instruments import instrument_forms
from commission_tui.screens.layers.progress_layers import cabinet_readings, cabinet_verdicts
from commission_tui.screens.shared.fault_form import FaultForm
from commission_tui.screens.shared.job_screen import JobScreen
from commission_tui.screens.terminal.styled_text import Line
from commission_tui.screens.widgets.form import Form, Question
from commission_tui.screens.widgets.picker import Choice, pick
from commission_tui.screens.widgets.screen_frame import Dialog
from commission_tui.text import counted, listed
from commission_tui.wall.model.location import Cell, known_location
from commission_tui.wall.model.wall_model import Wall


@dataclass(frozen=True, slots=True)
class Marks:
    """The cabinets that are marked, and the corner of a rectangle that is being drawn."""

    cells: frozenset[Cell] = frozenset()
    corner: Cell | None = None

    @property
    def any(self) -> bool:
        return bool(self.cells) or self.corner is not None

    def cornered(self, wall: Wall, cell: Cell) -> Marks:
        """Begin a rectangle at a cabinet, or end the one that was begun."""
        if self.corner is None:
            return replace(self, corner=cell)
        return Marks(self.shown(wall, cell))

    def shown(self, wall: Wall, cursor: Cell) -> frozenset[Cell]:
        """Return what is marked while the cursor is the other corner of a rectangle."""
        if self.corner is None:
            return self.cells
        return self.cells | frozenset(rectangle(wall, self.corner, cursor))


def rectangle(wall: Wall, one: Cell, other: Cell) -> list[Cell]:
    """Return the cabinets between two corners, gaps excluded."""
    rows = range(min(one.row, other.row), max(one.row, other.row) + 1)
    columns = range(min(one.column, other.column), max(one.column, other.column) + 1)
    every = (Cell(row, column) for row in rows for column in columns)
    return [cell for cell in every if cell in wall.cabinets]


def markable_groups(job: OpenJob, cell: Cell) -> dict[str, Sequence[Cell]]:
    """Return by name what can be marked at once from a cabinet: what it lies in first."""
    wall = job.state.wall
    lines: dict[str, list[Cell]] = {}
    for what, at in (("row", 0), ("column", 1)):
        for other in sorted(wall.cabinets, key=itemgetter(at)):
            lines.setdefault(f"{what} {other[at]}", []).append(other)
    found: dict[str, Sequence[Cell]] = {
        name: lines[name] for name in (f"row {cell.row}", f"column {cell.column}")
    }
    chain = next((c for c in wall.chains if cell in c.cells), None)
    if chain is not None:
        found[f"chain of port P{chain.port}"] = chain.cells
        found[f"chain P{chain.port} from here on"] = chain.cells[chain.cells.index(cell) :]
    circuit = wall.circuit_of(cell)
    if circuit is not None:
        found[f"circuit {circuit.name}"] = circuit.cells
    kind = wall.cabinets[cell].type_name
    same = [c for c, cabinet in wall.cabinets.items() if cabinet.type_name == kind]
    if len(same) < len(wall.cabinets):
        found[f"type {kind}"] = same
    found["whole wall"] = tuple(wall.cabinets)
    if open_ones := [c for c, v in cabinet_verdicts(job).items() if v is Verdict.OPEN]:
        found["not read yet"] = open_ones
    return found | lines  # the other rows and columns are found by typing


def typed_cells(wall: Wall, typed: str) -> tuple[Cell, ...]:
    """Return the cabinets of what was typed, such as ``R1C1-R2C4`` or ``row2``; none where it names none."""
    place = written_out(wall, typed.strip())
    try:
        if many := cabinets_of(wall, place):
            return tuple(map(Cell.parse, many))
        at = known_location(place)
        return wall.cells_at(wall.resolve(at)) if at is not None else ()
    except InputError:
        return ()


KEYS: list[BindingType] = [
    quiet("marks.one", "space", "mark", "Mark", "Mark this cabinet, or unmark it"),
    quiet("marks.block", "b", "mark_block", "Mark a block",
        "Begin a rectangle here; move; b again marks it"),
    key("marks.many", "m", "mark_many", "Mark many",
        "Mark this row, column, chain, circuit, or what is not read yet"),
    quiet("marks.reading", "i", "reading", "Log reading",
        "Log one reading at every marked cabinet, or at this one"),
]  # fmt: skip
"""For the screen whose cabinets are marked: its actions call `Marking`."""


class Marking:
    """Marks cabinets of a wall that a screen draws, and logs the same at all of them."""

    def __init__(
        self, screen: JobScreen, here: Callable[[], Cell], draw: Callable[[], None]
    ) -> None:
        """Work for a screen: with the cabinet under its cursor, and the way to draw the marks."""
        self.marks = Marks()
        self._screen, self._job, self._here, self._draw = screen, screen.job, here, draw

    @property
    def shown(self) -> frozenset[Cell]:
        """The marked cabinets, and the rectangle that is being drawn."""
        return self.marks.shown(self._job.state.wall, self._here())

    @property
    def places(self) -> tuple[str, ...]:
        """The marked cabinets row by row; the one under the cursor when none is."""
        return tuple(str(cell) for cell in sorted(self.shown or {self._here()}))

    def _set(self, marks: Marks) -> None:
        self.marks = marks
        self._draw()

    def one(self) -> None:
        self._set(replace(self.marks, cells=self.marks.cells ^ {self._here()}))

    def block(self) -> None:
        self._set(self.marks.cornered(self._job.state.wall, self._here()))

    def many(self) -> None:
        wall, found = self._job.state.wall, markable_groups(self._job, self._here())

        def line(name: str, cells: Sequence[Cell]) -> Line:
            return (name, "strong"), (f"  {counted(len(cells), 'cabinet')}", "muted")

        def meant(typed: str) -> Choice | None:
            cells = typed_cells(wall, typed)
            return Choice(typed, line(typed, cells)) if cells else None

        def picked(name: str) -> None:
            cells = found.get(name) or typed_cells(wall, name)
            self._set(replace(self.marks, cells=self.marks.cells.union(cells)))

        lines = {name: line(name, cells) for name, cells in found.items()}
        pick(self._screen, "Mark", lines, picked, meant=meant)

    def clear(self) -> bool:
        """Take the marks away; False when there are none."""
        any_there = self.marks.any
        if any_there:
            self._set(Marks())
        return any_there

    # --- the same at all of them

    def fault(self) -> None:
        places = self.places
        if len(places) == 1:
            self._screen.log_fault(places[0])
            return

        form = FaultForm(self._job, location=places[0], places=places)
        self._ask_and_unmark(form, f"Fault logged at {counted(len(places), 'cabinet')}")

    def _ask_and_unmark(self, form: Dialog[bool], done: str) -> None:
        def unmarked() -> str:
            self._set(Marks())
            if isinstance(form, FaultForm) and form.later:  # lines of a list, of which this was one
                self._screen.log_fault(form.location, by_itself=True)
            return done

        self._screen.ask(form, unmarked)

    def reading(self) -> None:
        found = {f"{c.id} {item.name}": (c, item) for c, item in cabinet_readings(self._job)}
        if not found:
            self._screen.say("This job's checklists read nothing at cabinets", error=True)
            return
        lines: dict[str, Line] = {
            key: ((item.label, "strong"), (f"  {check.title}", "muted"))
            for key, (check, item) in found.items()
        }

        def picked(key: str) -> None:
            check, item = found[key]
            if item.measured and self._job.state.instrument_for(item.unit) is None:
                instrument_forms.choose_instrument(
                    self._screen, item.unit, lambda: self._ask_value(check, item), by_itself=True
                )
            else:
                self._ask_value(check, item)

        pick(self._screen, "Read what?", lines, picked)

    def _ask_value(self, check: CheckDefinition, item: FieldDefinition) -> None:
        places = self.places
        submit = self._logger(check, item, places)
        notes: list[Line] = [
            ((f"{counted(len(places), 'cabinet')}: ", "muted"), (listed(places, 8), ""))
            if len(places) > 1
            else ((places[0], "strong"),)
        ]
        question = Question("value", item.label, hint=unit_hint(item))
        draft = f"reading {check.id} {item.name} {' '.join(places)}"  # at one, that of the walk
        form = Form(check.title, [question], submit, notes=notes, draft=draft)
        self._ask_and_unmark(form, f"Logged at {counted(len(places), 'cabinet')}")

    def _logger(
        self, check: CheckDefinition, item: FieldDefinition, places: tuple[str, ...]
    ) -> Callable[[Mapping[str, str]], None]:
        """Log the value everywhere; an odd one only once it was typed and confirmed."""
        asked: set[str] = set()
        state = self._job.state
        stand = tuple(p for p in places if reading_in_place(state, check.id, item.name, p))

        def submit(answers: Mapping[str, str]) -> None:
            text = answers["value"].strip()
            value = typed_value(item, text, self._job.state.wall, places[0])
            if stand and text not in asked:
                asked.add(text)
                raise OddReadingError(
                    f"Logged already at {len(stand)} of {len(places)}, {listed(stand, 4)}: "
                    "Enter again logs it anew there, the old is kept; Esc leaves it"
                )
            try:
                bodies = [
                    self._job.reading(check.id, item.name, at, value, confirmed=text in asked)
                    for at in places
                ]
            except OddReadingError as odd:
                asked.add(text)
                raise OddReadingError(f"{odd}: Enter again logs it") from None
            self._job.record_all(bodies)

        return submit

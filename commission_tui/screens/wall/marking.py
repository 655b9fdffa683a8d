"""The keys that mark cabinets and log the same reading or fault at all of them."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace

from textual.binding import BindingType

from commission_tui.checks.model.definition import CheckDefinition, FieldDefinition
from commission_tui.checks.model.input_parsing import typed_value, unit_hint
from commission_tui.logbook.actions.standing import reading_in_place
from commission_tui.logbook.job import OddReadingError
from commission_tui.screens.host.key_table import key, quiet
from commission_tui.screens.instruments import instrument_forms
from commission_tui.screens.layers.marks import Marks, markable_groups
from commission_tui.screens.layers.progress_layers import cabinet_readings
from commission_tui.screens.shared.fault_form import FaultForm
from commission_tui.screens.shared.job_screen import JobScreen
from commission_tui.screens.terminal.styled_text import Line
from commission_tui.screens.widgets.form import Form, Question
from commission_tui.screens.widgets.picker import pick
from commission_tui.screens.widgets.screen_frame import Dialog
from commission_tui.text import counted, listed
from commission_tui.wall.model.location import Cell

KEYS: list[BindingType] = [
    quiet("marks.one", "space", "marking('one')", "Mark", "Mark this cabinet, or unmark it"),
    quiet("marks.block", "b", "marking('block')", "Mark a block",
        "Begin a rectangle here; move; b again marks it"),
    key("marks.many", "m", "marking('many')", "Mark many",
        "Mark this row, column, chain, circuit, or what is not read yet"),
    quiet("marks.reading", "i", "marking('reading')", "Log reading",
        "Log one reading at every marked cabinet, or at this one"),
]  # fmt: skip
"""Each does what the method of `Marking` of that name does."""


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
        found = markable_groups(self._job, self._here())
        lines: dict[str, Line] = {
            name: ((name, "strong"), (f"  {counted(len(cells), 'cabinet')}", "muted"))
            for name, cells in found.items()
        }

        def picked(name: str) -> None:
            self._set(replace(self.marks, cells=self.marks.cells.union(found[name])))

        pick(self._screen, "Mark", lines, picked)

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

        form = FaultForm(self._job, self._screen.host.glyphs, location=places[0], places=places)
        self._ask_and_unmark(form, f"Fault logged at {counted(len(places), 'cabinet')}")

    def _ask_and_unmark(self, form: Dialog[bool], done: str) -> None:
        def unmarked() -> str:
            self._set(Marks())
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
        form = Form(check.title, [question], submit, notes=notes, at_once=True, draft=draft)
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

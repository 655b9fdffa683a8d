"""The keys that mark cabinets and log the same reading or fault at all of them."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import ClassVar

from textual.binding import Binding, BindingType

from commission_tui.checks.model.definition import CheckDefinition, FieldDefinition
from commission_tui.checks.model.input_parsing import typed_value, unit_hint
from commission_tui.logbook.actions.bulk_entry import reading_bodies
from commission_tui.logbook.actions.standing import standing
from commission_tui.logbook.job import OddReadingError, OpenJob
from commission_tui.screens.layers import marks as marks_view
from commission_tui.screens.layers.marks import Marks
from commission_tui.screens.mapping.screen import MappingScreen
from commission_tui.screens.shared import entry_forms
from commission_tui.screens.shared.fault_form import FaultForm
from commission_tui.screens.terminal.styled_text import Line
from commission_tui.screens.widgets.form import Form, Question
from commission_tui.screens.widgets.picker import Choice, Picker
from commission_tui.text import counted


class MarkingScreen(MappingScreen):
    """What the wall screen does with marked cabinets; it draws the wall itself."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding(
            "space", "mark", "Mark", id="marks.one",
            tooltip="Mark this cabinet, or unmark it", show=False,
        ),
        Binding(
            "b", "block", "Mark a block", id="marks.block",
            tooltip="Begin a rectangle here; move; b again marks it", show=False,
        ),
        Binding(
            "m", "mark_many", "Mark many", id="marks.many",
            tooltip="Mark this row, column, chain, circuit, or what is not read yet",
        ),
        Binding(
            "i", "reading", "Log reading", id="marks.reading",
            tooltip="Log one reading at every marked cabinet, or at this one", show=False,
        ),
    ]  # fmt: skip

    def __init__(self, job: OpenJob) -> None:
        super().__init__(job)
        self.marks = Marks()

    def draw_marks(self) -> None:
        """Show the marks; the wall screen does."""
        raise NotImplementedError

    @property
    def marked(self) -> tuple[str, ...]:
        """The marked cabinets row by row; the one under the cursor when none is."""
        shown = self.marks.shown(self.job.state.wall, self.here)
        return marks_view.in_order(shown or {self.here})

    def _set(self, marks: Marks) -> None:
        self.marks = marks
        self.draw_marks()

    def action_mark(self) -> None:
        self._set(self.marks.toggled(self.here))

    def action_block(self) -> None:
        self._set(self.marks.cornered(self.job.state.wall, self.here))

    def action_mark_many(self) -> None:
        found = {way.name: way for way in marks_view.ways(self.job, self.here)}
        choices = [
            Choice(name, ((name, "strong"), (f"  {counted(len(way.cells), 'cabinet')}", "muted")))
            for name, way in found.items()
        ]

        def picked(name: str | None) -> None:
            if name is not None:
                self._set(self.marks.with_all(found[name].cells))

        self.app.push_screen(Picker("Mark", choices), picked)

    def action_back(self) -> None:
        """Take the marks away first; only then leave."""
        if self.marks.any:
            self._set(Marks())
        else:
            super().action_back()

    # --- the same at all of them

    def action_fault(self) -> None:
        places = self.marked
        if len(places) == 1:
            self.log_fault(places[0])
            return

        def closed(logged: bool | None) -> None:
            if logged:
                self._set(Marks())
                self.say(f"Fault logged at {counted(len(places), 'cabinet')}")

        form = FaultForm(self.job, self.host.glyphs, location=places[0], places=places)
        self.app.push_screen(form, closed)

    def action_reading(self) -> None:
        found = {f"{c.id} {item.name}": (c, item) for c, item in marks_view.fields(self.job)}
        if not found:
            self.say("This job's checklists read nothing at cabinets", error=True)
            return
        choices = [
            Choice(key, ((item.label, "strong"), (f"  {check.title}", "muted")))
            for key, (check, item) in found.items()
        ]

        def picked(key: str | None) -> None:
            if key is None:
                return
            check, item = found[key]
            if item.measured and self.job.state.instrument_for(item.unit) is None:
                entry_forms.choose_instrument(self, item.unit, lambda: self._ask_value(check, item))
            else:
                self._ask_value(check, item)

        self.app.push_screen(Picker("Read what?", choices), picked)

    def _ask_value(self, check: CheckDefinition, item: FieldDefinition) -> None:
        places = self.marked
        submit = self._logger(check, item, places)
        notes: list[Line] = [
            ((f"{counted(len(places), 'cabinet')}: ", "muted"), (marks_view.few(places, 8), ""))
            if len(places) > 1
            else ((places[0], "strong"),)
        ]
        question = Question("value", item.label, hint=unit_hint(item))
        form = Form(check.title, [question], submit, notes=notes, at_once=True)
        self.app.push_screen(form, self._when_logged(len(places)))

    def _when_logged(self, count: int) -> Callable[[bool | None], None]:
        def closed(logged: bool | None) -> None:
            if logged:
                self._set(Marks())
                self.say(f"Logged at {counted(count, 'cabinet')}")

        return closed

    def _logger(
        self, check: CheckDefinition, item: FieldDefinition, places: tuple[str, ...]
    ) -> Callable[[Mapping[str, str]], None]:
        """Log the value everywhere; an odd one only once it was typed and confirmed."""
        asked: set[str] = set()
        state = self.job.state
        stand = tuple(p for p in places if standing(state, check.id, item.name, p))

        def submit(answers: Mapping[str, str]) -> None:
            text = answers["value"].strip()
            value = typed_value(item, text, self.job.state.wall, places[0])
            if stand and text not in asked:
                asked.add(text)
                raise OddReadingError(
                    f"Logged already at {len(stand)} of {len(places)}, {marks_view.few(stand)}: "
                    "Enter again logs it anew there, the old is kept; Esc leaves it"
                )
            try:
                bodies = reading_bodies(
                    self.job, check.id, item.name, places, value, confirmed=text in asked
                )
            except OddReadingError as odd:
                asked.add(text)
                raise OddReadingError(f"{odd}: Enter again logs it") from None
            self.job.record_all(bodies)

        return submit

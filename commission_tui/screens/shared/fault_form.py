"""Log a fault: kind, place, severity, words; the usual ones are filled in."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial
from typing import ClassVar

from textual import events, on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.widgets import Input

from commission_tui.checks.faults.fault_words import fault_note
from commission_tui.checks.faults.kinds import FaultKind
from commission_tui.checks.faults.typed_places import cabinets_of, form_of, places_of, written_out
from commission_tui.errors import CommissionError, InputError
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.state.fault_steps import fault_body
from commission_tui.screens.host.key_table import quiet
from commission_tui.screens.host.questions import PendingQuestion
from commission_tui.screens.shared import fault_choices as choices
from commission_tui.screens.shared import fault_places, place_questions
from commission_tui.screens.shared.kind_list import KindList
from commission_tui.screens.shared.next_faults import NextFaults, begin_with_fault, is_place
from commission_tui.screens.terminal.styled_text import caution_line
from commission_tui.screens.widgets.form import ErrorLines, LinesDialog
from commission_tui.screens.widgets.plain_input import PlainInput
from commission_tui.screens.widgets.text_lines import Painted
from commission_tui.text import counted

_DRAFT = "fault"
"""One fault is begun at a time, wherever one then goes."""
_LATER = "later"
"""Under this the draft of a form that is one of a list has the lines after it."""

_CHOSEN = "chosen"
"""Under this, the kind that somebody went down to."""


class FaultForm(LinesDialog):
    """Knows the check and the place it was opened from; closes with True once it is logged."""

    HELP_TEXT = (
        "Type what you call it, with its place or without (R2C3 dead pixel; row 3 dark or "
        "R3C1-R3C6 dark is one for each cabinet); what fits no kind is 'something else', with "
        "your own words beside it. Severity, gravest first: 1 danger can hurt someone, 2 stop: an "
        "agreed function lost, or the picture's middle spoilt, 3 shows: seen from the nearest seat, "
        "4 near: only closer or on a pattern, 5 note. What to look at first stands under the list of kinds. "
        "Of a list that is pasted or typed on, a line each, the next waits until this one is logged."
    )

    _LISTED = True
    BINDINGS: ClassVar[list[BindingType]] = [
        quiet("fault.down", "down", "move(1)", "Down", "Next kind"),
        quiet("fault.up", "up", "move(-1)", "Up", "Kind before"),
    ]

    def __init__(
        self,
        job: OpenJob,
        *,
        location: str = "wall",
        check: str | None = None,
        places: tuple[str, ...] = (),
    ) -> None:
        """Make a form; with several places the same fault is logged at each of them."""
        super().__init__(_DRAFT)
        self._places = places
        self._job = job
        self.location = location
        self._check = check
        self._kinds = KindList()
        self._made_with: str | None = None
        """The words with which the first field is made, until it has told so itself: nobody typed them now."""
        self._kind_question: PendingQuestion | None = None
        self._where = place_questions.FaultPlace(job, location)
        self._beside = ""
        """The description that stands there because what is typed fits no kind."""
        self.done = ""
        """What was logged, in one line."""
        self._since = ""
        """From when something is typed here already."""
        self._taken_up = ""
        """Where what is half typed was begun, when that is not here."""
        self._begun: dict[str, str] = {}
        """What was half typed, by its line, until all of it was typed anew."""
        self._next = NextFaults()
        """Lines that came to this form and are each a fault by itself; the next form has the first."""
        self._severity_typed = self._came_with_typed = False
        """Whether the severity is somebody's own, now and when one came to the field one is in."""

    def compose_lines(self) -> ComposeResult:
        kept = self._kept()
        yield Painted(id="fault-caution", classes="box-notes")
        yield Painted(id="label-kind", classes="label")
        self._made_with = kept.get("kind") or None
        yield PlainInput(kept.get("kind", ""), id="field-kind", max_length=200, gives_way=True)
        yield self._kinds
        yield Painted(id="fault-looks", classes="box-notes")
        for name in choices.LINES[1:]:
            yield Painted(id=f"label-{name}", classes="label")
            shown = kept.get(name, self.location if name == "place" else "")
            self._severity_typed |= name == "severity" and bool(shown)
            field = PlainInput(shown, id=f"field-{name}", gives_way=True)
            field.display = name != "place" or not self._places
            field.takes_whole = lambda line: not fault_places.is_fault_line(line)
            yield field

    def _kept(self) -> Mapping[str, str]:
        """Return what was begun and not logged; the place it was begun at gives way to this one."""
        kept = dict(self.host.drafts.get(_DRAFT, {}))
        self._since = "" if self._comes_by_itself else self.host.drafts.since(_DRAFT)
        self._next.lines = list(filter(None, kept.pop(_LATER, "").split("\n")))
        begun_at = kept.pop("at", "")
        if begun_at and begun_at != self.location:
            if kept.get("place") == begun_at:
                del kept["place"]
            self._taken_up = begun_at if kept.get("kind") or kept.get("note") else ""
        self._begun = {name: kept[name] for name in choices.LINES if kept.get(name)}
        if kept.get("place") == self.location:
            del self._begun["place"]
        return kept

    def on_mount(self) -> None:
        self._label("kind", "What", "such as dead pixel, or R2C3 dead pixel; up and down, Enter")
        self._where.is_said = self._value("place") != self.location
        self._narrow(self._value("kind"))
        self._choose_again()
        if not self.later:  # a list went on to that line by itself
            self._go_where_one_was()

    def _choose_again(self) -> None:
        """Choose the kind that was chosen when the form was left, where it is still offered."""
        if self._kinds.choose(self.host.drafts.get(_DRAFT, {}).get(_CHOSEN)):
            self._own_words_beside()
            self._kind_changed()

    @property
    def later(self) -> list[str]:
        """The lines that wait for a form each."""
        return self._next.lines

    def on_descendant_focus(self, event: events.DescendantFocus) -> None:
        if isinstance(event.widget, PlainInput):
            self._next.came_with = event.widget.value
            self._came_with_typed = self._severity_typed

    @property
    def _many(self) -> tuple[str, ...]:
        """The cabinets where the same is logged at more places than one; none on a wall without them."""
        try:
            return self._places or cabinets_of(self._job.state.wall, self._place)
        except InputError:
            return ()

    def _say_where(self) -> None:
        many = self._many
        where = counted(len(many), "cabinet") if many else self._place
        title = f"Log a fault, {where}"
        begun = "  front view"
        if not many and self._place == self.location != "wall":
            begun = "  where you were, front view"
        if self._taken_up:
            begun = f"  begun at {self._taken_up}"
        elif self._since:
            begun = f"  not logged, {self._since}"
        waits = f"; {counted(len(self.later), 'line')} more after this" if self.later else ""
        self.show_title(((title, "title"), (begun, "muted"), (waits, "marginal")))

    def _value(self, name: str) -> str:
        return self._field(name).value

    @property
    def _place(self) -> str:
        """The place that is logged: what is typed, or the part of a place that was asked for."""
        return self._where.meant(self._value("place"), self._kinds.kind)

    def _narrow(self, typed: str) -> None:
        if self._places:
            self._where.words = typed
        else:
            self._show_place(self._where.part(typed, self._value("place")))
        if self._beside and self._beside != self._where.words.strip():
            if self._value("note") == self._beside:
                self._field("note").value = ""
            self._beside = ""
        self._kinds.narrow(self._where.words, form_of(self._place))
        self._kind_changed()

    def _kind_changed(self) -> None:
        self._say_where()
        kind = self._kinds.kind
        shown = self.query_one("#fault-caution", Painted)
        shown.show(caution_line(kind.caution if kind else ""))
        shown.display = kind is not None and bool(kind.caution)
        self.query_one("#fault-looks", Painted).show(choices.looks_line(kind))
        many = self._many
        line = place_questions.place_line(self._job, self._where, self._place, kind, many)
        self.query_one("#label-place", Painted).show((("Where", "strong"), line))
        self._label("note", "Description", choices.note_hint(kind))
        severity = self._field("severity")
        usual = choices.usual_severity_at(self._job, kind, *(many or (self._place,)))
        if not self._severity_typed:
            with self.prevent(Input.Changed):
                severity.value = usual
        graver = choices.why_graver(self._job, kind, *(many or (self._place,)))
        hint = f"{usual}, {graver}; or 1 to 5" if graver else choices.SEVERITY_HINT
        self._label("severity", "Severity", hint)

    @on(Input.Changed)
    def typed(self, event: Input.Changed) -> None:
        self.query_one(ErrorLines).show()
        if self._begun and not any(self._value(key) == said for key, said in self._begun.items()):
            self._begun, self._since, self._taken_up = {}, "", ""
            self._say_where()
        if event.input.id == "field-kind":
            made_with, self._made_with = self._made_with, None
            if event.value == made_with:  # what was chosen for it stands
                return
            self._next.has_place = False
            self._narrow(event.value)
        elif event.input.id == "field-severity":
            self._severity_typed = bool(event.value)
        elif event.input.id == "field-place":
            self._where.is_said |= event.value != self._where.other
            if form_of(self._place) not in {"", self._kinds.form} and not self._kinds.went_down:
                self._narrow(self._value("kind"))
            else:
                self._kind_changed()

    @on(Input.Submitted)
    def next_or_submit(self, event: Input.Submitted) -> None:
        event.stop()
        name = (event.input.id or "").removeprefix("field-")
        where = written_out(self._job.state.wall, event.value)
        is_where = is_place(where, self._kinds.kind, self._where.part_of)
        at_once = self.host.pace.came_at_once
        is_answer = name == "kind" and not self._is_over_listed
        if not is_answer and self._next.is_next(
            name, event.value, is_where=is_where, at_once=at_once
        ):
            self._let_wait(event.value)
            return
        self._next.left(event.value)
        asked = event.input.id == "field-place" and self._where.was_asked
        if event.input.id == "field-note" or asked:
            self.action_submit()
            return
        if event.input.id == "field-kind":
            if self._kinds.kind is None:
                self._own_words_beside()
                self._kind_question = self.host.questions.put(
                    self, self._kind_question, of_value=True
                )
                self.query_one(ErrorLines).show(
                    choices.no_kind(self._where.words, self._kinds.offered)
                )
                self._field("kind").offer()
                return
            refused, self._kind_question = self._kind_question, None
            typed_on = refused is not None and bool(refused.keys)  # for the next line, the place
            self.host.questions.answer(refused)
            self._place_to_its_line()
            if refused is not None and not typed_on and self._kinds.fits_none:
                self._field("severity").focus()  # the usual one says nothing of what has no kind
                return
            self._next.behind_empty = False
        self.focus_next(PlainInput)

    @property
    def _is_over_listed(self) -> bool:
        """Whether one typed over the line of a list with which this form came by itself."""
        field = self._field("kind")
        is_listed = self._comes_by_itself and field.replaced == self._next.came_with
        return is_listed and field.has_focus and field.value != field.replaced != ""

    def _let_wait(self, line: str) -> None:
        """Take a line that is the next fault out of the field of this one, until this is logged."""
        self.later.append(line.strip())
        at = self.focused
        if isinstance(at, PlainInput):
            with self.prevent(Input.Changed):
                at.value = self._next.came_with
            self._severity_typed = self._came_with_typed
        if not self._kinds.went_down:
            self._narrow(self._value("kind"))
        self._kind_changed()
        if isinstance(at, PlainInput):
            at.offer()
        self.query_one(ErrorLines).show(self._next.says)

    def action_move(self, by: int) -> None:
        if not self._field("kind").has_focus:
            (self.focus_next if by > 0 else self.focus_previous)(PlainInput)
        else:
            self.query_one(ErrorLines).show()
            self._kinds.move(by)
            self._own_words_beside()
            self._kind_changed()

    def _own_words_beside(self) -> None:
        """Take what fits no kind as the words beside the kind that is chosen, if there are none yet."""
        note = self._field("note")
        if self._kinds.fits_none and not note.value:
            with self.prevent(Input.Changed):  # nobody typed it: what was said of the kind stands
                self._beside = self._where.words.strip()
                note.value = self._beside  # which stays in the first line: typing replaces it here
            if note.has_focus:
                note.offer()
                self._next.came_with = note.value

    def _show_place(self, place: str) -> None:
        field = self._field("place")
        if field.value != place:
            with self.prevent(Input.Changed):
                field.value = place

    def _place_to_its_line(self) -> None:
        """Leave a place that was typed beside the fault to the line where it is asked for."""
        if self._where.beside:
            with self.prevent(Input.Changed):  # which kind is chosen stays so
                self._field("kind").value = self._where.words
            self._where.keep_beside()
            self._next.has_place = True
            self._kind_changed()

    def action_submit(self) -> None:
        if self._is_over_listed and fault_places.is_fault_line(self._value("kind")):
            self._let_wait(self._value("kind"))
            return
        if self._kinds.kind is not None:
            self._place_to_its_line()
        kind = self._kinds.kind
        try:
            if kind is None:
                raise InputError(choices.no_kind(self._where.words, self._kinds.offered))
            note = fault_note(kind, self._where.words, self._value("note"))
            severity = choices.severity_of(self._value("severity"))
            self._ask_where(kind)
            self._log(kind, severity, note)
        except CommissionError as error:
            self._question = self.host.questions.put(self, self._question, of_value=True)
            self.query_one(ErrorLines).show(str(error))
            # To the line that is wrong, where typing replaces what is there.
            field = self._field(choices.line_named_in(str(error)) if kind else "kind")
            field.focus()
            field.offer()
            return
        self.host.drafts.pop(_DRAFT, None)
        waiting = [
            question
            for question in (self._early, self._kind_question, self._question)
            if question is not None
        ]
        for question in waiting:
            if self.later or begin_with_fault(question.keys):
                self.later.extend(self.host.questions.take_lines(question))
        for question in reversed(waiting):  # figures and keys of what is below, the earliest first
            self.host.questions.answer(question)
        if self.later:
            follows, *more = self.later
            self.host.drafts.begin(_DRAFT, {"kind": follows, _LATER: "\n".join(more)})
        self.dismiss(True)

    def _ask_where(self, kind: FaultKind) -> None:
        """Ask once where it is, if that is open; what is typed then stands in the line for the place."""
        place = self._place
        if self._where.part_of is not None:
            with self.prevent(Input.Changed):  # what is asked of it stands on
                self._field("place").value = place
        if not self._places:
            self._where.ask(place, kind)

    def _log(self, kind: FaultKind, severity: str, note: str) -> None:
        places = self._places or places_of(self._job.state.wall, kind, self._place)
        make = partial(fault_body, self._job.state, kind.name, note=note, check=self._check)
        self._job.record_all([make(location=place, severity=severity) for place in places])
        self.done = choices.logged_words(self._job.state, len(places))

    def _typed(self) -> dict[str, str]:
        """Return what is typed, and where it was begun; nothing while nothing is."""
        kept = {key: self._value(key) for key in choices.LINES} | {"place": self._place}
        if self._where.beside:  # it comes back with the line that it stands in
            kept["place"] = self._where.other
        if self._where.module:  # between the cabinet and its pixel, as it is told apart again
            cabinet, _, pixel = self._place.partition(" ")
            kept["kind"] = f"{cabinet} {self._where.module} {pixel} {kept['kind']}"
        if not self._severity_typed:  # of the kind, which may be another when it comes back
            del kept["severity"]
        if kept["note"] == self._beside:  # what is typed stands in the first line
            kept["note"] = ""
        if self.later:
            kept[_LATER] = "\n".join(self.later)
        is_begun = any(kept.get(key) for key in ("kind", "note", _LATER))
        is_begun |= kept["place"] != self.location
        if self._kinds.went_down and self._kinds.kind is not None:
            kept[_CHOSEN] = self._kinds.kind.name
        return kept | {"at": self.location} if is_begun else {}

"""The parts of the walk's screen: what is around the place, and where the value is typed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical, VerticalScroll

from commission_tui.logbook.job import OpenJob
from commission_tui.screens.layers.place_lookup import step_marks
from commission_tui.screens.layers.wall_geometry import small_drawing, small_plan
from commission_tui.screens.photographs.check_tasks import is_filled
from commission_tui.screens.terminal.styled_text import Glyphs, Line
from commission_tui.screens.walk import input_prompt
from commission_tui.screens.walk import view as walk_view
from commission_tui.screens.walk.route import Route
from commission_tui.screens.walk.view import Preview
from commission_tui.screens.widgets.plain_input import PlainInput
from commission_tui.screens.widgets.text_lines import Painted
from commission_tui.text import clipped

_LEFT_EMPTY = 12
"""Characters that a broken row of words may leave empty."""


class SidePanel(Vertical):
    """The wall in small with the place, and what was read round it."""

    def __init__(self) -> None:
        super().__init__(id="side")
        self._title, self._wall = Painted(id="map-title"), Painted(id="small-wall")
        self._readings = Painted(id="readings")

    def compose(self) -> ComposeResult:
        yield from (self._title, self._wall, self._readings)

    def draw(self, job: OpenJob, route: Route, glyphs: Glyphs) -> None:
        step, left = route.step, route.left
        width, height = max(10, self.size.width - 2), max(6, self.size.height)
        rows = 0
        if step is not None:
            drawn = job.state.wall.once(small_plan, width, min(14, height // 2))
            done = walk_view.places_read(job.state, route.check_id) - {p for _, p in left}
            marks, points = step_marks(step.field.per, step.place, job.state.wall, done)
            lines = small_drawing(drawn, marks, points)
            self._wall.show(*lines)
            rows = len(lines)
            there = f" {clipped(step.place, width - 14)} " if marks or points else ""
            self._title.show((("Front view  ", "muted"), (there, "here")))
        room = width, max(3, height - rows - 2)
        shown = walk_view.reading_rows(
            job.state, route.check, route.steps, route.at, room, glyphs, set(left)
        )
        self._readings.show(*shown)


@dataclass(frozen=True, slots=True)
class Entry:
    """What is typed now, and what the panel says of it."""

    shown: Preview
    message: Line
    repeats: int | None = None
    """How many readings the next value repeats; None while it repeats none."""


class EntryPanel(Vertical):
    """The field, what it takes, the line about what was typed, and the verdict."""

    def __init__(self) -> None:
        super().__init__(id="entry")
        # Made here, so that they are there before the panel is composed: a screen may come that early.
        self.field = PlainInput(id="value", max_length=2000)
        self._asked, self._unit = Painted(id="asked"), Painted(id="unit")
        self._message, self._standing = Painted(id="message"), Painted(id="standing-text")

    def compose(self) -> ComposeResult:
        yield self._asked
        with Horizontal(id="value-line"):
            yield self.field
            yield self._unit
        yield self._message
        with VerticalScroll(id="standing", can_focus=False):
            yield self._standing

    def draw(self, job: OpenJob, route: Route, glyphs: Glyphs, entry: Entry) -> None:
        asked, takes = self._asks(job, route, glyphs, entry)
        self._asked.show(asked)
        self._unit.show(*takes)
        self.set_class(len(takes) > 1, "-more")
        self.say(entry.message)
        # Two rows, less what breaking them leaves empty: so the next step is seen in 80 x 24.
        room = 2 * max(40, self.screen.size.width - 2) - _LEFT_EMPTY
        self._standing.show(*walk_view.standing_lines(job, route.check, entry.shown, glyphs, room))

    def say(self, message: Line) -> None:
        self._message.show(message)

    def _asks(
        self, job: OpenJob, route: Route, glyphs: Glyphs, entry: Entry
    ) -> tuple[Line, Sequence[Line]]:
        """Return what is asked and what may be typed; the field is made to fit it."""
        step = route.step
        if step is None:
            return (("Nothing to record on this wall", "muted"),), ()
        line = input_prompt.prompt_line(step, route.steps, route.at, again=entry.repeats)
        before = input_prompt.baseline_part(job.state, route.check_id, step)
        if is_filled(route.check):
            room = self.screen.size.width - 2
            before = (*before, *input_prompt.camera_part((*line, *before), room))
        field = self.field
        field.placeholder = input_prompt.placeholder_of(step.field).translate(glyphs.spelling)
        field.set_class(step.field.kind == "text", "-long")
        field.set_class(step.field.kind in {"choice", "yes-no"}, "-short")
        room, shown = max(40, self.screen.size.width - 14), entry.shown
        takes = input_prompt.accepted_lines(
            step.field, shown.value, shown.echo, room, typed=bool(field.value)
        )
        first, *more = takes
        wants = input_prompt.designed(job.state, route.check_id, step)
        return (*line, *before), ((*first, *wants), *more)

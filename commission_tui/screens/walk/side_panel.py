"""What stands beside the walk: the wall in small with the place, and what was read round it."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.containers import Vertical

from commission_tui.logbook.job import OpenJob
from commission_tui.screens.layers.place_lookup import step_marks
from commission_tui.screens.layers.wall_geometry import small_drawing, small_plan
from commission_tui.screens.terminal.styled_text import Glyphs
from commission_tui.screens.walk import view as walk_view
from commission_tui.screens.walk.route import Route
from commission_tui.screens.widgets.text_lines import Painted
from commission_tui.text import clipped


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

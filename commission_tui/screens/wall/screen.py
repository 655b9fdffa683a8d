"""Wall: every cabinet to scale in layers, front or rear view, down to the module and the pixel."""

from __future__ import annotations

from collections.abc import Mapping
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType

from commission_tui.logbook.job import OpenJob
from commission_tui.screens.cabinet.screen import CabinetDialog
from commission_tui.screens.cabinet.view import cursor_lines, typed_location
from commission_tui.screens.host.key_table import key, quiet
from commission_tui.screens.layers.wall_geometry import Steps
from commission_tui.screens.mapping import view as mapping_view
from commission_tui.screens.mapping.panel import KEYS as MAPPING_KEYS
from commission_tui.screens.mapping.panel import MappingPanel
from commission_tui.screens.shared.job_screen import JobScreen
from commission_tui.screens.terminal.styled_text import Line, Part, tab, wrapped
from commission_tui.screens.wall.marking import KEYS as MARKING_KEYS
from commission_tui.screens.wall.marking import Marking
from commission_tui.screens.wall.view import CHANGE, LAYERS, legend, looks
from commission_tui.screens.widgets.form import Form, Question
from commission_tui.screens.widgets.screen_frame import open_dialog
from commission_tui.screens.widgets.text_lines import Painted
from commission_tui.screens.widgets.wall_map import WallMap
from commission_tui.text import counted
from commission_tui.wall.model.location import Cell, Location
from commission_tui.wall.model.wall_model import Wall

ALL_LAYERS = (*LAYERS, mapping_view.LAYER, CHANGE)
_POSITION_HINT = "R3C7, 3 7, P4.2 along a chain; x1211 y402 or R3C7 x59 y18 for a pixel"
_CAPTION_ROWS = 3
_ARROWS = {"down": "down,j", "up": "up,k", "left": "left", "right": "right"}
_ENDS = {"left": "home", "right": "end", "up": "pageup", "down": "pagedown"}


class WallScreen(JobScreen):
    """The wall with a cursor."""

    TAB = "wall"
    OPENING_KEYS = "lt"
    HELP_TEXT = (
        "The arrows move as you see the wall; in rear view too. Type a position and you are "
        "there: R3C7, P4.2, x1211 y402. Esc takes the marks away. For the mapping, a logs that "
        "all is as designed, then t each exception; e explains them, and d follows each move."
    )

    BINDINGS: ClassVar[list[BindingType]] = [
        *MAPPING_KEYS,
        *MARKING_KEYS,
        key("wall.open", "enter", "open", "Zoom in", "Open the cabinet: modules, pixels"),
        key("wall.fault", "l", "fault", "Fault",
            "Log a fault at this cabinet, or at every one that is marked"),
        key("wall.view", "v", "view", "Front/rear", "Draw the wall from the other side"),
        quiet("wall.part", "f", "part", "Fit a part",
            "Record or exchange a part of this cabinet, by serial; two places may change"),
        quiet("wall.patterns", "w,f6", "patterns", "Test patterns",
            "Write test patterns for this wall as picture files"),
        key("wall.jump", "r,R", "jump('R')", "Jump",
            "Go to a cabinet or pixel by typing its position", key_display="r"),
        quiet("wall.jump_pixel", "x", "jump('x')", "Jump to pixel",
            "Go to a pixel of the canvas: x1211 y402"),
        quiet("wall.jump_port", "p,P", "jump('P')", "Jump along chain",
            "Go to a place of a chain: P4.2", key_display="p"),
        quiet("wall.jump_to", "slash", "jump('')", "Jump to",
            "Go to any position, however it is typed", key_display="/"),
        quiet("wall.larger", "plus", "zoom(1)", "Larger", "Draw larger; then open the cabinet",
            key_display="+"),
        quiet("wall.smaller", "minus", "zoom(-1)", "Smaller", "Draw smaller", key_display="-"),
        quiet("wall.whole", "0", "zoom(0)", "Whole wall", "Draw the whole wall again"),
        *[
            quiet(f"wall.{name}", str(number), f"layer('{name}')", name.capitalize(),
                f"Show the layer: {name}")
            for number, name in enumerate(ALL_LAYERS, start=1)
        ],
        *[
            quiet(f"wall.{arrow}", keys, f"move('{arrow}')", f"Cabinet {arrow}",
                f"Move the cursor {arrow}")
            for arrow, keys in _ARROWS.items()
        ],
        *[
            quiet(f"wall.last_{arrow}", keys, f"end('{arrow}')", f"Last {arrow}",
                f"Move the cursor to the last cabinet {arrow}")
            for arrow, keys in _ENDS.items()
        ],
    ]  # fmt: skip

    def __init__(self, job: OpenJob) -> None:
        super().__init__(job)
        self._layer = LAYERS[0]
        self._rear = False
        self._start: Cell | None = None
        self._paths: tuple[Wall, Steps] | None = None
        self.map = WallMap(id="wall-map")
        self.marking = Marking(self, lambda: self.here, self.draw_marks)
        self.mapping = MappingPanel(self, lambda: self.here, self.go_to, self._show_mapping)

    @property
    def here(self) -> Cell:
        return self._start or self.map.cursor

    @property
    def steps(self) -> Steps:
        """What lies beside each cabinet; made once a wall."""
        wall = self.job.state.wall
        if self._paths is None or self._paths[0] is not wall:
            self._paths = wall, Steps(wall)
        return self._paths[1]

    def compose_content(self) -> ComposeResult:
        yield Painted(id="layer-line")
        yield Painted(id="legend")
        yield self.map
        yield Painted(id="caption")
        yield self.mapping.lines

    def redraw(self) -> None:
        self._draw_layers()
        if self._layer == mapping_view.LAYER:
            shown, line = self.mapping.shown.looks(), self.mapping.shown.legend()
        else:
            shown = looks(self._layer, self.job, rear=self._rear)
            line = legend(self._layer, self.job)
        self.map.show(self.job.state.wall, shown, rear=self._rear)
        if self._start is not None:
            self.map.move_to(self._start)
            self._start = None
        rows = wrapped(line, max(20, self.size.width - 2))[:2]
        legend_rows = self.query_one("#legend", Painted)
        legend_rows.styles.height = len(rows)
        legend_rows.show(*rows)
        self._draw_cursor()

    def _draw_layers(self) -> None:
        side = "REAR" if self._rear else "FRONT"
        view = f"{side} VIEW" if self.size.width >= 100 else side
        parts: list[Part] = [(f" {view} ", "caution" if self._rear else "strong")]
        for number, name in enumerate(ALL_LAYERS, start=1):
            parts += tab(str(number), name, here=name == self._layer, end="")
        self.query_one("#layer-line", Painted).show(tuple(parts))

    def _draw_cursor(self) -> None:
        mapping = self._layer == mapping_view.LAYER
        self.query_one("#caption").display = not mapping
        self._move_to(self.map.cursor)
        if mapping or self.mapping.lines.display:
            self.mapping.draw(shown=mapping)

    def _caption(self, cell: Cell) -> tuple[Line, ...]:
        if self._layer == mapping_view.LAYER:
            return ()
        view = "rear view" if self._rear else "front view"
        marked = len(self.marking.shown) if self.marking.marks.any else 0
        lines = cursor_lines(self.job, cell, view, marked)
        if self.map.crowd > 1 and len(lines) < _CAPTION_ROWS:
            crowd = f"A character stands for up to {counted(self.map.crowd, 'cabinet')} and shows the gravest; "
            lines.append(((crowd, "muted"), ("+", "key"), (" draws larger", "muted")))
        return tuple(lines)

    def draw_marks(self) -> None:
        """Show the marks, and the rectangle that is being drawn."""
        self.map.mark(self.marking.shown)
        self._draw_cursor()

    def _move_to(self, cell: Cell) -> None:
        self.map.move_to(cell)
        self.query_one("#caption", Painted).show(*self._caption(cell))

    def _go(self, cell: Cell) -> None:
        """Move the cursor, and what follows it."""
        self._move_to(cell)
        if self.marking.marks.corner is not None:
            self.draw_marks()
        elif self._layer == mapping_view.LAYER:
            self.mapping.draw(shown=True)

    @on(WallMap.Clicked)
    def clicked(self, event: WallMap.Clicked) -> None:
        """Put the cursor where the mouse clicked; a second click goes closer."""
        if event.again:
            self.action_open()
        else:
            self._go(event.cell)

    def go_to(self, cell: Cell, layer: str = "") -> None:
        """Put the cursor on a cabinet, in a layer when one is named."""
        self._start = cell
        self._layer = layer or self._layer
        if self.is_mounted:
            self.redraw()

    # --- keys

    def action_move(self, direction: str) -> None:
        self._go(self.steps.neighbour(self.map.cursor, direction, rear=self._rear))

    def action_end(self, direction: str) -> None:
        self._go(self.steps.end(self.map.cursor, direction, rear=self._rear))

    def action_back(self) -> None:
        """Take the marks away first; only then leave."""
        if not self.marking.clear():
            super().action_back()

    def action_layer(self, name: str) -> None:
        self._layer = name
        self.redraw()

    def _show_mapping(self, rear: bool | None) -> None:
        self._rear = self._rear if rear is None else rear
        self.action_layer(mapping_view.LAYER)

    def action_view(self) -> None:
        self._rear = not self._rear
        self.redraw()
        self.say(f"Now drawn: {'rear' if self._rear else 'front'} view")

    def action_zoom(self, by: int) -> None:
        if by > 0 and not self.map.can_zoom_in:
            self.action_open()
        else:
            self.map.zoom(by)
            self._draw_cursor()

    def action_open(self) -> None:
        self._open(Location(cell=self.map.cursor))

    def action_part(self) -> None:
        # Here, not at the top: few walls are drawn to exchange a part.
        from commission_tui.screens.parts.part_forms import pick_part

        pick_part(self, self.job, self.map.cursor, self.host.read_again)

    def action_patterns(self) -> None:
        # Here, not at the top: few walls are drawn to write a file.
        from commission_tui.screens.patterns.dialog import PatternsDialog

        self.app.push_screen(PatternsDialog(self.job.state.wall))

    def _open(self, location: Location) -> None:
        open_dialog(
            self,
            CabinetDialog(self.job, location, rear=self._rear),
            lambda layer: self.action_layer(ALL_LAYERS[layer - 1]),
        )

    def action_jump(self, typed: str) -> None:
        found: list[Location] = []

        def submit(answers: Mapping[str, str]) -> None:
            found.append(typed_location(self.job.state.wall, answers["position"]))

        def jumped(_: bool) -> None:
            location = found[-1]
            if location.cell is not None:
                self._go(location.cell)
            if location.pixel is not None or location.module is not None:
                self._open(location)

        question = Question("position", "Position", typed, _POSITION_HINT, begun=True)
        form = Form("Jump to a position", [question], submit)
        open_dialog(self, form, jumped)

    # --- marks

    def action_mark(self) -> None:
        self.marking.one()

    def action_mark_block(self) -> None:
        self.marking.block()

    def action_mark_many(self) -> None:
        self.marking.many()

    def action_reading(self) -> None:
        self.marking.reading()

    def action_fault(self) -> None:
        self.marking.fault()

    # --- the layer of the mapping

    def action_tile_seen(self) -> None:
        self.mapping.tile_seen()

    def action_all_as_designed(self) -> None:
        self.mapping.all_as_designed()

    def action_side(self) -> None:
        self.mapping.side()

    def action_photograph(self) -> None:
        self.mapping.photograph()

    def action_explain(self) -> None:
        self.mapping.explain()

    def action_move_done(self) -> None:
        self.mapping.move_done()

    def action_move_needless(self) -> None:
        self.mapping.move_needless()

    def action_undo_move(self) -> None:
        self.mapping.undo_move()

    def action_drop_list(self) -> None:
        self.mapping.drop_list()

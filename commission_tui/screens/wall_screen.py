"""Wall: every cabinet to scale in layers, front or rear view, down to the module."""

from __future__ import annotations

from collections.abc import Mapping
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType

from commission_tui.logbook.job import OpenJob
from commission_tui.screens import mapping_view
from commission_tui.screens.cabinet import CabinetDialog
from commission_tui.screens.cabinet_view import cursor_lines, typed_position
from commission_tui.screens.geometry import neighbour
from commission_tui.screens.mapping_screen import MappingLines, MappingScreen
from commission_tui.screens.wall_view import LAYERS, legend, looks
from commission_tui.screens.widgets.form import Form, Question
from commission_tui.screens.widgets.painted import Painted
from commission_tui.screens.widgets.wall_map import WallMap
from commission_tui.screens.words import Part
from commission_tui.wall.location import Cell

ALL_LAYERS = (*LAYERS, mapping_view.LAYER)


def _layer(number: int, name: str) -> Binding:
    return Binding(
        str(number),
        f"layer('{name}')",
        name.capitalize(),
        id=f"wall.{name}",
        tooltip=f"Show the layer: {name}",
        show=False,
    )


class WallScreen(MappingScreen):
    """The wall with a cursor."""

    TAB = "wall"
    HELP_TEXT = (
        "The arrows move as you see the wall; in rear view too. 1 to 6 choose the layer. "
        "Type R to jump: R3C7, or 3 7, or P4.2 for the second cabinet of port 4."
        " On 6, a logs that all is as designed, t what is not, x explains it; then d after each move."
    )

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "open", "Cabinet", id="wall.open", tooltip="Open the cabinet"),
        Binding("l", "fault", "Fault here", id="wall.fault", tooltip="Log a fault at this cabinet"),
        Binding(
            "v", "view", "Front/rear", id="wall.view", tooltip="Draw the wall from the other side"
        ),
        Binding(
            "r,R",
            "jump('R')",
            "Jump",
            id="wall.jump",
            key_display="r",
            tooltip="Go to a cabinet by typing its row and column",
        ),
        Binding(
            "slash", "jump('')", "Jump to", id="wall.jump_to", key_display="/",
            tooltip="Go to a cabinet by port and place, canvas pixel or position", show=False,
        ),
        Binding(
            "plus", "zoom(1)", "Larger", id="wall.larger", key_display="+", tooltip="Draw larger"
        ),
        Binding(
            "minus", "zoom(-1)", "Smaller", id="wall.smaller", key_display="-",
            tooltip="Draw smaller", show=False,
        ),
        Binding(
            "0", "zoom(0)", "Whole wall", id="wall.whole", tooltip="Draw the whole wall again",
            show=False,
        ),
        *[_layer(number, name) for number, name in enumerate(ALL_LAYERS, start=1)],
        *[
            Binding(
                f"{arrow},{letter}",
                f"move('{arrow}')",
                f"Cabinet {arrow}",
                id=f"wall.{arrow}",
                tooltip=f"Move the cursor {arrow}",
                show=False,
            )
            for arrow, letter in (("down", "j"), ("up", "k"))
        ],
        *[
            Binding(
                arrow,
                f"move('{arrow}')",
                f"Cabinet {arrow}",
                id=f"wall.{arrow}",
                tooltip=f"Move the cursor {arrow}",
                show=False,
            )
            for arrow in ("left", "right")
        ],
    ]  # fmt: skip

    def __init__(self, job: OpenJob) -> None:
        super().__init__(job)
        self._layer = LAYERS[0]
        self._rear = False
        self._start: Cell | None = None

    @property
    def here(self) -> Cell:
        return self._start or self.map.cursor

    @property
    def map(self) -> WallMap:
        return self.query_one(WallMap)

    def compose_content(self) -> ComposeResult:
        yield Painted(id="layer-line")
        yield WallMap(id="wall-map")
        yield Painted(id="legend")
        yield Painted(id="cursor-lines")
        yield MappingLines(id="mapping-lines")

    def redraw(self) -> None:
        wall, glyphs = self.job.state.wall, self.host.glyphs
        self._draw_layers()
        if self._layer == mapping_view.LAYER:
            shown = mapping_view.looks(self.job, self.table, glyphs, self._chosen)
            line = mapping_view.legend(self.job, self.table, glyphs, self._chosen)
        else:
            shown = looks(self._layer, self.job, glyphs, rear=self._rear)
            line = legend(self._layer, self.job, glyphs)
        self.map.show(wall, shown, glyphs.border, rear=self._rear)
        if self._start is not None:
            self.map.move_to(self._start)
            self._start = None
        self.query_one("#legend", Painted).show(line)
        self._draw_cursor()

    def _draw_layers(self) -> None:
        view = "REAR VIEW" if self._rear else "FRONT VIEW"
        parts: list[Part] = [(f" {view} ", "caution" if self._rear else "strong"), ("  ", "")]
        for number, name in enumerate(ALL_LAYERS, start=1):
            if name == self._layer:
                parts.append((f" {number} {name} ", "here"))
            else:
                parts += [(f" {number}", "key"), (f" {name}", "muted")]
        self.query_one("#layer-line", Painted).show(tuple(parts))

    def _draw_cursor(self) -> None:
        view = "rear view" if self._rear else "front view"
        mapping = self._layer == mapping_view.LAYER
        self.draw_mapping(shown=mapping)
        below = self.query_one("#cursor-lines", Painted)
        below.display = not mapping
        if not mapping:
            below.show(*cursor_lines(self.job, self.map.cursor, view, self.host.glyphs))

    def on_wall_map_cursor_moved(self) -> None:
        self._draw_cursor()

    def go_to(self, cell: Cell) -> None:
        """Put the cursor on a cabinet."""
        self._start = cell
        if self.is_mounted:
            self.redraw()

    # --- keys

    def action_move(self, direction: str) -> None:
        here = self.map.cursor
        self.map.move_to(neighbour(self.job.state.wall, here, direction, rear=self._rear))

    def action_layer(self, name: str) -> None:
        self.show_layer(name)

    def show_layer(self, name: str, *, rear: bool | None = None) -> None:
        """Show a layer, from one side when that is said."""
        self._layer = name
        self._rear = self._rear if rear is None else rear
        self.redraw()

    def action_view(self) -> None:
        self._rear = not self._rear
        self.redraw()
        self.say(f"Now drawn: {'rear' if self._rear else 'front'} view")

    def action_zoom(self, by: int) -> None:
        self.map.zoom(by)

    def action_fault(self) -> None:
        self.log_fault(str(self.map.cursor))

    def action_open(self) -> None:
        self.app.push_screen(CabinetDialog(self.job, self.map.cursor))

    def action_jump(self, typed: str) -> None:
        def submit(answers: Mapping[str, str]) -> None:
            self._start = typed_position(self.job.state.wall, answers["position"])

        hint = "R3C7, or 3 7, or P4.2 along a chain, or x1211 y402"
        question = Question("position", "Position", typed, hint)
        self.app.push_screen(Form("Jump to a cabinet", [question], submit, at_once=True))

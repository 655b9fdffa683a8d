"""One cabinet: its modules, place, readings and faults."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical, VerticalScroll
from textual.widgets import Footer

from commission_tui.logbook.job import OpenJob
from commission_tui.screens.cabinet_view import cabinet_lines, module_grid
from commission_tui.screens.widgets.fault_form import FaultForm
from commission_tui.screens.widgets.frame import Dialog
from commission_tui.screens.widgets.painted import Painted
from commission_tui.wall.location import Cell

_STEPS = {"up": (-1, 0), "down": (1, 0), "left": (0, -1), "right": (0, 1)}


class CabinetDialog(Dialog[None]):
    """Opened from the wall."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding(
            "l", "fault('cabinet')", "Fault in cabinet", id="cabinet.fault",
            tooltip="Log a fault at this cabinet",
        ),
        Binding(
            "m", "fault('module')", "Fault in module", id="cabinet.module_fault",
            tooltip="Log a fault at the module that is marked",
        ),
        Binding("escape,q", "close", "Close", id="cabinet.close", tooltip="Back to the wall"),
        Binding(
            "pagedown", "scroll(1)", "Scroll down", id="cabinet.page_down",
            tooltip="Scroll the text down", show=False,
        ),
        Binding(
            "pageup", "scroll(-1)", "Scroll up", id="cabinet.page_up",
            tooltip="Scroll the text up", show=False,
        ),
        *[
            Binding(
                arrow, f"module('{arrow}')", f"Module {arrow}", id=f"cabinet.{arrow}",
                tooltip=f"Mark the module {arrow}", show=False,
            )
            for arrow in _STEPS
        ],
    ]  # fmt: skip

    def __init__(self, job: OpenJob, cell: Cell) -> None:
        super().__init__()
        self._job = job
        self._cell = cell
        self._module = (1, 1)

    def compose_box(self) -> ComposeResult:
        with Vertical(classes="box tall"):
            yield Painted(classes="box-title")
            yield Painted(id="modules")
            with VerticalScroll(id="cabinet-text", can_focus=False):
                yield Painted(id="cabinet-lines")
            yield Footer(show_command_palette=False, compact=True)

    def on_mount(self) -> None:
        self._draw()

    def on_screen_resume(self) -> None:
        self._draw()

    def _draw(self) -> None:
        glyphs = self.host.glyphs
        self.query_one(".box-title", Painted).show(
            ((f"Cabinet {self._cell}", "title"), ("  front view; arrows mark a module", "muted"))
        )
        self.query_one("#modules", Painted).show(
            *module_grid(self._job, self._cell, self._module, glyphs)
        )
        self.query_one("#cabinet-lines", Painted).show(
            *cabinet_lines(self._job, self._cell, glyphs)
        )

    def action_module(self, direction: str) -> None:
        cabinet = self._job.state.wall.cabinets[self._cell]
        down, across = _STEPS[direction]
        row = max(1, min(cabinet.module_rows, self._module[0] + down))
        column = max(1, min(cabinet.module_columns, self._module[1] + across))
        self._module = (row, column)
        self._draw()

    def action_fault(self, where: str) -> None:
        location = str(self._cell)
        if where == "module":
            location += f" m{self._module[0]},{self._module[1]}"
        self.app.push_screen(FaultForm(self._job, self.host.glyphs, location=location))

    def action_scroll(self, by: int) -> None:
        text = self.query_one("#cabinet-text", VerticalScroll)
        text.scroll_relative(y=by * max(1, text.size.height - 1), animate=False)

    def action_close(self) -> None:
        self.dismiss(None)

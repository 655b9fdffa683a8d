"""One cabinet close up: its modules, then its pixels; place, readings and faults."""

from __future__ import annotations

from collections.abc import Mapping
from typing import ClassVar

from textual import events
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, VerticalScroll

from commission_tui.errors import InputError
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.judging.doubts import Doubt
from commission_tui.screens.cabinet import close_up
from commission_tui.screens.cabinet.close_up import Spot, location_of, spot_at
from commission_tui.screens.cabinet.view import cabinet_lines, typed_location
from commission_tui.screens.host.key_table import key, quiet
from commission_tui.screens.shared.fault_form import FaultForm
from commission_tui.screens.shared.job_screen import TABS
from commission_tui.screens.widgets.form import Form, Question
from commission_tui.screens.widgets.screen_frame import Dialog, open_dialog
from commission_tui.screens.widgets.text_lines import Painted
from commission_tui.text import quoted
from commission_tui.wall.model.location import Location

_ARROWS = ("up", "down", "left", "right")
_FAR = 10
_HERE = "Enter zooms in, l logs a fault, 1 to 7 show the wall's layers, F2 to F8 other screens"


class CabinetDialog(Dialog[int]):
    """Opened from the wall; Enter goes from modules to pixels and from a pixel to its fault.

    Closes with the number of the wall's layer that was asked for, if one was.
    """

    HELP_TEXT = "What is said on the right: faults, parts, readings."

    BINDINGS: ClassVar[list[BindingType]] = [
        key("cabinet.closer", "enter,plus", "closer", "Zoom in",
            "From the module to its pixels; on a pixel, log a fault there", key_display="Enter"),
        key("cabinet.fault", "l", "fault('')", "Fault here",
            "Log a fault at the selected module or pixel"),
        key("cabinet.module_fault", "m", "fault('module')", "In module",
            "Log a fault at the selected module, or the one that holds the pixel"),
        key("cabinet.cabinet_fault", "c", "fault('cabinet')", "In cabinet",
            "Log a fault at this cabinet as a whole"),
        quiet("cabinet.part", "f", "part", "Fit a part",
            "Record or exchange a part of this cabinet, the selected module first"),
        key("cabinet.jump", "x", "jump('x')", "Pixel",
            "Go to a pixel by typing it: x59 y18 in this cabinet"),
        quiet("cabinet.view", "v", "view", "Front/rear", "Draw it from the other side"),
        key("cabinet.wider", "minus,escape", "wider", "Zoom out",
            "From the pixels to the modules, and from there to the wall", key_display="Esc"),
        quiet("cabinet.close", "q", "close", "Wall", "Back to the wall at once"),
        quiet("cabinet.page_down", "pagedown", "scroll(1)", "Scroll down",
            "Scroll the text down; among pixels, ten down"),
        quiet("cabinet.page_up", "pageup", "scroll(-1)", "Scroll up",
            "Scroll the text up; among pixels, ten up"),
        *[
            quiet(f"cabinet.go_{name}", keys, f"go('{name}')", word,
                f"Close this and show the {word} screen")
            for keys, name, word in TABS
        ],
        *[
            quiet(f"cabinet.layer_{number}", str(number), f"layer({number})", f"Layer {number}",
                "Back to the wall, in this layer")
            for number in range(1, 8)
        ],
        *[
            quiet(f"cabinet.{arrow}", arrow, f"move('{arrow}', 1)", f"Move {arrow}",
                f"Mark the module or pixel {arrow}")
            for arrow in _ARROWS
        ],
        *[
            quiet(f"cabinet.ten_{arrow}", keys, f"move('{arrow}', {_FAR})", f"Ten {arrow}",
                f"Ten pixels {arrow}")
            for keys, arrow in (("home", "left"), ("end", "right"))
        ],
    ]  # fmt: skip

    def __init__(self, job: OpenJob, at: Location, *, rear: bool = False) -> None:
        super().__init__()
        self._job = job
        self._spot = spot_at(job.state.wall, at)
        self._rear = rear

    def compose_box(self) -> ComposeResult:
        with Horizontal(id="closeup"):
            yield Painted(id="modules")
            with VerticalScroll(id="cabinet-text", can_focus=False):
                yield Painted(id="cabinet-lines")
        yield Painted(id="spot-lines")

    def on_screen_resume(self) -> None:
        self.redraw()

    def redraw(self) -> None:
        spot, view = self._spot, "rear view" if self._rear else "front view"
        what = "arrows mark a pixel" if spot.pixels else "arrows mark a module"
        self.show_title(((f"Cabinet {spot.cell}", "title"), (f"  {view}; {what}", "muted")))
        text = self.query_one("#cabinet-text", VerticalScroll)
        text.display = not spot.pixels
        self.query_one("#cabinet-lines", Painted).show(*cabinet_lines(self._job, spot.cell))
        self._draw_closeup()
        self.query_one("#spot-lines", Painted).show(
            *close_up.spot_lines(self._job, spot, f"{view} drawn")
        )

    def _draw_closeup(self) -> None:
        drawing = self.query_one("#modules", Painted)
        room = self.query_one("#closeup").size
        spot = self._spot
        if spot.pixels:
            drawing.styles.width = "1fr"
            lines = close_up.pixel_drawing(
                self._job, spot, room.width - 2, room.height, rear=self._rear
            )
        else:
            lines = close_up.module_drawing(
                self._job, spot, room.width // 2, room.height, rear=self._rear
            )
            drawing.styles.width = sum(len(text) for text, _ in lines[0]) + 2
        drawing.show(*lines)

    def _go(self, spot: Spot) -> None:
        levels = spot.pixels != self._spot.pixels
        self._spot = spot
        self.redraw()
        if levels:
            self.redraw_soon()

    # --- keys

    def action_move(self, direction: str, by: int) -> None:
        by = by if self._spot.pixels else 1
        wall = self._job.state.wall
        self._go(close_up.moved(wall, self._spot, direction, rear=self._rear, by=by))

    def action_closer(self) -> None:
        if self._spot.pixels:
            self.action_fault("")
        else:
            self._go(Spot(self._spot.cell, self._spot.x, self._spot.y, pixels=True))

    def action_wider(self) -> None:
        if self._spot.pixels:
            self._go(Spot(self._spot.cell, self._spot.x, self._spot.y))
        else:
            self.dismiss(None)

    def action_view(self) -> None:
        self._rear = not self._rear
        self.redraw()

    def action_fault(self, form: str) -> None:
        location = location_of(self._job.state.wall, self._spot, form)
        self._log_fault(FaultForm(self._job, location=location))

    def _log_fault(self, asked: FaultForm) -> None:
        def logged(_: bool) -> None:
            self.app.clear_notifications()
            self.notify(asked.done, markup=False, timeout=4)
            if asked.later:  # lines of a list, of which this was one
                self._log_fault(FaultForm(self._job, location=asked.location).by_itself())

        open_dialog(self, asked, logged)

    def action_part(self) -> None:
        from commission_tui.screens.parts.part_forms import pick_part

        def read_again(doubt: Doubt) -> None:
            self.dismiss(None)
            self.call_later(self.host.read_again, doubt)

        module = location_of(self._job.state.wall, self._spot, "module")
        pick_part(self, self._job, self._spot.cell, read_again, module)

    def action_jump(self, typed: str) -> None:
        cell = self._spot.cell

        def submit(answers: Mapping[str, str]) -> None:
            text = " ".join(answers["pixel"].split())
            whole = f"{cell} {text}" if text[:1].lower() in ("x", "m") else text
            found = typed_location(self._job.state.wall, whole)
            if found.pixel is None and found.module is None:
                raise InputError(f"pixel: found {quoted(text)}, expected one like x59 y18")
            self._spot = spot_at(self._job.state.wall, found)

        hint = "x59 y18; or R3C7 x59 y18; m1,2"
        question = Question("pixel", f"Pixel in {cell}", typed, hint, begun=True)
        self.app.push_screen(Form("Go to a pixel", [question], submit))

    def action_scroll(self, by: int) -> None:
        if self._spot.pixels:
            self.action_move("down" if by > 0 else "up", _FAR)
        else:
            super().action_scroll(by)

    def action_go(self, name: str) -> None:
        self.dismiss(None)
        self.app.call_later(self.host.go, name)

    def action_layer(self, number: int) -> None:
        self.dismiss(number)

    def on_key(self, event: events.Key) -> None:
        """Say of a key that does nothing here what is there."""
        if event.key not in self.active_bindings:
            pressed = self.app.get_key_display(Binding(event.key, ""))
            self.app.clear_notifications()
            self.notify(f"{pressed}: nothing here; {_HERE}; F1 all keys", markup=False, timeout=4)

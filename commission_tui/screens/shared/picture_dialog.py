"""A dialog that shows pictures one after the other, made of characters; and a file opened outside the terminal."""

from __future__ import annotations

import atexit
import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from pathlib import Path
from typing import ClassVar

from rich.segment import Segment
from rich.style import Style
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.geometry import Size
from textual.message import Message
from textual.scroll_view import ScrollView
from textual.strip import Strip

from commission_tui.errors import CommissionError, InputError
from commission_tui.screens.host.key_table import key, quiet
from commission_tui.screens.shared.background_work import Background
from commission_tui.screens.terminal.picture_view import (
    Cells,
    Tint,
    cells_of,
    open_picture,
    paper_tint,
    size_to_fit,
    size_to_width,
    without_margins,
)
from commission_tui.screens.terminal.styled_text import Part
from commission_tui.screens.widgets.screen_frame import Dialog
from commission_tui.screens.widgets.text_lines import Painted


def open_outside(name: str, content: bytes) -> Path:
    """Show bytes with the system's viewer for such files; returns the copy that it shows.

    Raises
    ------
    InputError
        When there is no desktop to show anything on, or the copy cannot be written.
    """
    path = kept_copy(name, content)
    command = _viewer()
    if command is None:
        raise InputError(f"no viewer can be opened from here; a copy is at {path}")
    try:
        _launch([*command, str(path)])
    except OSError as error:
        raise InputError(f"{command[0]}: {error.strerror}; a copy is at {path}") from None
    return path


def kept_copy(name: str, content: bytes) -> Path:
    """Write a copy that is gone when the program ends."""
    safe = "".join(c if c.isalnum() or c in "-_." else "-" for c in name).lstrip(".-")[-80:]
    try:
        path = _folder() / (safe or "file")
        handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
        with os.fdopen(handle, "wb") as file:
            file.write(content)
    except OSError as error:
        raise InputError(f"copy of {name}: cannot be written: {error.strerror}") from None
    return path


@cache
def _folder() -> Path:
    folder = Path(tempfile.mkdtemp(prefix="commission-tui-"))  # for its owner only
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    return folder


def _viewer() -> list[str] | None:
    """Return the system's own command; never one that would draw into this terminal."""
    if sys.platform == "darwin":
        return ["open"]
    if sys.platform == "win32":
        return ["explorer"]
    if not (os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY")):
        return None
    found = shutil.which("xdg-open")
    return [found] if found else None


def _launch(command: list[str]) -> None:
    nothing = subprocess.DEVNULL
    subprocess.Popen(  # noqa: S603 (our own command and our own copy)
        command, stdin=nothing, stdout=nothing, stderr=nothing, start_new_session=True
    )


class PictureBox(ScrollView, inherit_bindings=False):
    """Shows a picture, in the middle where there is room beside it.

    Its dialog scrolls it, and turns to the next picture where this one ends.
    """

    DEFAULT_CSS = """
    PictureBox { height: 1fr; background: $background; scrollbar-size: 1 1; }
    PictureBox:focus { background: $background; }
    """

    class Resized(Message):
        """The box has a place, or another size."""

    def __init__(self, *, id: str | None = None) -> None:  # noqa: A002
        super().__init__(id=id)
        self._cells = Cells(0, ())
        self._style = lru_cache(maxsize=4096)(lambda over, under: Style(color=over, bgcolor=under))

    def on_resize(self) -> None:
        self.post_message(self.Resized())

    def show(self, cells: Cells) -> None:
        self._cells = cells
        self.virtual_size = Size(cells.columns, len(cells.rows))
        self.refresh()

    def render_line(self, y: int) -> Strip:
        left, top = self.scroll_offset
        width = self.scrollable_content_region.width
        ground = self.rich_style
        at = y + top
        if at >= len(self._cells.rows):
            return Strip.blank(width, ground)
        row = self._cells.rows[at]
        segments = [Segment(text, self._style(over, under)) for text, over, under in row]
        beside = max(0, (width - self._cells.columns) // 2)
        strip = Strip([Segment(" " * beside, ground), *segments])
        return strip.crop_extend(left, left + width, ground)


ZOOMS = ("whole", "full width", "twice the width")
_NO_PICTURE = "Pictures need more than ASCII signs. "


@dataclass(frozen=True, slots=True)
class Shown:
    """A picture and what stands above it."""

    content: bytes
    name: str
    caption: tuple[Part, ...]


class PictureDialog(Dialog[None]):
    """Pictures, drawn in the background so that no key waits for one."""

    HELP_TEXT = "Drawn with characters: a larger window shows more of it."

    DEFAULT_CSS = """
    PictureDialog { layers: base notice; background: $background; }
    PictureDialog > Vertical { background: $background; }
    PictureDialog .box-title { background: $surface; }
    PictureDialog #picture-says { height: auto; padding: 0 1; display: none; }
    """

    BINDINGS: ClassVar[list[BindingType]] = [
        key("picture.next", "pagedown,space", "turn(1)", "Next",
            "Further down; at its end, the next one", key_display="PgDn"),
        key("picture.before", "pageup", "turn(-1)", "Back",
            "Further up; at its top, the one before"),
        key("picture.zoom", "z", "zoom", "Zoom",
            "Whole, full width, twice the width; then whole again"),
        key("picture.outside", "o", "outside", "Open outside",
            "Open it with the system's viewer, from a copy only you can read"),
        quiet("picture.down", "down,j", "pan(0, 2)", "Down", "Scroll"),
        quiet("picture.up", "up,k", "pan(0, -2)", "Up", "Scroll"),
        quiet("picture.right", "right", "pan(6, 0)", "Right", "Scroll"),
        quiet("picture.left", "left", "pan(-6, 0)", "Left", "Scroll"),
        quiet("picture.first", "home,g", "first", "First", "The first"),
        quiet("picture.last", "end,G", "last", "Last", "The last"),
        key("picture.close", "escape,q", "close", "Close", "Back to where you were"),
    ]  # fmt: skip

    BOX = ""
    INK: ClassVar[float] = 1.0
    """Above 1 for print, whose strokes are thin and whose margins are empty."""

    def __init__(self) -> None:
        super().__init__()
        self.pictures: Sequence[Shown] = ()
        self.at = 0
        self.zoom = 0
        self._drawing = Background(self)

    def compose_box(self) -> ComposeResult:
        yield Painted(id="picture-says")
        yield PictureBox(id="picture")

    def on_unmount(self) -> None:
        self._drawing.forget()

    @property
    def shown(self) -> Shown | None:
        return self.pictures[self.at] if self.at < len(self.pictures) else None

    # --- drawing

    def redraw(self) -> None:
        """Show the picture one is at; the last asked for wins."""
        shown = self.shown
        if shown is None or not self.is_attached:
            return
        zoom = "" if self.host.ascii_only else f", {ZOOMS[self.zoom]}"
        self.show_title(
            (*shown.caption, (f"   {self.at + 1} of {len(self.pictures)}{zoom}", "muted"))
        )
        if self.host.ascii_only:
            self.tell((_NO_PICTURE, "muted"), ("o", "key"), (" opens it outside.", "muted"))
            return
        room, tint = self.query_one(PictureBox).size, paper_tint(self.app.current_theme)
        self._drawing.start(
            "the picture",
            lambda _: self._drawn(shown.content, (room.width, room.height), tint),
            self._show,
            self._refused,
        )

    def tell(self, *parts: Part) -> None:
        """Say one line below the title; none takes it away."""
        says = self.query_one("#picture-says", Painted)
        says.show(parts)
        says.display = bool(parts)

    def _drawn(self, content: bytes, room: tuple[int, int], tint: Tint) -> Cells:
        picture = open_picture(content)
        if self.INK > 1 and self.zoom:
            picture = without_margins(picture)
        # A column stays free for the scroll bar.
        grid = (
            size_to_fit(picture.size, room)
            if self.zoom == 0
            else size_to_width(picture.size, max(1, room[0] - 1) * self.zoom)
        )
        return cells_of(picture, grid, tint, ink=self.INK)

    def _show(self, cells: Cells) -> None:
        self.tell()
        self.query_one(PictureBox).show(cells)

    def _refused(self, error: CommissionError) -> None:
        self._show(Cells(0, ()))
        self.tell((str(error), "error"))

    # --- keys

    def action_turn(self, by: int) -> None:
        box = self.query_one(PictureBox)
        ahead = box.max_scroll_y - box.scroll_y if by > 0 else box.scroll_y
        if ahead >= 1:
            step = max(1, box.size.height - 2)
            box.scroll_to(y=box.scroll_y + by * step, animate=False, immediate=True)
        elif 0 <= self.at + by < len(self.pictures):
            self._go(self.at + by)

    def _go(self, at: int) -> None:
        self.at = at
        self.query_one(PictureBox).scroll_to(0, 0, animate=False, immediate=True)
        self.redraw()

    def action_first(self) -> None:
        self._go(0)

    def action_last(self) -> None:
        self._go(max(0, len(self.pictures) - 1))

    def action_zoom(self) -> None:
        self.zoom = (self.zoom + 1) % len(ZOOMS)
        self._go(self.at)

    def action_pan(self, across_by: int, down_by: int) -> None:
        box = self.query_one(PictureBox)
        box.scroll_to(
            box.scroll_x + across_by, box.scroll_y + down_by, animate=False, immediate=True
        )

    def action_outside(self) -> None:
        if self.shown is not None:
            self.open_copy(self.shown.name, self.shown.content)

    def open_copy(self, name: str, content: bytes) -> None:
        """Open bytes outside, and say what came of it."""
        try:
            path = open_outside(name, content)
        except CommissionError as error:
            self.tell((str(error), "error"))
        else:
            self.tell((f"Opened outside: {path.name}", "muted"))

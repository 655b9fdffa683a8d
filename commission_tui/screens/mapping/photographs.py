"""Photographs of the tiles: a folder watched, each picture read as it comes, what was read proposed."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical, VerticalScroll

from commission_tui.errors import CommissionError
from commission_tui.figures import shown
from commission_tui.logbook.actions.mapping_log import is_right, seen_text
from commission_tui.logbook.actions.tile_photographs import KeptPicture
from commission_tui.screens.shared.background_work import Background, Tell
from commission_tui.screens.shared.progress_line import progress_line
from commission_tui.screens.terminal.styled_text import Line
from commission_tui.screens.widgets.form import Form, Question
from commission_tui.screens.widgets.key_line import KeyLine
from commission_tui.screens.widgets.screen_frame import Dialog, too_small
from commission_tui.screens.widgets.text_lines import Painted
from commission_tui.text import counted
from commission_tui.wall.mapping import Reading
from commission_tui.wall.model.location import Cell
from commission_tui.wall.model.wall_model import Wall

if TYPE_CHECKING:
    from commission_tui.photo.picture_file import Picture
    from commission_tui.photo.rectified import Said

ENDINGS = frozenset({".jpg", ".jpeg", ".png", ".heic", ".heif", ".hif", ".tif", ".tiff", ".dng"})
_LOOKED_EVERY_S = 0.4
_LONGEST_CAPTION = 2000
_HOW_SURE = (
    "a mark that is not read whole is not looked at; shifts below two camera pixels are not told"
)
_BRIGHT = "Bright in a dark room: warn the people in front of the wall."


@dataclass(frozen=True, slots=True)
class TakenTiles:
    """What photographs show, and the pictures as they are kept."""

    readings: Mapping[Cell, Reading]
    pictures: tuple[KeptPicture, ...]
    """Each as it was taken, and last the wall as it hangs beside the map made of it."""
    notes: tuple[str, ...] = ()


def photograph_form(submit: Callable[[Mapping[str, str]], None]) -> Form:
    """Ask where the telephone's pictures arrive."""
    notes: list[Line] = [
        (("Show the pattern 'coded tiles'. ", ""), (_BRIGHT, "caution-text")),
        (("Tripod or leaned, no flash, white at two thirds, all four corners in.", "muted"),),
    ]
    question = Question(
        "path", "Folder or file", hint="a folder is watched; drop it here, or type it"
    )
    return Form("Photographs of the tiles", [question], submit, notes=notes, at_once=True)


def proposal_lines(taken: TakenTiles) -> list[Line]:
    """Say what would be logged: how much was read, each exception, what is kept."""
    readings = taken.readings
    read = {cell: reading for cell, reading in readings.items() if reading.seen is not None}
    wrong = {cell: reading for cell, reading in read.items() if not is_right(cell, reading)}
    lines: list[Line] = [
        ((f"{len(read)} of {counted(len(readings), 'cabinet')} read", "strong"),
         ("; the others stay as they are" if len(read) < len(readings) else "", "muted"))
    ]  # fmt: skip
    for cell, reading in wrong.items():
        turned = f", arrow turned by {reading.angle_deg}°" if reading.angle_deg else ""
        mirrored = ", mirrored" if reading.mirrored else ""
        lines.append(
            ((f"{cell}", "strong"), (f" shows {seen_text(reading)}{turned}{mirrored}", ""))
        )
    if read and not wrong:
        lines.append((("Every cabinet that was read shows its own tile.", "pass"),))
    lines += [((note, "marginal"),) for note in taken.notes]
    lines += [
        ((f"{picture.name} is kept: {picture.caption}", "muted"),) for picture in taken.pictures
    ]
    return lines


def read_photographs(
    wall: Wall, paths: Sequence[Path], progress: Callable[[int, int], None]
) -> TakenTiles:
    """Read pictures, as they overlap, and what is kept of them.

    Raises
    ------
    InputError
        As `read_tiles`.
    """
    from commission_tui.photo.evening.place_free import content_to_keep, kept_name
    from commission_tui.photo.picture_file import read_picture
    from commission_tui.photo.rectified import LEGEND, WallSheet, beside_each_other
    from commission_tui.photo.tile_reading import read_tiles

    found = read_tiles(wall, paths, progress=progress)
    of = f"{found.read} of {counted(len(found.readings), 'cabinet')} read"
    sheet = WallSheet(wall)
    wall_picture, kept, sources = sheet.picture(), [], []
    for path, sighting in zip(paths, found.pictures, strict=True):
        picture = read_picture(path)
        sheet.lay_out(wall_picture, picture.pixels, sighting.corners, linear=picture.linear)
        content, original = content_to_keep(path), path.read_bytes()
        how = how_taken(picture)
        source = f"{path.name} as taken: SHA-256 {hashlib.sha256(original).hexdigest()}"
        sources.append(f"{how}; {source}".removeprefix("; "))
        caption = f"Tiles from a photograph: {of}; {how if content is None else sources[-1]}"
        kept.append(
            KeptPicture(
                kept_name(path),
                original if content is None else content,
                caption.removesuffix("; "),
            )
        )
    its_map = sheet.map_of({cell: _said(cell, r) for cell, r in found.readings.items()})
    how_well = "; ".join((of, _HOW_SURE, *found.notes))
    kept.append(
        KeptPicture(
            f"wall-of-{Path(kept[0].name).stem}.jpg",
            beside_each_other(wall_picture, its_map),
            f"From a photograph: the wall as it hangs, and what was read ({LEGEND}). {how_well}. "
            f"Of {'; '.join(sources)}"[:_LONGEST_CAPTION],
        )
    )
    return TakenTiles(found.readings, tuple(kept), found.notes)


def _said(cell: Cell, reading: Reading) -> Said:
    """Return what the map says of a cabinet."""
    from commission_tui.photo.rectified import Said

    if reading.seen is None:
        return Said("not looked at")
    if reading.seen == "dark":
        return Said("dark", "dark")
    if is_right(cell, reading):
        return Said("as it should be", str(cell))
    turned = f" {reading.angle_deg}°" if reading.angle_deg else ""
    return Said("apart", f"{seen_text(reading)}{turned}{' mirrored' if reading.mirrored else ''}")


def how_taken(picture: Picture) -> str:
    """Say camera and exposure as the file does."""
    said = [picture.camera] if picture.camera else []
    if picture.exposure_s:
        said.append(f"{shown(1000 * picture.exposure_s)} ms")
    if picture.f_number:
        said.append(f"f/{shown(picture.f_number, 2)}")
    if picture.iso:
        said.append(f"ISO {picture.iso}")
    if picture.taken:
        said.append(f"by its clock {picture.taken}")
    return ", ".join(said)


class PhotographDialog(Dialog[TakenTiles | None]):
    """Closes with what is to be logged."""

    HELP_TEXT = (
        "Watches the folder: each picture that is copied there is read at once, together with those "
        "before it, which may each show a part of the wall. What was read is proposed as one list; "
        "Enter logs it and keeps the pictures without the place where they were taken. f forgets the "
        "pictures so far. Esc closes and logs nothing."
    )

    DEFAULT_CSS = """
    PhotographDialog #photo-scroll { height: 1fr; margin: 1 1 0 1; }
    """

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding(
            "enter", "take", "Log it", id="tile_photos.take",
            tooltip="Log what was read, and keep the pictures", priority=True,
        ),
        Binding(
            "f", "forget", "Forget these", id="tile_photos.forget",
            tooltip="Leave the pictures so far out, and wait for others",
        ),
        Binding(
            "pagedown", "scroll(1)", "Scroll", id="tile_photos.page_down",
            tooltip="Scroll the list down", priority=True,
        ),
        Binding(
            "pageup", "scroll(-1)", "Scroll up", id="tile_photos.page_up",
            tooltip="Scroll the list up", show=False, priority=True,
        ),
        Binding(
            "escape,q", "close", "Close", id="tile_photos.close",
            tooltip="Stop reading, log nothing",
        ),
    ]  # fmt: skip

    def __init__(self, wall: Wall, where: Path) -> None:
        super().__init__()
        self._wall, self._where = wall, where
        self._watched = where.is_dir()
        self._before: dict[Path, tuple[int, int]] = {}
        self._arriving: dict[Path, tuple[int, int]] = {}
        self._paths: list[Path] = []
        self._taken: TakenTiles | None = None
        self._background = Background(self)

    def compose_box(self) -> ComposeResult:
        with Vertical(classes="box tall"):
            yield Painted(classes="box-title")
            with VerticalScroll(id="photo-scroll", can_focus=False):
                yield Painted(id="photo-text")
            yield KeyLine()

    def on_mount(self) -> None:
        if self._watched:
            self._before = self._there()
            self._title(f"Waiting for pictures in {self._where}")
            self._text(((_BRIGHT, "caution-text"),))
            self.set_interval(_LOOKED_EVERY_S, self._look)
        else:
            self._read([self._where])

    def on_unmount(self) -> None:
        self._background.forget()

    # --- the folder

    def _there(self) -> dict[Path, tuple[int, int]]:
        """Return the folder's pictures with their sizes and times; none while it cannot be read."""
        found = {}
        try:
            for path in self._where.iterdir():
                if path.suffix.lower() in ENDINGS and path.is_file():
                    stat = path.stat()
                    found[path] = (stat.st_size, stat.st_mtime_ns)
        except OSError as error:
            self._title(f"{self._where}: cannot be read: {error.strerror}")
        return found

    def _look(self) -> None:
        """Take pictures that are new and have not grown since the last look."""
        there = self._there()
        new = {path: said for path, said in there.items() if self._before.get(path) != said}
        whole = sorted(path for path, said in new.items() if self._arriving.get(path) == said)
        self._arriving = new
        if whole:
            self._before |= {path: new[path] for path in whole}
            self._read([*(path for path in self._paths if path not in whole), *whole])

    # --- reading

    def _read(self, paths: list[Path]) -> None:
        self._paths, self._taken = paths, None
        self.refresh_bindings()
        self._got_further(0, len(paths))

        def read(tell: Tell) -> TakenTiles:
            return read_photographs(
                self._wall, paths, lambda done, of: tell(self._got_further, done, of)
            )

        self._background.start("reading photographs", read, self._done, self._refused)

    def _got_further(self, done: int, of: int) -> None:
        width = self.size.width - 6
        line = progress_line("Reading photographs", done, of, width, self.host.glyphs)
        self.query_one(".box-title", Painted).show(line)

    def _done(self, taken: TakenTiles) -> None:
        self._taken = taken
        self.refresh_bindings()
        self._title("From a photograph: Enter logs this, Esc nothing")
        self._text(*proposal_lines(taken))

    def _refused(self, error: CommissionError) -> None:
        """Say why; what comes next is read together with these, unless they are forgotten."""
        self._title("Not read" + ("; waiting for another picture" if self._watched else ""))
        self._text(((str(error), "error"),))

    def _title(self, text: str) -> None:
        self.query_one(".box-title", Painted).show(((text, "title"),))

    def _text(self, *lines: Line) -> None:
        self.query_one("#photo-text", Painted).show(*lines)

    # --- keys

    def check_action(
        self,
        action: str,
        parameters: tuple[object, ...],  # noqa: ARG002 (Textual calls it so)
    ) -> bool | None:
        """Offer to log once there is something, and to forget where others may come."""
        if action == "forget":
            return self._watched and bool(self._paths)
        return self._taken is not None if action == "take" else True

    def action_take(self) -> None:
        if self._taken is not None and not too_small(self):
            self.dismiss(self._taken)

    def action_forget(self) -> None:
        self._background.forget()
        self._paths, self._taken = [], None
        self.refresh_bindings()
        self._title(f"Waiting for pictures in {self._where}")
        self._text()

    def action_scroll(self, by: int) -> None:
        text = self.query_one("#photo-scroll", VerticalScroll)
        text.scroll_relative(y=by * max(1, text.size.height - 1), animate=False)

    def action_close(self) -> None:
        self.dismiss(None)

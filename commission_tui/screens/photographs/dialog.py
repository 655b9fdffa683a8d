"""A task for a camera, and the dialog that reads pictures as they arrive and proposes what was read."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.widgets import OptionList

from commission_tui.errors import CommissionError, InputError
from commission_tui.photo.extra import PICTURES
from commission_tui.progress import Progress
from commission_tui.screens.host.key_table import key, quiet
from commission_tui.screens.shared.background_work import Background, Tell, progress_line
from commission_tui.screens.shared.job_screen import JobScreen
from commission_tui.screens.shared.photo_dialog import typed_path
from commission_tui.screens.shared.picture_dialog import PictureBox, PictureDialog, Shown
from commission_tui.screens.terminal.picture_view import (
    Cells,
    cells_of,
    open_picture,
    paper_tint,
    size_to_fit,
)
from commission_tui.screens.terminal.styled_text import Line
from commission_tui.screens.widgets.form import Form, Question
from commission_tui.screens.widgets.lists import LineList
from commission_tui.screens.widgets.screen_frame import Dialog, open_dialog
from commission_tui.screens.widgets.text_lines import Painted

_Stamp = tuple[int, int]
"""Size and time of change."""


class FolderWatch:
    """Knows what was in the folder before, and what is still being copied."""

    def __init__(self, folder: Path, endings: Collection[str] = PICTURES) -> None:
        self.folder, self._endings = folder, endings
        self.trouble = ""
        self._arriving: dict[Path, _Stamp] = {}
        self._before = self._there()

    def arrived(self) -> list[Path]:
        """Return pictures that are new and have not grown since the last look."""
        there = self._there()
        new = {path: stamp for path, stamp in there.items() if self._before.get(path) != stamp}
        whole = sorted(path for path, stamp in new.items() if self._arriving.get(path) == stamp)
        self._arriving = new
        self._before |= {path: new[path] for path in whole}
        return whole

    def _there(self) -> dict[Path, _Stamp]:
        """Return the folder's pictures; none while it cannot be read, and why."""
        found = {}
        self.trouble = ""
        try:
            for path in self.folder.iterdir():
                if path.suffix.lower() in self._endings and path.is_file():
                    stat = path.stat()
                    found[path] = (stat.st_size, stat.st_mtime_ns)
        except OSError as error:
            self.trouble = f"{self.folder}: cannot be read: {error.strerror}"
        return found


_LOOKED_EVERY_S = 0.4
_OUT: Line = (("  left out", "muted"),)


@dataclass(frozen=True)
class Proposal:
    """What photographs say, as it is proposed."""

    lines: tuple[Line, ...]
    log: Callable[[frozenset[int]], str] | None
    """Logs it less the items of these numbers, and says what that was; None while another picture is needed."""
    items: tuple[Line, ...] = ()
    """Of which each may be left out; none where all is logged or nothing."""
    pictures: tuple[Shown, ...] = ()
    """One for each item, or one of all."""


class PhotographDialog(Dialog[Callable[[], str]]):
    """Closes with what logs what was confirmed."""

    HELP_TEXT = (
        "Watches the folder: each picture that is copied there is read at once, together with "
        "those before it. What was read is proposed as one list beside the picture. A picture is "
        "kept without the place where it was taken."
    )

    AUTO_FOCUS = ""

    DEFAULT_CSS = """
    PhotographDialog #photo-middle { height: 1fr; margin: 1 1 0 1; }
    PhotographDialog #photo-left { width: 3fr; }
    PhotographDialog #photo-items { height: auto; max-height: 70%; display: none; }
    PhotographDialog #photo-scroll { height: 1fr; }
    PhotographDialog #photo-picture { width: 2fr; height: 1fr; margin: 0 0 0 1; display: none; background: $surface; }
    """

    BINDINGS: ClassVar[list[BindingType]] = [
        key("tile_photos.take", "enter", "take", "Log it",
            "Log what was read, and keep the pictures", priority=True),
        key("tile_photos.leave_out", "space", "leave_out", "Leave out",
            "Leave this line out, or take it in again", priority=True),
        key("tile_photos.picture", "i", "picture", "Picture", "Show the picture large"),
        key("tile_photos.forget", "f", "forget", "Forget these",
            "Leave the pictures so far out, and wait for others"),
        key("tile_photos.page_down", "pagedown", "scroll(1)", "Scroll",
            "Scroll the text down", priority=True),
        quiet("tile_photos.page_up", "pageup", "scroll(-1)", "Scroll up",
            "Scroll the text up", priority=True),
        key("tile_photos.close", "escape,q", "close", "Close", "Stop reading, log nothing"),
    ]  # fmt: skip

    def __init__(
        self,
        where: Path,
        read: Callable[[Sequence[Path], Progress], Proposal],
        waiting: Sequence[Line] = (),
        endings: Collection[str] = PICTURES,
    ) -> None:
        """Watch a folder, or read one file; `read` runs in a thread, `waiting` is shown until then."""
        super().__init__()
        self._endings = endings
        self._where, self._how, self._waiting = where, read, waiting
        self._watch: FolderWatch | None = None
        self._paths: list[Path] = []
        self._proposal: Proposal | None = None
        self._left_out: frozenset[int] = frozenset()
        self._titled = self._trouble = ""
        self._background = Background(self)
        self._drawing = Background(self, "picture")

    def compose_box(self) -> ComposeResult:
        with Horizontal(id="photo-middle"):
            with Vertical(id="photo-left"):
                yield LineList(id="photo-items")
                with VerticalScroll(id="photo-scroll", can_focus=False):
                    yield Painted(id="photo-text")
            yield PictureBox(id="photo-picture")

    def on_mount(self) -> None:
        if self._where.is_dir():
            self._watch = FolderWatch(self._where, self._endings)
            self._wait()
            self.set_interval(_LOOKED_EVERY_S, self._look)
        else:
            self._read([self._where])

    # --- reading

    def _look(self) -> None:
        if self._watch is None:
            return
        whole = self._watch.arrived()
        if self._watch.trouble != self._trouble:
            self._trouble = self._watch.trouble
            self._show_title()
        if whole:
            self._read([*(path for path in self._paths if path not in whole), *whole])

    def _read(self, paths: list[Path]) -> None:
        self._paths = paths
        self._show(None)
        self._got_further(0, len(paths))

        def read(tell: Tell) -> Proposal:
            return self._how(paths, lambda done, of: tell(self._got_further, done, of))

        self._background.start("reading photographs", read, self._done, self._refused)

    def _got_further(self, done: int, of: int) -> None:
        width = self.size.width - 6
        line = progress_line("Reading photographs", done, of, width)
        self.show_title(line)

    def _done(self, proposal: Proposal) -> None:
        waits = "Waiting for the next picture" if self._watch else "One more picture is needed"
        self._title("From a photograph: Enter logs this, Esc nothing" if proposal.log else waits)
        self._show(proposal)

    def _refused(self, error: CommissionError) -> None:
        """Say why; what comes next is read together with these, unless they are forgotten."""
        self._title("Not read" + ("; waiting for another picture" if self._watch else ""))
        forget: Line = (("f", "key"), (" forgets the pictures so far", "muted"))
        self._text(((str(error), "error"),), *((forget,) if self._watch else ()))

    # --- showing

    def _wait(self) -> None:
        self._title(f"Waiting for pictures in {self._where}")
        self._text(*self._waiting)

    def _title(self, text: str) -> None:
        self._titled = text
        self._show_title()

    def _show_title(self) -> None:
        line: Line = ((self._trouble, "error"),) if self._trouble else ((self._titled, "title"),)
        self.show_title(line)

    def _text(self, *lines: Line) -> None:
        self.query_one("#photo-text", Painted).show(*lines)

    def _show(self, proposal: Proposal | None) -> None:
        self._proposal, self._left_out = proposal, frozenset()
        self._text(*(proposal.lines if proposal else ()))
        items = self.query_one(LineList)
        items.display = bool(proposal and proposal.items)
        self._show_items(at=0)
        # Else Enter would seem to open what is not there.
        self.set_focus(items if items.display else None)
        self.redraw()
        self.refresh_bindings()

    def _show_items(self, at: int | None = None) -> None:
        rows: list[tuple[tuple[Line, ...], int]] = []
        for number, line in enumerate(self._proposal.items if self._proposal else ()):
            out = number in self._left_out
            rows.append((((("- " if out else "+ ", "key"), *line, *_OUT[: int(out)]),), number))
        self.query_one(LineList).show(rows, at)

    @property
    def _shown(self) -> Shown | None:
        """The picture of the line one is at, or the one of all."""
        pictures = self._proposal.pictures if self._proposal else ()
        at = self.query_one(LineList).highlighted or 0
        return pictures[min(at, len(pictures) - 1)] if pictures else None

    @on(OptionList.OptionHighlighted)
    @on(PictureBox.Resized)
    def redraw(self) -> None:
        """Draw the picture as large as its column, which may have no place yet: that is told."""
        shown, box = self._shown, self.query_one(PictureBox)
        box.display = shown is not None and not self.host.ascii_only
        room, tint = box.size, paper_tint(self.app.current_theme)
        if shown is None or not box.display or not room.width or not room.height:
            self._drawing.forget()
            return

        def drawn(_: Tell) -> Cells:
            picture = open_picture(shown.content)
            return cells_of(picture, size_to_fit(picture.size, (room.width, room.height)), tint)

        self._drawing.start("the picture", drawn, box.show, lambda _: box.show(Cells(0, ())))

    # --- keys

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:  # noqa: ARG002
        """Offer what there is something for."""
        proposal = self._proposal
        if action == "forget":
            return self._watch is not None and bool(self._paths)
        if action == "take":
            return proposal is not None and proposal.log is not None
        if action == "leave_out":
            return bool(proposal and proposal.items)
        return bool(proposal and proposal.pictures) if action == "picture" else True

    def action_take(self) -> None:
        if self._proposal is not None and self._proposal.log:
            self.dismiss(partial(self._proposal.log, self._left_out))

    def action_leave_out(self) -> None:
        at = self.query_one(LineList).highlighted
        if at is not None:
            self._left_out ^= {at}
            self._show_items()
            items = self.query_one(LineList)
            items.highlighted = min(at + 1, items.option_count - 1)

    def action_picture(self) -> None:
        if self._proposal is not None and self._shown is not None:
            dialog = PictureDialog()
            dialog.pictures = self._proposal.pictures
            dialog.at = self._proposal.pictures.index(self._shown)
            self.app.push_screen(dialog)

    def action_forget(self) -> None:
        self._background.forget()
        self._paths = []
        self._show(None)
        self._wait()


_KEPT = "photographs"
"""Under which name the folder is kept that pictures came from last, to be offered."""
_BRIGHT = "Bright in a dark room: warn the people in front of the wall."


@dataclass(frozen=True)
class PhotographTask:
    """What is asked of a camera; only `read` runs in a thread."""

    title: str
    show: str
    """What the wall shows, in the order in which it is photographed."""
    stand: str
    """How to stand, and how near."""
    read: Callable[[Sequence[Path], Progress], Proposal]
    caution: str = _BRIGHT
    endings: Collection[str] = PICTURES
    """How the names of the files end that are waited for."""


def begin(screen: JobScreen, task: PhotographTask, done: Callable[[], None] = lambda: None) -> None:
    """Ask where the pictures arrive, read them as they come, log what is confirmed; then go on."""
    where: list[Path] = []
    caution: Line = ((task.caution, "caution-text"),)
    stand: Line = ((task.stand, "muted"),)

    def submit(answers: Mapping[str, str]) -> None:
        where.append(_there(typed_path(answers["path"], "folder", "a folder or a file")))
        folder = where[-1].parent if where[-1].is_file() else where[-1]
        screen.host.drafts[_KEPT] = {"folder": str(folder)}

    def watch(_: bool) -> None:
        waiting = (((task.show, ""),), stand, caution)
        open_dialog(screen, PhotographDialog(where[-1], task.read, waiting, task.endings), take)

    def take(log: Callable[[], str]) -> None:
        try:
            what = log()
        except CommissionError as error:
            screen.say(str(error), error=True)
            return
        screen.say(f"Logged from a photograph: {what}")
        done()

    notes: list[Line] = [((f"{task.show} ", ""), *caution), stand]
    question = Question(
        "path", "Folder or file", screen.host.drafts.get(_KEPT, {}).get("folder", ""),
        "a folder is watched; drop it here, or type it",
    )  # fmt: skip
    form = Form(task.title, [question], submit, notes=notes)
    # An o is also the first letter of what the wall is said to show: no more of that is a path.
    open_dialog(screen, form.by_itself(), watch)


def _there(path: Path) -> Path:
    try:
        there = path.exists()
    except (OSError, ValueError):  # a name that no file can have
        there = False
    if not there:
        raise InputError(f"folder: found nothing at {path}, expected a folder or a file")
    return path

"""Which table to import: typed, pasted, dropped on the terminal, or chosen from the files of a folder."""

from __future__ import annotations

import os
import stat
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.widgets import Input, OptionList
from textual.widgets.option_list import Option

from commission_tui.errors import InputError
from commission_tui.screens.host.key_table import key, quiet
from commission_tui.screens.shared.photo_dialog import typed_path
from commission_tui.screens.terminal.styled_text import Line, in_cells
from commission_tui.screens.widgets.lists import ChoiceList
from commission_tui.screens.widgets.plain_input import PlainInput
from commission_tui.screens.widgets.screen_frame import Dialog
from commission_tui.screens.widgets.text_lines import Painted, content_of

_MOST = 500
UP = ".."


@dataclass(frozen=True, slots=True)
class PathChoice:
    """A folder to go into, or a file to take."""

    path: Path
    name: str
    folder: bool = False
    size: int = 0
    changed: float = 0.0


@dataclass(frozen=True, slots=True)
class PathChoices:
    """What can be chosen, and from which folder; or why there is nothing."""

    folder: Path
    choices: tuple[PathChoice, ...]
    trouble: str = ""


def choices(base: Path, typed: str, endings: Sequence[str]) -> PathChoices:
    """Return files with one of some endings, the newest first, then folders.

    What is typed narrows them by a part of their name, or leads elsewhere by a path. A file whose
    path is typed whole can be taken whatever its ending.
    """
    folder, part = _split(base, typed)
    try:
        found = [choice for entry in os.scandir(folder) if (choice := _choice(folder, entry))]
    except (OSError, ValueError) as error:
        problem = error.strerror if isinstance(error, OSError) else str(error)
        return PathChoices(folder, (), f"{folder}: cannot be read: {problem}")
    wanted = [
        c
        for c in found
        if part.casefold() in c.name.casefold()
        and (part.startswith(".") or not c.name.startswith("."))
        and (c.folder or c.name.casefold().endswith(tuple(endings)) or c.name == part)
    ]
    files = sorted((c for c in wanted if not c.folder), key=lambda c: (-c.changed, c.name))
    folders = sorted((c for c in wanted if c.folder), key=lambda c: c.name.casefold())
    up = [] if part else [PathChoice(folder.absolute().parent, UP, folder=True)]
    return PathChoices(folder, (*files[:_MOST], *folders[:_MOST], *up))


def _split(base: Path, typed: str) -> tuple[Path, str]:
    """Part what was typed into a folder and a part of a name."""
    try:
        path = typed_path(typed)
    except InputError:
        return base, ""
    if typed.rstrip("'\" ").endswith(("/", os.sep)) or path.name in ("", UP):
        return base / path, ""
    return base / path.parent, path.name


def _choice(folder: Path, entry: os.DirEntry[str]) -> PathChoice | None:
    try:
        found = entry.stat()
    except OSError:  # a link that leads nowhere
        return None
    if stat.S_ISDIR(found.st_mode):
        return PathChoice(folder / entry.name, entry.name, folder=True)
    if not stat.S_ISREG(found.st_mode):
        return None  # a pipe would wait for ever
    return PathChoice(folder / entry.name, entry.name, size=found.st_size, changed=found.st_mtime)


def folder_text(folder: Path) -> str:
    """Say where a folder is, as short as is clear."""
    try:
        whole = folder.absolute()
        here, home = Path.cwd(), Path.home()
    except (OSError, RuntimeError):
        return str(folder)
    if whole == here:
        return "the folder where this program was started"
    for near, sign in ((here, "."), (home, "~")):
        if whole.is_relative_to(near):
            return str(Path(sign) / whole.relative_to(near)) if whole != near else sign
    return str(whole)


def choice_line(choice: PathChoice, width: int) -> Line:
    """Say what can be chosen in one line."""
    if choice.folder:
        name = in_cells(choice.name, width - 8).rstrip()
        return (f"{name}/", "key"), ("  up" if choice.name == UP else "", "muted")
    more = f"  {_size(choice.size):>8}  {datetime.fromtimestamp(choice.changed).astimezone():%d %b %H:%M}"
    return (in_cells(choice.name, width - len(more)), ""), (more, "muted")


def _size(size: int) -> str:
    for unit in ("B", "kB", "MB"):
        if size < 1000:
            return f"{size:.0f} {unit}"
        size = round(size / 1000)
    return f"{size} GB"


ENDINGS = (".csv", ".tsv", ".txt", ".xlsx")
_KEPT = "import"


class ImportFileDialog(Dialog[Path]):
    """Closes with the file."""

    HELP_TEXT = (
        "The tables of the folder, the newest first, and its folders. Type a part of a name, or a "
        "path; a file dropped on the terminal or pasted does too. A table of another ending is "
        "taken when its name is typed whole."
    )

    DEFAULT_CSS = """
    ImportFileDialog #table-list { height: 1fr; margin: 1 0 0 0; background: $panel; }
    """

    BINDINGS: ClassVar[list[BindingType]] = [
        quiet("table.down", "down", "move(1)", "Down", "Next line"),
        quiet("table.up", "up", "move(-1)", "Up", "Line before"),
        key("table.take", "enter", "pick", "Take it",
            "Take the selected file, or go into the folder"),
        key("table.close", "escape", "close", "Close", "Close, import nothing"),
    ]  # fmt: skip

    def __init__(self, title: str) -> None:
        super().__init__()
        self._title = title
        self._base = Path()
        self._found = PathChoices(Path(), ())

    def compose_box(self) -> ComposeResult:
        yield PlainInput(id="table-path")
        yield Painted(id="table-folder", classes="box-notes")
        yield ChoiceList(id="table-list")
        yield Painted(id="table-message", classes="message")

    def on_mount(self) -> None:
        self._base = Path(self.host.drafts.get(_KEPT, {}).get("folder", ""))
        self.show_title(((self._title, "title"), ("  type a name or a path", "muted")))
        self.redraw_soon()

    @on(Input.Changed)
    def redraw(self) -> None:
        if not self.is_attached:
            return
        self._found = choices(self._base, self.query_one("#table-path", PlainInput).value, ENDINGS)
        options = self.query_one(ChoiceList)
        width = max(30, options.size.width - 2)
        options.set_options(
            Option(content_of([choice_line(choice, width)])) for choice in self._found.choices
        )
        options.highlighted = 0 if self._found.choices else None
        self.query_one("#table-folder", Painted).show(
            (("in ", "muted"), (folder_text(self._found.folder), ""))
        )
        role = "error" if self._found.trouble else "muted"
        says = self._found.trouble or self._nothing()
        self.query_one("#table-message", Painted).show(((says, role),))

    def _nothing(self) -> str:
        if any(not choice.folder for choice in self._found.choices):
            return ""
        typed = " of that name" if self.query_one("#table-path", PlainInput).value else ""
        return f"No table ({', '.join(ENDINGS)}){typed} in this folder"

    def action_move(self, by: int) -> None:
        self.query_one(ChoiceList).move(by)

    @on(Input.Submitted)
    @on(OptionList.OptionSelected)
    def action_pick(self) -> None:
        at = self.query_one(ChoiceList).highlighted
        if at is None:
            return
        chosen: PathChoice = self._found.choices[at]
        if chosen.folder:
            self._base = chosen.path
            self.query_one("#table-path", PlainInput).value = ""
            self.redraw()
        else:
            self.host.drafts[_KEPT] = {"folder": str(chosen.path.parent)}
            self.dismiss(chosen.path)

"""Which table to import: typed, pasted, dropped on the terminal, or chosen from a folder."""

from __future__ import annotations

from pathlib import Path
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.widgets import Input, OptionList
from textual.widgets.option_list import Option

from commission_tui.screens.host.key_table import key, quiet
from commission_tui.screens.shared.path_choices import (
    PathChoice,
    PathChoices,
    choice_line,
    choices,
    folder_text,
)
from commission_tui.screens.widgets.lists import ChoiceList
from commission_tui.screens.widgets.plain_input import PlainInput
from commission_tui.screens.widgets.screen_frame import Dialog, too_small
from commission_tui.screens.widgets.text_lines import Painted, content_of

ENDINGS = (".csv", ".tsv", ".xlsx")
_KEPT = "import"


class ImportFileDialog(Dialog[Path]):
    """Closes with the file."""

    HELP_TEXT = (
        "The tables of the folder, the newest first, and its folders. Type a part of a name, or a "
        "path; a file dropped on the terminal or pasted does too. Enter takes the file that is "
        "marked, or goes into the folder. A table of another ending is taken when its name is "
        "typed whole."
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
        self.query_one("#table-path").focus()
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
        if at is None or too_small(self):
            return
        chosen: PathChoice = self._found.choices[at]
        if chosen.folder:
            self._base = chosen.path
            self.query_one("#table-path", PlainInput).value = ""
            self.redraw()
        else:
            self.host.drafts[_KEPT] = {"folder": str(chosen.path.parent)}
            self.dismiss(chosen.path)

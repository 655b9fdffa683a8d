"""Test patterns as files: which, into which folder; written in the background, whole or not at all."""

from __future__ import annotations

import time
from pathlib import Path
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import VerticalScroll
from textual.widgets import Input, OptionList

from commission_tui.errors import CommissionError
from commission_tui.screens.host.key_table import key, quiet
from commission_tui.screens.patterns import view as patterns_view
from commission_tui.screens.patterns.view import ALL
from commission_tui.screens.shared.background_work import Background, Tell
from commission_tui.screens.shared.photo_dialog import typed_path
from commission_tui.screens.terminal.styled_text import Line
from commission_tui.screens.widgets.lists import LineList
from commission_tui.screens.widgets.plain_input import PlainInput
from commission_tui.screens.widgets.screen_frame import Dialog
from commission_tui.screens.widgets.text_lines import Painted
from commission_tui.wall.model.wall_model import Wall
from commission_tui.wall.patterns import Pattern, named_in
from commission_tui.wall.patterns.folder import Step, write_patterns

_KEPT = "patterns"
_TOLD_EACH_S = 0.1


class PatternsDialog(Dialog[None]):
    """Lists the patterns, those that a check names marked, and writes them."""

    HELP_TEXT = (
        "Each pattern is drawn pixel for pixel for the wall's own canvas: show it without "
        "scaling. Tab goes to the folder and back. A file is there when it is whole; a part of "
        "one is never left. Moving patterns flash: keep them off a wall that an audience looks "
        "at."
    )

    AUTO_FOCUS = "#pattern-list"
    DEFAULT_CSS = """
    PatternsDialog #pattern-list { height: 7; margin: 1 0 0 0; }
    .-high PatternsDialog #pattern-list { height: 14; }
    PatternsDialog #pattern-scroll { height: 1fr; padding: 0 1; margin: 1 0 0 0; background: $panel; }
    """

    BINDINGS: ClassVar[list[BindingType]] = [
        key("patterns.write", "enter", "write", "Write",
            "Write the patterns that are marked, or the one the cursor is on", priority=True),
        key("patterns.all", "a", "write_all", "Write all", "Write every pattern"),
        key("patterns.mark", "space", "mark", "Mark",
            "Mark this pattern, to write several at once; or take the mark away"),
        quiet("patterns.page_down", "pagedown", "scroll(1)", "Scroll",
            "Scroll down what is said of the pattern", priority=True),
        quiet("patterns.page_up", "pageup", "scroll(-1)", "Scroll up",
            "Scroll up what is said of the pattern", priority=True),
        key("patterns.close", "escape", "close", "Close", "Stop the writing; else close"),
    ]  # fmt: skip

    def __init__(self, wall: Wall, named: str | None = None) -> None:
        """Make the dialog; `named` is what a check says of its pattern."""
        super().__init__()
        self._wall = wall
        self._named = named_in(named or "")
        self._marked = {p.name for p in self._named} if len(self._named) > 1 else set[str]()
        self._writing: tuple[Pattern, ...] = ()
        self._listed: LineList[Pattern] = LineList(id="pattern-list")
        self._background = Background(self)

    def compose_box(self) -> ComposeResult:
        usual = str((self.host.export_dir / "patterns").expanduser().absolute())
        kept = self.host.drafts.get(_KEPT, {}).get("folder", usual)
        yield Painted(id="pattern-label", classes="label")
        yield PlainInput(kept, id="pattern-folder", gives_way=True)
        yield self._listed
        with VerticalScroll(id="pattern-scroll", can_focus=False):
            yield Painted(id="pattern-text")
        yield Painted(id="pattern-message", classes="message")

    def on_mount(self) -> None:
        size = f"{self._wall.width_px} x {self._wall.height_px} px"
        more = f"  for the canvas of {size}, pixel for pixel"
        self.show_title((("Test patterns", "title"), (more, "muted")))
        self.query_one("#pattern-label", Painted).show(
            (("Folder to write to", "strong"), ("  Tab to it and back", "muted"))
        )
        self.redraw_soon()

    # --- what is shown

    @property
    def _here(self) -> Pattern:
        return self._listed.chosen or (self._named or ALL)[0]

    @property
    def _wanted(self) -> tuple[Pattern, ...]:
        marked = tuple(pattern for pattern in ALL if pattern.name in self._marked)
        return marked or (self._here,)

    @property
    def _typed(self) -> str:
        return self.query_one("#pattern-folder", PlainInput).value

    def redraw(self) -> None:
        width = max(50, self._listed.size.width - 2)
        lines = [patterns_view.pattern_line(p, width, marked=p.name in self._marked) for p in ALL]
        self._listed.show([((line,), p) for line, p in zip(lines, ALL, strict=True)], at=self._here)
        self._draw_here()

    def _draw_here(self) -> None:
        lines = patterns_view.detail_lines(self._here, self._wall)
        self.query_one("#pattern-text", Painted).show(*lines)
        self._say_wanted()

    @on(Input.Changed)
    def _say_wanted(self) -> None:
        if not self._writing:
            self._message(patterns_view.wanted_line(self._wanted, self._wall, self._typed))

    def _message(self, *lines: Line) -> None:
        self.query_one("#pattern-message", Painted).show(*lines)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:  # noqa: ARG002
        return True if not self._writing or action in {"close", "scroll", "help"} else None

    @on(OptionList.OptionHighlighted)
    def moved(self) -> None:
        self._draw_here()
        self.query_one("#pattern-scroll").scroll_home(animate=False)

    # --- keys

    def action_mark(self) -> None:
        self._marked ^= {self._here.name}
        self.redraw()

    @on(OptionList.OptionSelected)
    def action_write(self) -> None:
        if self.query_one("#pattern-folder").has_focus:
            self.query_one("#pattern-list").focus()
            return
        self._start(self._wanted)

    def action_write_all(self) -> None:
        self._start(ALL)

    def action_close(self) -> None:
        if self._writing:
            self._background.stop()
            self._message((("Stopping ...", "marginal"),))
        else:
            self.host.drafts[_KEPT] = {"folder": self._typed}
            self.dismiss(None)

    # --- writing, in the background

    def _start(self, patterns: tuple[Pattern, ...]) -> None:
        if self._writing:
            return
        try:
            folder = typed_path(self._typed, "folder", "where to write")
        except CommissionError as error:
            self._message(((str(error), "error"),))
            return
        self._writing = patterns
        self.refresh_bindings()
        done: list[Path] = []
        self._background.start(
            "the writing",
            lambda tell: self._write(folder, patterns, done, tell),
            lambda _: self._ended(done),
            lambda error: self._ended(done, str(error)),
            lambda: self._ended(done, "Stopped"),
        )

    def _write(
        self, folder: Path, patterns: tuple[Pattern, ...], done: list[Path], tell: Tell
    ) -> None:
        last = 0.0

        def on_step(step: Step) -> None:
            nonlocal last
            tell()
            now = time.monotonic()
            if now - last >= _TOLD_EACH_S:
                last = now
                tell(self._show_step, step)

        for path in write_patterns(self._wall, patterns, folder, on_step):
            done.append(path)  # noqa: PERF402 (these stay when a later one fails)

    def _show_step(self, step: Step) -> None:
        if not self._background.is_stopping:
            width = max(40, self.query_one("#pattern-message").size.width - 2)
            self._message(patterns_view.step_line(step, width))

    def _ended(self, paths: list[Path], why: str = "") -> None:
        patterns, self._writing = self._writing, ()
        if why:
            trouble = patterns_view.stopped_text(len(paths), len(patterns), why)
            self._message(((trouble, "error"),))
        else:
            self._message(*patterns_view.written_lines(paths, patterns))
        self.refresh_bindings()

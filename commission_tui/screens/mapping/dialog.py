"""Explain: what may be wrong with the mapping, found in the background, one chosen; a line to confirm."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import partial
from typing import ClassVar

from textual import events, on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import VerticalScroll
from textual.widgets import OptionList

from commission_tui.errors import CommissionError
from commission_tui.screens.host.key_table import key, quiet
from commission_tui.screens.mapping import view as mapping_view
from commission_tui.screens.shared.background_work import Background, Tell
from commission_tui.screens.terminal.styled_text import Line
from commission_tui.screens.widgets.lists import LineList
from commission_tui.screens.widgets.screen_frame import Dialog
from commission_tui.screens.widgets.text_lines import Painted
from commission_tui.wall.mapping.diagnosis import diagnose
from commission_tui.wall.mapping.explanations.explanation import Diagnosis, Explanation
from commission_tui.wall.mapping.next_look import NextLook
from commission_tui.wall.mapping.observed.observation import Observations
from commission_tui.wall.model.wall_model import Wall


class Confirm(Dialog[bool]):
    """Closes with True once Enter was pressed."""

    BOX = "box"
    _comes_by_itself = True
    HELP_TEXT = (
        "Nothing is logged before Enter; what you typed before this was on the screen waits. Esc "
        "drops it; once more, it leaves the question. Any other key leaves it unanswered too, and does "
        "what it does below."
    )

    BINDINGS: ClassVar[list[BindingType]] = [
        key("confirm.log", "enter", "confirm", "Log it", "Log what the line says"),
        key("confirm.close", "escape", "close", "Leave it", "Close, log nothing"),
    ]  # fmt: skip

    def __init__(self, title: str, *lines: Line) -> None:
        super().__init__()
        self._title, self._lines = title, lines

    def compose_box(self) -> ComposeResult:
        yield Painted(classes="box-notes")

    def on_mount(self) -> None:
        self.show_title(((self._title, "title"),))
        self.query_one(".box-notes", Painted).show(*self._lines)

    def on_key(self, event: events.Key) -> None:
        """Leave the question at a key that is no answer: a later Enter is not meant for it."""
        if event.key not in self.active_bindings:
            event.stop()
            self.dismiss(False)
            self.host.hand_on(event)
            self.notify(f"Not answered, nothing logged: {self._title}", markup=False)

    def action_confirm(self) -> None:
        self.dismiss(True)

    def action_close(self) -> None:
        if not self.host.questions.drop_told(self):
            self.dismiss(False)


@dataclass(frozen=True, slots=True)
class ExplanationTaken:
    """The explanation taken, and whether to put it right in the processor's configuration."""

    explanation: Explanation
    by_configuration: bool


class ExplainDialog(Dialog[ExplanationTaken | NextLook]):
    """Closes with what was chosen, or where to look first; the search ends with it."""

    HELP_TEXT = (
        "What would make the wall show what was logged, the likeliest first. Cables are taken to "
        "fit either way round: where an end is for input only, turn the jumper as well."
    )

    DEFAULT_CSS = """
    ExplainDialog #explanations { height: auto; max-height: 6; }
    ExplainDialog #explain-scroll { height: 1fr; margin: 1 1 0 1; }
    """

    BINDINGS: ClassVar[list[BindingType]] = [
        key("explain.take", "enter", "take", "Take it",
            "Take the selected explanation and walk its moves", priority=True),
        key("explain.configuration", "c", "configuration", "By configuration",
            "Take the selected explanation and correct it in the processor, not at plugs"),
        key("explain.next_look", "n", "next_look", "Look there",
            "Go where a look tells them apart, log it, and have all explained anew"),
        key("explain.page_down", "pagedown", "scroll(1)", "Scroll",
            "Scroll the text down", priority=True),
        quiet("explain.page_up", "pageup", "scroll(-1)", "Scroll up",
            "Scroll the text up", priority=True),
        key("explain.close", "escape,q", "close", "Close", "Stop searching, choose nothing"),
    ]  # fmt: skip

    def __init__(self, wall: Wall, observations: Observations, answers: Mapping[str, str]) -> None:
        """Explain what cabinets show and what else was looked at, as `diagnose` takes them."""
        super().__init__()
        self._wall = wall
        self._answers = dict(answers)
        self._observations = dict(observations)
        self._diagnosis: Diagnosis | None = None
        self._listed: LineList[Explanation] = LineList(id="explanations")
        self._background = Background(self)
        self._is_over = False
        self._looked = (0, 0)
        self._seconds = 0

    def compose_box(self) -> ComposeResult:
        yield self._listed
        with VerticalScroll(id="explain-scroll", can_focus=False):
            yield Painted(id="explain-text")

    def on_mount(self) -> None:
        self._say_searching()
        self.set_interval(1.0, self._tick)
        self._background.start("the search", self._search, self._explained, self._refused)

    # --- the search

    def _say_searching(self) -> None:
        if self._is_over:
            return
        how_far = len(self._observations), self._looked, self._seconds
        room = self.size.width - 6
        self.show_title(mapping_view.searching_line(*how_far, room))

    def _tick(self) -> None:
        self._seconds += 1
        self._say_searching()

    def _got_further(self, looked: int, most: int) -> None:
        self._looked = (looked, most)
        self._say_searching()

    def _title(self, text: str, more: str) -> None:
        self.show_title(((text, "title"), (more, "muted")))

    def _search(self, tell: Tell) -> Diagnosis:
        further = partial(tell, self._got_further)
        return diagnose(self._wall, self._observations, self._answers, further)

    def _refused(self, error: CommissionError) -> None:
        self._is_over = True
        self._title("Not explained", "")
        self.query_one("#explain-text", Painted).show(((str(error), "error"),))

    def _explained(self, diagnosis: Diagnosis) -> None:
        self._diagnosis, self._is_over = diagnosis, True
        self.refresh_bindings()
        count = len(diagnosis.explanations)
        self._title(
            "The explanation" if count == 1 else f"One of these {count}, likeliest first",
            "  Enter takes it" if count == 1 else "  up and down, Enter takes one",
        )
        found = diagnosis.explanations
        titles = mapping_view.explanation_titles(found, self._listed.size.width - 2)
        self._listed.show([((title,), one) for title, one in zip(titles, found, strict=True)])
        self._listed.focus()
        self._draw_marked()

    # --- choosing

    @on(OptionList.OptionHighlighted)
    def _draw_marked(self) -> None:
        marked = self._listed.chosen
        if self._diagnosis is None or marked is None:
            return
        lines = mapping_view.explanation_lines(marked, self._diagnosis.next_look)
        self.query_one("#explain-text", Painted).show(*lines)
        self.query_one("#explain-scroll").scroll_home(animate=False)

    def action_configuration(self) -> None:
        self._take(by_configuration=True)

    @on(OptionList.OptionSelected)
    def action_take(self) -> None:
        self._take(by_configuration=False)

    def _take(self, *, by_configuration: bool) -> None:
        marked = self._listed.chosen
        if marked is not None:
            self.dismiss(ExplanationTaken(marked, by_configuration))

    def action_next_look(self) -> None:
        if self._diagnosis is not None and self._diagnosis.goes_to is not None:
            self.dismiss(self._diagnosis.goes_to)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:  # noqa: ARG002
        """Offer the next look where there is one."""
        if action == "next_look":
            return self._diagnosis is not None and self._diagnosis.goes_to is not None
        return True

"""What every screen has: the line that says where one is, and the line for a window too small."""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar, Self, TypeVar, cast

from textual.app import ComposeResult
from textual.await_complete import AwaitComplete
from textual.binding import BindingType
from textual.containers import Vertical, VerticalScroll
from textual.content import Content
from textual.dom import DOMNode
from textual.screen import ModalScreen, Screen
from textual.widget import Widget

from commission_tui.screens.host.app_protocol import Host
from commission_tui.screens.host.covered_keys import LEAST_HEIGHT, LEAST_WIDTH
from commission_tui.screens.host.key_table import quiet
from commission_tui.screens.host.questions import PendingQuestion
from commission_tui.screens.terminal.styled_text import Line
from commission_tui.screens.widgets.key_line import KeyLine
from commission_tui.screens.widgets.text_lines import Painted

T = TypeVar("T")


class TooSmall(Widget):
    """Covers the screen while the window is below the least size."""

    DEFAULT_CSS = """
    TooSmall {
        display: none; layer: notice; dock: top; width: 100%; height: 100%;
        background: $background; color: $foreground;
    }
    .-narrow TooSmall, .-short TooSmall { display: block; }
    """

    def render(self) -> Content:
        size = self.app.size
        return Content(
            f"Window is {size.width} x {size.height}: please enlarge it to "
            f"{LEAST_WIDTH} x {LEAST_HEIGHT}."
        )


def take_size(screen: Screen[T]) -> None:
    """Give a screen the style for the window's size before its parts have one.

    Textual gives it one later, and each part its style and its room once more.
    """
    app = screen.app
    across, down = app.HORIZONTAL_BREAKPOINTS or [], app.VERTICAL_BREAKPOINTS or []
    for room, steps in ((app.size.width, across), (app.size.height, down)):
        fits = [step for step in steps if step[0] <= room]
        if fits:
            screen.add_class(max(fits)[1])


class Dialog(ModalScreen[T]):
    """A box over the screen: its title, what is in it, and the keys."""

    BOX: ClassVar[str] = "box tall"
    """Its style; without `tall` it is as high as what is in it."""
    _comes_by_itself = False
    _LISTED: ClassVar[bool] = False
    """Whether it is one of a list: lines that come before one can have read it are the next ones."""
    _early: PendingQuestion | None = None
    HELP_TEXT: ClassVar[str] = ""
    BINDINGS: ClassVar[list[BindingType]] = [
        quiet("dialog.help", "f1,question_mark", "help", "Help", "Every key that works here"),
    ]  # fmt: skip

    @property
    def host(self) -> Host:
        return cast("Host", self.app)

    def by_itself(self) -> Self:
        """Come without a key that asks for it: what was typed before it is seen is no answer."""
        self._comes_by_itself = True
        return self

    def on_mount(self) -> None:
        if self._comes_by_itself:
            self._early = self.host.questions.put(self, of_value=self._LISTED)

    def redraw(self) -> None:
        """Draw what rests on the room there is; called at every size, once all is laid out."""

    def redraw_soon(self) -> None:
        self.call_after_refresh(lambda: self.redraw() if self.is_attached else None)

    def on_resize(self) -> None:
        self.redraw_soon()

    def action_close(self) -> None:
        self.dismiss(None)

    def action_scroll(self, by: int) -> None:
        """Scroll the text of the box by so many pages."""
        text = self.query_one(VerticalScroll)
        text.scroll_relative(y=by * max(1, text.size.height - 1), animate=False)

    def action_scroll_lines(self, by: int) -> None:
        self.query_one(VerticalScroll).scroll_relative(y=by, animate=False)

    def dismiss(self, result: T | None = None) -> AwaitComplete:
        """Close; what was typed before the box was seen is taken up below, or dropped with it."""
        is_answer = result is not None and result is not False
        (self.host.questions.answer if is_answer else self.host.questions.drop)(self._early)
        return super().dismiss(result)

    async def action_help(self) -> None:
        # What the app binds does not reach a dialog.
        await self.app.run_action("app.help")

    def compose(self) -> ComposeResult:
        take_size(self)
        yield TooSmall()
        with Vertical(classes=self.BOX):
            yield Painted(classes="box-title")
            yield from self.compose_box()
            with Vertical(classes="box-foot"):
                yield from self.compose_foot()
                yield KeyLine()

    def compose_box(self) -> ComposeResult:
        """Yield what stands between the title and the keys."""
        raise NotImplementedError

    def compose_foot(self) -> ComposeResult:
        """Yield what stands right above the keys."""
        yield from ()

    def show_title(self, line: Line) -> None:
        self.query_one(".box-title", Painted).show(line)


def open_dialog(node: DOMNode, dialog: Screen[T], then: Callable[[T], object]) -> None:
    """Open a dialog; `then` is called with what it closes with, unless that is nothing."""

    def closed(found: T | None) -> None:
        if found is not None and found is not False:
            then(found)

    node.app.push_screen(dialog, closed)

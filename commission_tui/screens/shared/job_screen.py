"""What every screen of an open job shares: heading, subscription, keys to the other screens."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import ClassVar, cast

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.geometry import Size
from textual.screen import Screen

from commission_tui.checks.model.types import Verdict
from commission_tui.errors import CommissionError
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.state.state import State
from commission_tui.screens.host.app_protocol import Host
from commission_tui.screens.host.key_table import quiet
from commission_tui.screens.terminal.styled_text import Line, Part, tab
from commission_tui.screens.widgets.key_line import KeyLine
from commission_tui.screens.widgets.screen_frame import Dialog, TooSmall, open_dialog, take_size
from commission_tui.screens.widgets.text_lines import Painted
from commission_tui.text import clipped, counted, visible

TABS = (
    ("f2", "overview", "Overview"),
    ("f3", "walk", "Walk"),
    ("f4", "wall", "Wall"),
    ("f5", "punch", "Punch list"),
    ("f7", "charts", "Charts"),
    ("f8", "handover", "Handover"),
)


def counts(job: OpenJob) -> tuple[int, int, int]:
    """Return checks done, checks that apply, and faults that are open or mended."""
    verdicts = [outcome.verdict for outcome in job.outcomes().values()]
    apply = len(verdicts) - verdicts.count(Verdict.NOT_APPLICABLE)
    faults = [fault for fault in job.state.faults if fault.state in {"open", "mended"}]
    return apply - verdicts.count(Verdict.OPEN), apply, len(faults)


def heading(job: OpenJob, screen: str, width: int) -> tuple[Line, Line]:
    """Return the job's line and the line of screens with the current one marked."""
    done, checks, faults = counts(job)
    right = f"{done} of {counted(checks, 'check')} done, {counted(faults, 'fault')} to close"
    left = clipped(job.state.title.name, width - len(right) - 2)
    gap = " " * max(2, width - len(left) - len(right))
    tabs: list[Part] = []
    for key, name, word in TABS:
        tabs += [*tab(key.upper(), word, here=name == screen), (" ", "")]
    return ((left, "title"), (gap, ""), (right, "muted")), tuple(tabs)


class JobScreen(Screen[None]):
    """A screen of one job; it redraws from the job's state whenever that changes."""

    TAB: ClassVar[str] = ""
    HELP_TEXT: ClassVar[str] = ""
    OPENING_KEYS: ClassVar[str] = "l"
    """Letters behind which words are typed at once: they open a field, and are commands all the same."""

    BINDINGS: ClassVar[list[BindingType]] = [
        *[
            quiet(f"go.{name}", keys, f"go('{name}')", word, f"Show the {word} screen")
            for keys, name, word in TABS
        ],
        quiet("find", "ctrl+g", "find_check", "Find check",
            "Go to any check by typing a part of its name"),
        quiet("take_back", "ctrl+z", "take_back", "Take back",
            "Undo or withdraw what was logged last, whatever it was; it asks first, the entry is kept"),
        quiet("back", "escape", "back", "Back",
            "To the overview, and from there to the jobs; first it drops what is typed"),
    ]  # fmt: skip

    def __init__(self, job: OpenJob) -> None:
        super().__init__()
        self.job = job
        self._fits: tuple[Size, ...] = ()
        self._stop: Callable[[], None] | None = None
        self._holds_back = False
        self._is_stale = False

    @property
    def host(self) -> Host:
        return cast("Host", self.app)

    def compose(self) -> ComposeResult:
        take_size(self)
        yield TooSmall()
        yield Painted(id="heading")
        yield from self.compose_content()
        yield KeyLine(palette=True)

    def compose_content(self) -> ComposeResult:
        raise NotImplementedError

    def redraw(self) -> None:
        """Show the job's state; called when it changed or the screen came to the front."""
        raise NotImplementedError

    def on_mount(self) -> None:
        self._stop = self.job.subscribe(self._job_changed)

    def on_unmount(self) -> None:
        if self._stop is not None:
            self._stop()

    def on_screen_resume(self) -> None:
        if self._fits:  # else its first size draws it
            self.redraw_all()

    def on_resize(self) -> None:
        if self.is_mounted:
            self.call_after_refresh(self._fit)

    def _fit(self) -> None:
        """Draw for a new size, until every part has its own: a wide window changes the styles, too."""
        # What lies in a scroller fits itself.
        parts = self.query("*").exclude("VerticalScroll *")
        sizes = (self.size, *(Size(part.size.width) for part in parts))
        if sizes != self._fits:
            self._fits = sizes
            self.redraw_all()
            self.call_after_refresh(self._fit)

    def _job_changed(self, _state: State) -> None:
        if self.is_current:
            self.redraw_all()

    def action_find_check(self) -> None:
        self.host.find_check()

    def action_take_back(self) -> None:
        """Ask whether what was logged last is taken back, and why."""
        from commission_tui.logbook.actions.taking_back import last_acts
        from commission_tui.screens.shared.entry_forms import named_acts, taking_back

        acts = last_acts(self.job.state)
        try:
            said = named_acts(self.job, acts)
        except CommissionError as error:
            self.say(str(error), error=True)
            return

        def done() -> str:
            self.go_to_entry(acts[0].entry)
            return f"Taken back, and kept: {said}"

        self.ask(taking_back(self.job, acts, said), done)

    def go_to_entry(self, entry_id: str) -> None:
        """Show where something was logged that was taken back: it is next to be logged as it is right."""

    @contextmanager
    def drawn_once(self) -> Iterator[None]:
        """Draw what changes meanwhile once, at the end."""
        self._holds_back = True
        try:
            yield
        finally:
            self._holds_back = False
            if self._is_stale:
                self.redraw_all()

    def redraw_all(self) -> None:
        self._is_stale = self._holds_back
        if self._is_stale or not self.is_attached:
            return
        lines = heading(self.job, self.TAB, max(40, self.size.width - 2))
        self.query_one("#heading", Painted).show(*lines)
        self.redraw()

    # --- what several screens do

    def say(self, text: str, *, error: bool = False, seconds: float = 4) -> None:
        """Tell something in a line that goes away by itself, or when the next is told."""
        self.app.clear_notifications()
        self.notify(
            visible(text),
            markup=False,
            severity="error" if error else "information",
            timeout=seconds,
        )

    def attempt(self, action: Callable[[], object], done: str) -> bool:
        """Do something that logs; say that it is logged, or why not."""
        try:
            action()
        except CommissionError as error:
            self.say(str(error), error=True)
            return False
        self.say(done)
        return True

    def ask(self, form: Dialog[bool], done: str | Callable[[], str]) -> None:
        """Open a form and say when it is logged."""
        open_dialog(self, form, lambda _: self.say(done if isinstance(done, str) else done()))

    def log_fault(
        self, location: str, check: str | None = None, *, by_itself: bool = False
    ) -> None:
        """Open the form for a fault at a place."""
        from commission_tui.screens.shared.fault_form import FaultForm

        def logged(_: bool) -> None:
            self.say(form.done)
            if form.later:  # lines of a list, of which this was one
                self.log_fault(location, check, by_itself=True)

        form = FaultForm(self.job, location=location, check=check)
        if not by_itself:
            self.app.clear_notifications()  # they were of this screen, and lie over the title
        open_dialog(self, form.by_itself() if by_itself else form, logged)

    def action_go(self, name: str) -> None:
        self.app.clear_notifications()  # they were of this screen
        self.host.go(name)

    def action_back(self) -> None:
        if self.TAB == "overview":
            self.host.leave_job()
        else:
            self.host.go("overview")
            here = next(f"{key.upper()} {word}" for key, name, word in TABS if name == self.TAB)
            self.app.clear_notifications()
            self.app.notify(
                f"Back on the overview; {here} is where you were", markup=False, timeout=4
            )

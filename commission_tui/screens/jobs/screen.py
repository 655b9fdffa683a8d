"""Jobs: those in the database, how far each is; open one, or a new one from a wall file."""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import closing
from pathlib import Path
from typing import ClassVar, cast

from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.screen import Screen
from textual.widgets import OptionList

from commission_tui.errors import CommissionError
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.logbook import JobSummary, Logbook
from commission_tui.logbook.state.agreed_checks import unsettled_features
from commission_tui.screens.host.app_protocol import Host
from commission_tui.screens.host.key_table import key
from commission_tui.screens.host.message_pumps import AWAITED
from commission_tui.screens.jobs.view import job_lines, open_new, scope_hint, wall_text
from commission_tui.screens.shared.background_work import Background
from commission_tui.screens.shared.job_screen import JobScreen
from commission_tui.screens.shared.settings_forms import settle_features, who_logs
from commission_tui.screens.terminal.styled_text import Line
from commission_tui.screens.widgets.form import Form, Question
from commission_tui.screens.widgets.key_line import KeyLine
from commission_tui.screens.widgets.lists import LineList
from commission_tui.screens.widgets.screen_frame import TooSmall, open_dialog, take_size
from commission_tui.screens.widgets.text_lines import Painted

_MARGIN = 4
_NO_JOBS = "No jobs yet: n opens one from a wall file; 'commission-tui demo' makes an example."
_WALL_HINT = "path of the design as handed over (TOML)"


class JobsScreen(Screen[None]):
    """The first screen."""

    BINDINGS: ClassVar[list[BindingType]] = [
        key("jobs.new", "n", "new", "New job", "Open a job from a wall file"),
        key("jobs.who", "i", "who", "Who logs", "Change the name that signs what is logged"),
        key("jobs.load", "r", "load", "Look again", "Read the list again"),
        key("jobs.quit", "q", "app.quit", "Quit", "Leave; everything logged is kept"),
    ]  # fmt: skip

    def __init__(self) -> None:
        super().__init__()
        self._jobs: LineList[str] = LineList(id="jobs")
        self._reading = Background(self, AWAITED)

    @property
    def host(self) -> Host:
        return cast("Host", self.app)

    def compose(self) -> ComposeResult:
        take_size(self)
        yield TooSmall()
        yield Painted(id="heading")
        yield self._jobs
        yield Painted(id="message")
        yield KeyLine(palette=True)

    def on_mount(self) -> None:
        self._draw_heading()

    def _draw_heading(self) -> None:
        changes: Line = (("; ", "muted"), ("i", "key"), (" changes the name", "muted"))
        self.query_one("#heading", Painted).show(
            (("Jobs", "title"), (f"  {self.host.logbook.path}", "muted")),
            (("Logging as ", "muted"), (self.host.by, "strong"), *changes),
        )

    def on_screen_resume(self) -> None:
        self.action_load()

    def action_load(self) -> None:
        path = self.host.logbook.path
        self._reading.start("reading", lambda _: _jobs_in(path), self._show_jobs, self._show_error)

    def _show_jobs(self, jobs: list[JobSummary]) -> None:
        room = self.size.width - _MARGIN
        self._jobs.show([(job_lines(job, room), job.id) for job in jobs])
        self.query_one("#message", Painted).show((("" if jobs else _NO_JOBS, "muted"),))

    def _show_error(self, error: CommissionError) -> None:
        self.query_one("#message", Painted).show(((str(error), "error"),))

    @on(OptionList.OptionSelected, "#jobs")
    def chosen(self) -> None:
        try:
            job = self.host.logbook.open(self._jobs.chosen or "", self.host.by)
        except CommissionError as error:
            self._show_error(error)
            return
        self.host.open_job(job)

    def action_who(self) -> None:
        self.app.push_screen(who_logs(self.host), lambda _: self._draw_heading())

    def action_new(self) -> None:
        made: list[OpenJob] = []

        def submit(answers: Mapping[str, str]) -> None:
            made.append(open_new(self.host.logbook, self.host.by, answers))

        def opened(_: bool) -> None:
            self.host.open_job(made[0])
            if unsettled_features(made[0].state):  # asked at once, as `job new` does
                self.app.call_after_refresh(self._settle)

        form = Form(
            "New job from a wall file",
            [
                Question("wall", "Wall file", hint=_WALL_HINT, check=wall_text),
                Question("name", "Name of the job"),
                Question("client", "Client"),
                Question("integrator", "Integrator", hint="the firm that commissions"),
                Question("reference", "Order or contract", hint="may be empty"),
                Question("scope", "What is agreed", "all", scope_hint()),
            ],
            submit,
            draft="new job",
        )
        open_dialog(self, form, opened)

    def _settle(self) -> None:
        screen = self.app.screen
        if isinstance(screen, JobScreen):
            settle_features(screen, by_itself=True)


def _jobs_in(path: Path) -> list[JobSummary]:
    with closing(Logbook(path)) as book:
        return book.jobs()

"""The app: opens jobs, keeps one job's screens, and offers every action in the command palette."""

from __future__ import annotations

import contextlib
import os
from collections.abc import Iterable, Mapping
from functools import partial
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar, cast

from textual.app import SystemCommand
from textual.binding import Binding, BindingType
from textual.command import Hit, Hits
from textual.css.query import NoMatches
from textual.reactive import Reactive
from textual.screen import Screen
from textual.system_commands import SystemCommandsProvider
from textual.theme import Theme

from commission_tui.errors import CommissionError, InputError
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.logbook import Logbook
from commission_tui.screens.host.app_protocol import Host
from commission_tui.screens.host.begun_forms import Drafts, Unfinished, is_of_visit
from commission_tui.screens.host.kept_name import keep_name
from commission_tui.screens.host.key_table import key, key_name, quiet, short_key
from commission_tui.screens.host.message_pumps import AWAITED
from commission_tui.screens.shared.background_work import Background
from commission_tui.screens.shared.job_screen import TABS, JobScreen
from commission_tui.screens.terminal.colours import THEMES
from commission_tui.text import begin_words, clipped, listed

if TYPE_CHECKING:
    from commission_tui.logbook.judging.doubts import Doubt
    from commission_tui.screens.walk.screen import WalkScreen
    from commission_tui.screens.wall.screen import WallScreen

_SCREENS = frozenset(name for _, name, _ in TABS)
"""Each with a room of that name, which is imported when somebody goes there: the first waits for none."""
_LONG_TO_READ = frozenset({"handover", "charts"})
"""Screens whose libraries take a second or more to read, which is said meanwhile."""


def _screen_class(name: str) -> type[JobScreen]:
    module = import_module(f"commission_tui.screens.{name}.screen")
    return cast("type[JobScreen]", getattr(module, f"{name.capitalize()}Screen"))


_LOOK_AGAIN_S = 1.0
THEME_VARIABLE = "COMMISSION_TUI_COLOURS"
_THEMES = {theme.name: theme for theme in THEMES}
_BEHIND_NAMES = 0.01
"""Score of an action in the palette that is not called so."""
_ELSEWHERE = 0.005
"""Score of an action of another screen, behind all that can be done here."""


def _wanted_theme() -> str:
    """Return the theme that the environment names, else the first."""
    wanted = os.environ.get(THEME_VARIABLE, "").strip().lower()
    return wanted if wanted in _THEMES else THEMES[0].name


class ActionCommands(SystemCommandsProvider):
    """The actions of the palette: found by their names first, then by words of what they do."""

    async def search(self, query: str) -> Hits:
        named = set()
        async for hit in super().search(query):
            named.add(hit.text)
            yield hit
        words = query.lower().split()
        for name, does, callback, _ in self.app.get_system_commands(self.screen):
            if name not in named and words and begin_words(does, words):
                yield Hit(_BEHIND_NAMES, name, callback, help=does)
        app = cast("CommissionApp", self.app)
        for name, does, callback, _ in app.commands_elsewhere(self.screen):
            if words and begin_words(f"{name} {does}", words):
                yield Hit(_ELSEWHERE, name, callback, help=does)


class CommissionApp(Host):
    """Everything on screen."""

    TITLE = "commission_tui"
    COMMANDS = {ActionCommands}  # noqa: RUF012
    CSS_PATH = ["../styles/base.tcss", "../styles/dialogs.tcss", "../styles/screens.tcss"]  # noqa: RUF012
    HORIZONTAL_BREAKPOINTS = [  # noqa: RUF012
        (0, "-narrow"),
        (80, "-least"),
        (112, "-wide"),
    ]
    VERTICAL_BREAKPOINTS = [  # noqa: RUF012
        (0, "-short"),
        (24, "-low"),
        (36, "-high"),
    ]
    BINDINGS: ClassVar[list[BindingType]] = [
        quiet("quit", "ctrl+q", "quit", "Quit", "Leave; everything logged is kept", priority=True),
        key("help", "f1,question_mark", "help", "Help",
            "Every key that works here", key_display="F1"),
        quiet("colours", "f12", "colours", "Colours", "Dark house, low blue, office"),
    ]  # fmt: skip
    theme: Reactive[str] = Reactive(_wanted_theme)

    def __init__(
        self,
        logbook: Logbook,
        by: str,
        *,
        job: OpenJob | None = None,
        export_dir: Path | None = None,
        ascii_only: bool = False,
    ) -> None:
        super().__init__(logbook, by, export_dir, ascii_only)
        self._job = job
        self._screens: dict[str, JobScreen] = {}
        self._trouble = ""
        self._reading = Background(self, AWAITED)
        self._unfinished = Unfinished(logbook.path)
        self._drafts_of: dict[str, Drafts] = {}
        self._came_from: dict[str, str] = {}
        """Place of the walk that an earlier run left, until the walk is opened."""
        for theme in THEMES:
            self.register_theme(theme)

    def get_theme(self, theme_name: str) -> Theme | None:
        """Return ours also before they are registered: with their colours the styles are read once."""
        return _THEMES.get(theme_name) or super().get_theme(theme_name)

    def on_mount(self) -> None:
        if self._job is None:
            from commission_tui.screens.jobs.screen import JobsScreen

            self._take_up("")
            self.push_screen(JobsScreen())
        else:
            self.open_job(self._job)
        self.set_interval(_LOOK_AGAIN_S, self._look_again)

    def keep_unfinished(self) -> None:
        """Keep what is typed and not logged, for a start after a crash."""
        if not self.screen_stack:  # it is going out
            return
        keeping = getattr(self.screen, "keep_draft", None)
        if keeping is not None and self.screen.is_mounted:
            with contextlib.suppress(NoMatches):  # its lines are not there yet, or no longer
                keeping()
        walk = cast("WalkScreen | None", self._screens.get("walk"))
        place = (walk.unfinished() if walk else {}) or self._came_from
        self.keeps_lines = "waits" in place
        job = self._job.id if self._job is not None else ""
        self._unfinished.keep(job, self.by, self.drafts.to_keep, place)

    def on_unmount(self) -> None:
        self._unfinished.let_go()

    async def action_quit(self) -> None:
        self.keep_unfinished()
        await super().action_quit()

    def _look_again(self) -> None:
        """Take in what another program wrote into the same job."""
        if not self.takes_keys:  # between two keys nothing is on its way to a field
            self.keep_unfinished()
        if self._job is None:
            return
        try:
            self._job.refresh()
        except CommissionError as error:
            if str(error) != self._trouble:
                self._cannot(error)
            self._trouble = str(error)
        else:
            self._trouble = ""

    # --- jobs and their screens

    def _take_up(self, job: str) -> None:
        """Have what was begun in a job, or with no name in the list of jobs."""
        drafts, self._came_from = self._unfinished.recall(job, self.by)
        self.drafts = self._drafts_of.setdefault(job, Drafts())
        self.drafts.update(drafts)

    def open_job(self, job: OpenJob) -> None:
        self.keep_unfinished()  # the form by which it was made has nothing left
        self._job = job
        self._screens = {}
        self.at_check = None
        is_first = job.id not in self._drafts_of
        self._take_up(job.id)
        self.push_screen(self._made("overview"))
        if is_first and (waiting := self.half_typed()):
            self.notify(f"Half typed, not logged: {listed(waiting, 4)}", markup=False)

    def _made(self, name: str) -> JobScreen:
        """Return a screen of the open job; one that was left keeps what was typed."""
        made = self._screens.get(name)
        if made is None:
            assert self._job is not None  # noqa: S101 (only a job's screens ask for another)
            made = self._screens[name] = _screen_class(name)(self._job)
            self.install_screen(made, f"{self._job.id} {name}")
        return made

    def sign_as(self, name: str) -> bool:
        self.by = name
        if self._job is not None:
            self._job.by = name
        return keep_name(name)

    def leave_job(self) -> None:
        from commission_tui.screens.jobs.screen import JobsScreen

        self.keep_unfinished()
        self.clear_notifications()  # they were of the job
        screens, self._screens, self._job = self._screens, {}, None
        self._take_up("")
        if any(isinstance(screen, JobsScreen) for screen in self.screen_stack):
            self.pop_screen()
        else:  # it was opened at once, without the list
            self.switch_screen(JobsScreen())
        for screen in screens.values():
            self.uninstall_screen(screen)
            if screen.is_attached:
                screen.remove()

    def half_typed(self) -> tuple[str, ...]:
        assert self._job is not None  # noqa: S101 (only a job's screens ask)
        checks = self._job.state.checklist
        here = getattr(self._screens.get("walk"), "unfinished", dict)() or self._came_from
        found = [here, *(kept for name, kept in self.drafts.items() if name.startswith("reading "))]
        return tuple(
            f"{clipped(kept['value'], 20)} at {kept['place']}, {checks.check(kept['check']).title}"
            for kept in found
            if kept.get("value")
            and kept.get("place")
            and kept.get("check", "") in checks
            and is_of_visit(kept, self._job.state)
            and kept.get("over", "") == self._stands_at(kept)  # else it was logged since
        )

    def _stands_at(self, kept: Mapping[str, str]) -> str:
        """Return the id of the reading that stands where a value is half typed; nothing for none."""
        assert self._job is not None  # noqa: S101 (only a job's screens ask)
        stands = self._job.state.latest(kept["check"], kept.get("field", ""), kept["place"])
        return stands.id if stands else ""

    def go(self, name: str) -> None:
        if name in _LONG_TO_READ and name not in self._screens:
            self.notify(f"Opening the {name} ...", markup=False)
            self._reading.start(
                name, lambda _: _screen_class(name), lambda _: self._go(name), self._cannot
            )
        else:
            self._go(name)

    def _cannot(self, error: CommissionError) -> None:
        self.notify(str(error), markup=False, severity="error")

    def _go(self, name: str) -> None:
        if name in _LONG_TO_READ:
            self.clear_notifications()
        if self.screen in self._screens.values() and name in _SCREENS:
            fresh = name == "walk" and name not in self._screens
            made = self._made(name)
            if fresh and self._came_from:
                self._come_back(cast("WalkScreen", made), self._came_from)
            self.switch_screen(made)

    def _come_back(self, walk: WalkScreen, kept: dict[str, str]) -> None:
        """Open the walk where an earlier run left it."""
        if self._job is not None and kept.get("check", "") in self._job.state.checklist:
            walk.go_to(kept["check"], kept.get("place"))
            self.call_later(walk.call_after_refresh, walk.come_back, kept)
        self._came_from = {}

    def walk_to(self, check_id: str, place: str | None = None) -> None:
        cast("WalkScreen", self._made("walk")).go_to(check_id, place)
        self.go("walk")

    def read_again(self, doubt: Doubt) -> None:
        cast("WalkScreen", self._made("walk")).go_to(doubt.check, among=doubt.slots)
        self.go("walk")

    def find_check(self) -> None:
        self.go("walk")
        if self.screen is self._screens.get("walk"):
            cast("WalkScreen", self.screen).action_find_check()

    def wall_at(self, place: str, layer: str = "") -> None:
        from commission_tui.screens.cabinet.view import typed_position

        wall = cast("WallScreen", self._made("wall"))
        try:
            wall.go_to(typed_position(wall.job.state.wall, place), layer)
        except InputError:
            self.notify(f"{place} is not one cabinet", markup=False)
        else:
            self.go("wall")

    # --- what works everywhere

    def action_help(self) -> None:
        from commission_tui.screens.app.help import HelpDialog

        screen = self.screen
        text = getattr(screen, "HELP_TEXT", "")
        self.push_screen(HelpDialog(text, screen.active_bindings))

    def action_colours(self) -> None:
        names = [theme.name for theme in THEMES]
        at = names.index(self.theme) if self.theme in names else -1
        self.theme = names[(at + 1) % len(names)]
        self.notify(f"Colours: {self.theme}", markup=False, timeout=2)

    def get_key_display(self, binding: Binding) -> str:
        return binding.key_display or short_key(binding.key)

    def commands_elsewhere(self, here: Screen[object]) -> Iterable[SystemCommand]:
        """Offer what is done on the job's other screens, but for those that take long to read."""
        if here not in self._screens.values():
            return
        for key_of_screen, name, word in TABS:
            if name in _LONG_TO_READ and name not in self._screens:
                continue
            screen = _screen_class(name)
            if isinstance(here, screen):
                continue
            for binding in Binding.make_bindings(screen.BINDINGS):
                yield SystemCommand(
                    binding.description,
                    f"{binding.tooltip} ({key_of_screen.upper()} {word}, {key_name(binding.key)})",
                    partial(self._do_on, name, binding.action),
                )

    def _do_on(self, name: str, action: str) -> None:
        """Go to a screen of the job and do there what a key of it does."""
        self.go(name)
        made = self._made(name)
        self.call_later(made.call_after_refresh, partial(self.run_action, action, made))

    def get_system_commands(self, screen: Screen[object]) -> Iterable[SystemCommand]:
        """Offer every action that a key does here; of what Textual offers nothing is ours."""
        offered: set[str] = set()
        for name, active in screen.active_bindings.items():
            binding = active.binding
            if not binding.id or binding.id in offered or binding.action == "command_palette":
                continue
            offered.add(binding.id)
            yield SystemCommand(
                binding.description,
                f"{binding.tooltip} ({key_name(name)})",
                partial(self.run_action, binding.action, active.node),
            )

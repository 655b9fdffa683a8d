"""Import a table: what each column is, what would be logged, then all of it in one transaction."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import VerticalScroll
from textual.timer import Timer
from textual.widgets import OptionList

from commission_tui.errors import CommissionError, InputError
from commission_tui.logbook.tables.table_logging import ChangedMeanwhileError, TakenTable
from commission_tui.logbook.tables.table_mapping import remembered_mappings
from commission_tui.logbook.tables.table_proposal import TableHead, TablePlan
from commission_tui.screens.host.key_table import key, quiet
from commission_tui.screens.importing import view as import_view
from commission_tui.screens.importing.file_choice import ImportFileDialog
from commission_tui.screens.importing.view import Answers, TableFound
from commission_tui.screens.importing.work import TableWork
from commission_tui.screens.shared.background_work import Background, T, Tell, progress_line
from commission_tui.screens.shared.job_screen import JobScreen
from commission_tui.screens.terminal.styled_text import Line, in_cells
from commission_tui.screens.widgets.form import Form, Question
from commission_tui.screens.widgets.lists import LineList
from commission_tui.screens.widgets.picker import pick
from commission_tui.screens.widgets.screen_frame import Dialog, open_dialog
from commission_tui.screens.widgets.text_lines import Painted
from commission_tui.text import counted

_WAIT_S = 0.2
"""Whoever goes on changing what a column is has not decided yet."""


def import_table(
    screen: JobScreen, check_id: str, field: str | None, done: Callable[[], None]
) -> None:
    """Ask for a table, show what it would log into a check, and log it; then call `done`."""
    job = screen.job
    title = in_cells(job.state.checklist.check(check_id).title, 30).rstrip()

    def choose() -> None:
        open_dialog(screen, ImportFileDialog(f"Import into {title}"), chosen)

    def chosen(path: Path) -> None:
        def closed(count: int | None) -> None:
            if count is None:
                choose()
                return
            screen.say(f"{counted(count, 'reading')} logged from {path.name}")
            done()

        table = TableWork(job, screen.host.logbook.clock, path, check_id, field)
        screen.app.push_screen(ImportDialog(table), closed)

    choose()


class ImportDialog(Dialog[int | None]):
    """Closes with how many readings were logged; with None to choose another file."""

    HELP_TEXT = (
        "Each line is a column: its heading, what stands below it, what it is taken for. Below "
        "stands what would be logged. Rows that are refused keep all from being logged until they "
        "are left out, what looks odd until it is taken. Stopped before the end, nothing is "
        "logged."
    )

    DEFAULT_CSS = """
    ImportDialog #import-columns { height: auto; max-height: 6; margin: 1 0 0 0; }
    .-high ImportDialog #import-columns { max-height: 12; }
    ImportDialog #import-summary { height: auto; padding: 0 1; margin: 1 0 0 0; }
    ImportDialog #import-scroll { height: 1fr; padding: 0 1; background: $panel; }
    ImportDialog #import-file { padding: 0 1; height: 1; }
    """

    BINDINGS: ClassVar[list[BindingType]] = [
        key("import.log", "ctrl+s", "log", "Log all",
            "Log every reading of the table, in one transaction"),
        key("import.meaning", "enter", "meaning", "What it is",
            "Pick what the selected column is: the place, a field of the check, not read", priority=True),
        key("import.odd", "y", "odd", "Odd too",
            "Take what looks odd as it is; y once more: ask again"),
        key("import.bad", "b", "bad", "Leave out",
            "Leave out the rows that are refused; b once more: all or nothing"),
        key("import.remember", "r", "remember", "Remember",
            "Give these columns a name, so that the next table of this meter is read alike"),
        key("import.sheet", "s", "sheet", "Sheet", "Read another sheet of the spreadsheet"),
        quiet("import.decimal", "d", "decimal", "Decimal sign",
            "Say that numbers are written 1.5 or 1,5, where the table leaves it open"),
        quiet("import.next", "right", "step(1)", "Next meaning",
            "Take the selected column for the next thing it can be", priority=True),
        quiet("import.before", "left", "step(-1)", "Meaning before",
            "Take the selected column for the thing before", priority=True),
        quiet("import.page_down", "pagedown", "scroll(1)", "Scroll",
            "Scroll down the rows that are refused or odd", priority=True),
        quiet("import.page_up", "pageup", "scroll(-1)", "Scroll up",
            "Scroll up the rows that are refused or odd", priority=True),
        key("import.back", "escape", "back", "Back",
            "Stop what runs; else back to the choice of a file, with nothing logged"),
    ]  # fmt: skip

    def __init__(self, table: TableWork) -> None:
        super().__init__()
        self.table = table
        self._background = Background(self)
        self._sheet: str | None = None
        self._decimal: str | None = None
        self._answers = Answers()
        self._head: TableHead | None = None
        self._plan: TablePlan | None = None
        self._seen: TableFound | None = None
        self._waiting: Timer | None = None
        self._logging = False
        self._writing = False

    def compose_box(self) -> ComposeResult:
        yield Painted(id="import-file")
        yield LineList(id="import-columns")
        yield Painted(id="import-summary")
        with VerticalScroll(id="import-scroll", can_focus=False):
            yield Painted(id="import-rows")
        yield Painted(id="import-message", classes="message")

    def on_mount(self) -> None:
        self.show_title(((f"Import into {self.table.check.title}", "title"),))
        self._look()

    # --- reading, in the background

    def _forget(self) -> None:
        """Let go of what was read under other columns."""
        if self._waiting is not None:
            self._waiting.stop()
        self._seen = None
        # What was said holds for the rows that were shown, not for those that come now.
        self._answers = Answers(remember=self._answers.remember)

    def _look(self) -> None:
        self._head = self._plan = None
        try:
            known = remembered_mappings(self.host.logbook.store, self.table.job.state)
        except CommissionError as error:
            self._message((str(error), "error"))
            return
        how = self.table.job.state, self._sheet, tuple(known.values())[::-1]
        self._start("Reading the first rows", lambda _: self.table.look(*how), self._looked)

    def _read_all(self) -> None:
        if self._plan is not None:
            how = self._plan, self._sheet, self._decimal
            self._start(
                "Reading rows",
                lambda tell: self.table.read(*how, partial(tell, self._got_further)),
                self._read,
            )

    def _start(self, what: str, read: Callable[[Tell], T], done: Callable[[T], None]) -> None:
        self._forget()
        self._background.start("the import", read, done, self._not_read)
        self._show_progress(what, 0, 0)
        self.redraw()

    def _looked(self, found: tuple[TableHead, TablePlan]) -> None:
        self._head, self._plan = found
        self._read_all()

    def _read(self, found: TableFound) -> None:
        self._seen = found
        self._message()
        self.redraw()

    def _not_read(self, error: CommissionError) -> None:
        self._read(TableFound(None, trouble=str(error)))

    def _got_further(self, what: str, done: int, of: int) -> None:
        self._writing = self._logging and done >= of
        self._show_progress(what, done, of)

    # --- what is shown

    def _message(self, *parts: tuple[str, str]) -> None:
        self.query_one("#import-message", Painted).show(parts)

    def _show_progress(self, what: str, done: int, of: int) -> None:
        width = max(40, self.query_one("#import-message").size.width - 2)
        if self._writing:
            self._message((f"Writing {counted(of, 'reading')} in one transaction ...", "strong"))
        else:
            self._message(*progress_line(what, done, of, width))

    def redraw(self) -> None:
        if not self.is_attached:
            return
        listed = self.query_one("#import-columns", LineList)
        file = self.query_one("#import-file", Painted)
        width = max(40, listed.size.width - 2)
        if self._head is not None and self._plan is not None:
            where = self._head, self._plan
            lines = import_view.column_lines(self.table.check, *where, width)
            listed.show([((line,), number) for number, line in enumerate(lines)])
            file.show(import_view.file_line(self.table.path, *where, self._sheet, width))
        else:
            listed.show([])
            file.show(((self.table.path.name, "strong"),))
        self._draw_seen()

    def _draw_seen(self) -> None:
        summary: list[Line] = []
        rows: list[Line] = []
        if self._seen is not None:
            summary = import_view.summary_lines(self._seen, self._answers)
            rows = import_view.row_lines(self._seen, self.table.path)
        self.query_one("#import-summary", Painted).show(*summary)
        self.query_one("#import-rows", Painted).show(*rows)
        self.refresh_bindings()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:  # noqa: ARG002
        rows = self._seen.rows if self._seen is not None else None
        wanted = {
            "odd": bool(rows and rows.odd),
            "bad": bool(rows and rows.bad),
            "sheet": self._head is not None and len(self._head.sheets) > 1,
            "remember": self._plan is not None and not self._plan.plain,
        }
        if not wanted.get(action, True):
            return False
        return None if self._logging and action not in {"back", "scroll", "help"} else True

    # --- saying what the columns are

    @property
    def _marked(self) -> int | None:
        return self.query_one("#import-columns", LineList).highlighted

    def _become(self, plan: TablePlan) -> None:
        """Show a new plan at once, and what it would log when no key has followed for a moment."""
        if plan is self._plan:
            return
        self._plan = plan
        self._forget()
        self._background.forget()
        self._message(("Reading ...", "muted"))
        self.redraw()
        self._waiting = self.set_timer(_WAIT_S, self._read_all)

    def action_step(self, by: int) -> None:
        if self._plan is not None and self._marked is not None:
            self._become(
                import_view.with_next_meaning(self.table.check, self._plan, self._marked, by)
            )

    @on(OptionList.OptionSelected)
    def action_meaning(self) -> None:
        plan, index = self._plan, self._marked
        if plan is None or index is None or self._logging:
            return

        def picked(key: str) -> None:
            if self._plan is plan:
                self._become(import_view.with_meaning(plan, index, key))

        choices = import_view.meaning_choices(self.table.check, plan, index)
        heading = in_cells(plan.headings[index], 30).rstrip() or "this column"
        now = plan.targets[index] or import_view.NOT_READ
        pick(self, f"What is {heading}?", choices, picked, at=now)

    def action_sheet(self) -> None:
        def picked(name: str) -> None:
            self._sheet = name
            self._look()

        if self._head is not None:
            lines = {name: ((in_cells(name, 60).rstrip(), ""),) for name in self._head.sheets}
            pick(self, "Which sheet", lines, picked, at=self._sheet)

    def action_decimal(self) -> None:
        known = import_view.DECIMALS
        self._decimal = known[(known.index(self._decimal) + 1) % len(known)]
        self._read_all()
        notice = f"Decimal sign: {import_view.DECIMAL_WORD[self._decimal]}"
        self.notify(notice, markup=False, timeout=2)

    def action_remember(self) -> None:
        plan = self._plan
        if plan is None:
            return
        if plan.remembered:
            self._message((f"These columns are remembered already, as {plan.remembered}", "muted"))
            return

        def submit(answers: Mapping[str, str]) -> None:
            name = answers["name"].strip()
            if name:
                plan.mapping(self.table.check, name)
            self._answers = replace(self._answers, remember=name)
            self._draw_seen()

        hint = "such as the meter's; empty remembers nothing"
        question = Question("name", "Name", self._answers.remember, hint)
        self.app.push_screen(Form("Remember these columns", [question], submit))

    # --- answers, and logging

    def action_odd(self) -> None:
        self._answer(replace(self._answers, odd_too=not self._answers.odd_too))

    def action_bad(self) -> None:
        self._answer(replace(self._answers, bad_out=not self._answers.bad_out))

    def _answer(self, answers: Answers) -> None:
        self._answers = answers
        self._message()
        self._draw_seen()

    def action_log(self) -> None:
        if self._logging:
            return
        try:
            taken = self._taken()
        except CommissionError as error:
            self._message((str(error), "error"))
            return
        self._logging = True
        self._show_progress("Making entries", 0, len(taken.readings))
        self._background.start(
            "the import",
            lambda tell: self.table.log(taken, partial(tell, self._got_further)),
            self._logged,
            self._not_logged,
            lambda: self._not_logged(InputError("Stopped; nothing was logged")),
        )
        self.refresh_bindings()

    def _taken(self) -> TakenTable:
        seen, plan = self._seen, self._plan
        why = import_view.refusal(seen, self._answers)
        if why or seen is None or seen.rows is None or seen.state is None or plan is None:
            raise InputError(why)
        name = self._answers.remember
        remember = plan.mapping(self.table.check, name) if name and not plan.remembered else None
        return TakenTable(tuple(seen.rows.good), seen.state, remember)

    def _logged(self, count: int) -> None:
        try:
            self.table.job.refresh()
        except CommissionError as error:
            self.notify(str(error), markup=False, severity="error")
        self.dismiss(count)

    def _not_logged(self, error: CommissionError) -> None:
        self._logging = self._writing = False
        if isinstance(error, ChangedMeanwhileError):
            self.notify(str(error), markup=False, severity="error")
            self._read_all()
        else:
            self._message((str(error), "error"))
        self.refresh_bindings()

    # --- the rest

    def action_back(self) -> None:
        if not self._logging:
            self.dismiss(None)
        elif self._writing:
            self._message(("Too late to stop: the transaction is being written", "marginal"))
        else:
            self._background.stop()
            self._message(("Stopping ...", "marginal"))

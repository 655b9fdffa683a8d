"""The keys of the layer "mapping": log what is seen, have it explained, walk its correction."""

from __future__ import annotations

from abc import abstractmethod
from collections.abc import Callable, Mapping
from typing import ClassVar

from textual.binding import Binding, BindingType

from commission_tui.checks.checklists.checklist import mapping_check
from commission_tui.logbook.actions.mapping_corrections import (
    Progress,
    correction_list,
    progress,
    step_note,
)
from commission_tui.logbook.actions.mapping_log import (
    NO_CHECK,
    TYPED,
    SeenTable,
    all_in_place,
    few,
    rest_in_place,
    seen_table,
    typed_bodies,
)
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.state.state import State
from commission_tui.screens.mapping import view as mapping_view
from commission_tui.screens.mapping.dialog import Choice as Taken
from commission_tui.screens.mapping.dialog import ExplainDialog
from commission_tui.screens.mapping.view import LAYER, Chosen
from commission_tui.screens.shared.job_screen import JobScreen
from commission_tui.screens.terminal.styled_text import Glyphs, Line, wrapped
from commission_tui.screens.widgets.confirm import Confirm
from commission_tui.screens.widgets.form import Form, Question
from commission_tui.screens.widgets.picker import Choice, Picker
from commission_tui.screens.widgets.text_lines import Painted
from commission_tui.text import counted
from commission_tui.wall.model.location import Cell


class MappingLines(Painted):
    """What is said below the wall while the layer is shown."""

    MOST = 9
    DEFAULT_CSS = """
    MappingLines { height: 1; padding: 0 1; background: $surface; display: none; }
    """

    def say(self, *lines: Line) -> None:
        """Show lines, broken where they do not fit; the room for them grows and does not shrink.

        Else the wall above would be drawn anew for a cabinet of which less is to be said.
        """
        width = max(20, self.screen.size.width - 2)
        fits = {line: sum(len(text) for text, _ in line) <= width for line in lines}
        rows = [row for line in lines for row in ([line] if fits[line] else wrapped(line, width))][
            : self.MOST
        ]
        room = self.styles.height
        if room is None or len(rows) > room.value:
            self.styles.height = len(rows)
        self.show(*rows)


def _key(key: str, action: str, word: str, tooltip: str) -> Binding:
    return Binding(key, action, word, id=f"mapping.{action}", tooltip=tooltip, show=False)


class MappingScreen(JobScreen):
    """What the wall screen does with the mapping; it draws the wall itself."""

    BINDINGS: ClassVar[list[BindingType]] = [
        _key(
            "t", "tile_seen", "Tile seen", "Log the tile seen here, or a phrase for many cabinets"
        ),
        _key(
            "a", "all_as_designed", "All as designed", "Log that every cabinet shows its own tile"
        ),
        _key("s", "side", "Front or behind", "Say from which side columns in phrases are counted"),
        _key("e", "explain", "Explain", "Find what may be wrong with the mapping"),
        _key("d", "move_done", "Move done", "Log that the move shown was done, go to the next"),
        _key("n", "move_needless", "Not needed", "Log that the move shown is not needed"),
        _key("u", "undo_move", "Undo move", "Withdraw the last move that was logged as done"),
        _key(
            "c", "drop_list", "Drop corrections", "Put the correction list away; the log keeps it"
        ),
    ]

    def __init__(self, job: OpenJob) -> None:
        super().__init__(job)
        self._from_behind: bool | None = None
        self._chosen: Chosen | None = None
        self._tabled: tuple[State, SeenTable] | None = None
        self._now: tuple[tuple[State, Chosen | None, Glyphs], list[Line]] | None = None

    # --- what the wall screen lends

    @property
    @abstractmethod
    def here(self) -> Cell:
        """The cabinet under the cursor."""

    @abstractmethod
    def show_layer(self, name: str, *, rear: bool | None = None) -> None:
        """Show a layer, from one side when that is said."""

    @abstractmethod
    def go_to(self, cell: Cell) -> None:
        """Put the cursor on a cabinet."""

    @property
    def table(self) -> SeenTable:
        """What was seen; made once a state, since the cursor moves more often than the log."""
        state = self.job.state
        if self._tabled is None or self._tabled[0] is not state:
            self._tabled = state, seen_table(state)
        return self._tabled[1]

    def draw_mapping(self, *, shown: bool) -> None:
        """Show or hide the lines below the wall."""
        lines = self.query_one(MappingLines)
        lines.display = shown
        if shown:
            glyphs = self.host.glyphs
            lines.say(
                *mapping_view.cell_lines(
                    self.job, self.table, self.here, self._from_behind, glyphs, self._chosen
                ),
                *self._now_lines(glyphs),
            )

    def _now_lines(self, glyphs: Glyphs) -> list[Line]:
        """How the mapping stands; it is the same wherever the cursor is, and counts every cabinet."""
        made_of = self.job.state, self._chosen, glyphs
        if self._now is None or any(
            old is not new for old, new in zip(self._now[0], made_of, strict=True)
        ):
            self._now = made_of, mapping_view.now_lines(self.job, self.table, glyphs, self._chosen)
        return self._now[1]

    # --- what is seen

    def _begin(self, then: Callable[[], None]) -> None:
        """Show the layer; ask once from which side columns are counted; then go on."""
        self.show_layer(LAYER)
        if mapping_check(self.job.state.checklist) is None:
            self.say(NO_CHECK, error=True)
        elif self._from_behind is None:
            self._ask_side(then)
        else:
            then()

    def _ask_side(self, then: Callable[[], None]) -> None:
        choices = [
            Choice("front", (("from the front, as the audience sees the wall", ""),)),
            Choice("behind", (("from behind the wall", ""),)),
        ]

        def picked(side: str | None) -> None:
            if side is not None:
                self._from_behind = side == "behind"
                self.show_layer(LAYER, rear=self._from_behind)
                then()

        at = "behind" if self._from_behind else "front"
        self.app.push_screen(Picker("From where are columns counted?", choices, at=at), picked)

    def action_side(self) -> None:
        self.show_layer(LAYER)
        self._ask_side(lambda: self.say(mapping_view.side_text(self._from_behind)))

    def action_all_as_designed(self) -> None:
        self._begin(self._ask_which_as_designed)

    def _ask_which_as_designed(self) -> None:
        choices = mapping_view.as_designed_choices(self.table)
        if not choices:
            self._ask_all()
            return

        def picked(which: str | None) -> None:
            if which == mapping_view.REST:
                bodies = rest_in_place(self.job)
                self.attempt(lambda: self.job.record_all(bodies), "Logged: the rest as designed")
            elif which is not None:
                self._ask_all()

        offered = [Choice(key, line) for key, line in choices]
        self.app.push_screen(Picker("Which show their own tile, arrow up?", offered), picked)

    def _ask_all(self) -> None:
        def confirmed(yes: bool | None) -> None:
            if yes and self.attempt(
                lambda: self.job.record_all(all_in_place(self.job)), "Logged: all as designed"
            ):
                self._put_away_when_finished()

        count = len(self.job.state.wall.cabinets)
        line: Line = (("Earlier mapping errors will be marked as resolved.", "muted"),)
        title = (
            f"All {counted(count, 'cabinet')} show their own tile, arrow up, not mirrored: log it?"
        )
        self.app.push_screen(Confirm(title, line), confirmed)

    def action_tile_seen(self) -> None:
        self._begin(self._ask_tile)

    def _ask_tile(self) -> None:
        cell, behind = self.here, bool(self._from_behind)
        logged: list[Cell] = []

        def submit(answers: Mapping[str, str]) -> None:
            cells, bodies = typed_bodies(self.job, cell, answers["seen"], from_behind=behind)
            self.job.record_all(bodies)
            logged.extend(cells)

        def closed(yes: bool | None) -> None:
            if yes:
                self.say(f"Logged what {few(logged)} {'shows' if len(logged) == 1 else 'show'}")
                self._next_look()

        self.app.push_screen(self._tile_form(cell, submit), closed)

    def _tile_form(self, cell: Cell, submit: Callable[[Mapping[str, str]], None]) -> Form:
        rear_name = self.job.state.wall.rear_name(cell)
        notes: list[Line] = [
            ((f"{cell}", "strong"), (f", from behind: {rear_name}", ""),
             (f"   {mapping_view.side_text(self._from_behind)}", "caution-text")),
            ((f"Type {TYPED}.", "muted"),),
            (("Or for many: ", "muted"), ("row 3 backwards", "key"), (",  ", "muted"),
             ("C1-C3 show C4-C6", "key"), (",  ", "muted"),
             ("R1C5.. dark", "key"), (" (to the end of its chain),  ", "muted"),
             ("P2 dark", "key"), (",  ", "muted"), ("wall ok", "key"), (".", "muted")),
        ]  # fmt: skip
        question = Question("seen", f"{cell} shows")
        return Form("What is seen", [question], submit, notes=notes, at_once=True)

    # --- explaining

    def action_explain(self) -> None:
        self.show_layer(LAYER)
        table = self.table
        if not table.looked_at:
            self.say("Nobody has looked yet: press a, then t for each exception", error=True)
        elif not table.exceptions:
            self.say("Every cabinet looked at is as designed: nothing to explain")
        else:
            dialog = ExplainDialog(self.job.state.wall, table.readings)
            self.app.push_screen(dialog, self._choose)

    def _choose(self, taken: Taken | None) -> None:
        if taken is None:
            return
        corrections = correction_list(
            self.job.state, taken.explanation, by_configuration=taken.by_configuration
        )
        self._chosen = Chosen(taken.explanation, corrections)
        concerned = sorted(self._chosen.concerned)
        self.go_to(concerned[0] if concerned else self.here)
        self._go_to_plug()
        if not corrections.steps:
            self._next_look()

    # --- walking the correction

    @property
    def _how_far(self) -> Progress | None:
        return progress(self.job.state, self._chosen.corrections) if self._chosen else None

    def action_move_done(self) -> None:
        self._log_step(needless=False)

    def action_move_needless(self) -> None:
        self._log_step(needless=True)

    def _log_step(self, *, needless: bool) -> None:
        how_far = self._how_far
        if how_far is None or how_far.next_step is None:
            self.say("There is no move to do: press e to have the mapping explained", error=True)
            return
        note = step_note(self.job.state, how_far.next_step, needless=needless)
        done = "Logged as not needed" if needless else "Move logged as done"
        if self.attempt(lambda: self.job.record(note), done):
            self._go_to_plug()
            self._next_look()

    def _go_to_plug(self) -> None:
        """Put the cursor where the next move begins."""
        step = self._how_far.next_step if self._how_far else None
        ends = (step.unplugged - step.plugged or step.plugged or step.unplugged) if step else ()
        if ends:
            self.go_to(min(ends))

    def _next_look(self) -> None:
        """Once every move is done: go to the next cabinet to look at, and ask what it shows."""
        how_far = self._how_far
        if how_far is None or how_far.next_step is not None:
            return
        if how_far.to_look:
            self.go_to(how_far.to_look[0])
            self.call_later(self._begin, self._ask_tile)

    def action_undo_move(self) -> None:
        how_far = self._how_far
        if how_far is None or not how_far.done:
            self.say("No move of this list is logged", error=True)
            return
        last = how_far.done[-1].id
        self.attempt(lambda: self.job.correct(last, None, "not done after all"), "Move withdrawn")

    def action_drop_list(self) -> None:
        self._chosen = None
        self.redraw()

    def _put_away_when_finished(self) -> None:
        how_far = self._how_far
        if how_far is not None and how_far.is_finished:
            self.action_drop_list()

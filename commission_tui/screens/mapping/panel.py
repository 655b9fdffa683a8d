"""The layer "mapping" at work: log what is seen, have it explained, walk its correction."""

from __future__ import annotations

from collections.abc import Callable, Sequence, Set
from operator import is_

from textual.binding import BindingType

from commission_tui.checks.checklists.checklist import mapping_check
from commission_tui.errors import InputError
from commission_tui.logbook.actions.mapping_corrections import (
    correction_list,
    step_bodies,
    undo_bodies,
)
from commission_tui.logbook.actions.mapping_log import (
    NO_CHECK,
    all_in_place,
    rest_in_place,
)
from commission_tui.logbook.actions.typed_looks import Meant, TypedLook, typed_look
from commission_tui.logbook.entries.models import Body
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.state.state import State
from commission_tui.screens.host.key_table import quiet
from commission_tui.screens.mapping import kept_list
from commission_tui.screens.mapping import view as mapping_view
from commission_tui.screens.mapping.dialog import Confirm, ExplainDialog, ExplanationTaken
from commission_tui.screens.mapping.view import Chosen, MappingView
from commission_tui.screens.photographs.dialog import begin
from commission_tui.screens.photographs.tile_reader import tile_task
from commission_tui.screens.shared.job_screen import JobScreen
from commission_tui.screens.terminal.styled_text import Line, wrapped
from commission_tui.screens.widgets.form import Form, Question
from commission_tui.screens.widgets.picker import pick
from commission_tui.screens.widgets.screen_frame import open_dialog
from commission_tui.screens.widgets.text_lines import Painted
from commission_tui.text import counted
from commission_tui.wall.mapping.next_look import NextLook
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
        rows: list[Line] = []
        for line in lines:
            fits = sum(len(text) for text, _ in line) <= width
            rows += [line] if fits else wrapped(line, width)
        del rows[self.MOST :]
        room = self.styles.height
        if room is None or len(rows) > room.value:
            self.styles.height = len(rows)
        self.show(*rows)


_SIDE = "columns are counted"
"""Under which name the side is kept that columns are counted from."""


class MappingPanel:
    """Logs the mapping, has it explained and walks its correction, below a wall that a screen draws."""

    def __init__(
        self,
        screen: JobScreen,
        here: Callable[[], Cell],
        go_to: Callable[[Cell], None],
        show_layer: Callable[[bool | None], None],
    ) -> None:
        """Work for a screen: with the cabinet under its cursor, and the way to another.

        `show_layer` shows this layer, from behind, from the front, or as it was drawn before.
        """
        self.lines = MappingLines(id="mapping-lines")
        self._chosen: Chosen | None = None
        self._is_looked_up = False
        """Whether the list was asked for that was walked when the program ended."""
        self._screen, self._job = screen, screen.job
        self._here, self._go_to, self._show_layer = here, go_to, show_layer
        self._from_behind: bool | None = None
        self._meant: Meant = ""
        self._is_of_here = False
        """Whether the last line was of the one cabinet here, which it does not name."""
        self._shown: tuple[tuple[State, Chosen | None], MappingView] | None = None

    @property
    def chosen(self) -> Chosen | None:
        """The explanation whose correction is walked; after a start the one that was walked before."""
        if not self._is_looked_up:
            self._is_looked_up = True
            kept = self._screen.host.drafts.get(kept_list.DRAFT, {})
            self._chosen = kept_list.taken_up(kept, self._job.state.wall)
        return self._chosen

    @chosen.setter
    def chosen(self, chosen: Chosen | None) -> None:
        self._chosen, self._is_looked_up = chosen, True
        self._screen.host.drafts.begin(kept_list.DRAFT, kept_list.to_keep(chosen))

    @property
    def shown(self) -> MappingView:
        """The layer as it stands; made once a state, since the cursor moves more often than the log."""
        made_of = self._job.state, self.chosen
        if self._shown is None or not all(map(is_, self._shown[0], made_of)):
            self._shown = made_of, MappingView(self._job, *made_of[1:])
        return self._shown[1]

    def draw(self, *, shown: bool) -> None:
        """Show or hide the lines below the wall."""
        self.lines.display = shown
        if shown:
            here = self.shown.cell_lines(self._here(), self._from_behind)
            self.lines.say(*here, *self.shown.now_lines)

    # --- what is seen

    def _begin(self, then: Callable[[], None]) -> None:
        """Show the layer; ask once from which side columns are counted; then go on."""
        self._show_layer(None)
        if mapping_check(self._job.state.checklist) is None:
            self._screen.say(NO_CHECK, error=True)
        elif self._from_behind is None and _SIDE not in self._screen.host.drafts:
            self._ask_side(then)
        else:
            if self._from_behind is None:  # answered before the program was started again
                self._count_from(self._screen.host.drafts[_SIDE].get("side", ""))
            then()

    def _count_from(self, side: str) -> None:
        self._from_behind = side == "behind"
        self._screen.host.drafts[_SIDE] = {"side": side}
        self._show_layer(self._from_behind)

    def _ask_side(self, then: Callable[[], None]) -> None:
        sides = {
            "front": (("from the front, as the audience sees the wall", ""),),
            "behind": (("from behind the wall", ""),),
        }

        def picked(side: str) -> None:
            self._count_from(side)
            then()

        at = "behind" if self._from_behind else "front"
        title = "From where are columns counted?"
        pick(self._screen, title, sides, picked, at=at, by_itself=True)

    def side(self) -> None:
        self._show_layer(None)
        self._ask_side(lambda: self._screen.say(mapping_view.side_text(self._from_behind)))

    def all_as_designed(self) -> None:
        self._begin(self._ask_which_as_designed)

    def _ask_which_as_designed(self) -> None:
        def picked(which: str) -> None:
            if which == mapping_view.REST:
                self._log_as_designed(rest_in_place, "the rest")
            else:
                self._ask_all()

        if choices := mapping_view.as_designed_choices(self.shown.table):
            pick(self._screen, "Which show their own tile, arrow up?", choices, picked)
        else:
            self._ask_all()

    def _ask_all(self) -> None:
        count = counted(len(self._job.state.wall.cabinets), "cabinet")
        says = "It replaces what was seen wrong; faults on the punch list stay open."
        line: Line = ((says, "muted"),)
        title = f"All {count} show their own tile, arrow up, not mirrored: log it?"
        confirm = Confirm(title, line)
        open_dialog(self._screen, confirm, lambda _: self._log_as_designed(all_in_place, "all"))

    def _log_as_designed(self, bodies: Callable[[OpenJob], Sequence[Body]], what: str) -> None:
        done = f"Logged: {what} as designed"
        if self._screen.attempt(lambda: self._job.record_all(bodies(self._job)), done):
            self._put_away_when_finished()

    def tile_seen(self) -> None:
        self._begin(self._ask_tile)

    def _ask_tile(self, begun: str = "", *, tells_apart: bool = False) -> None:
        """Ask what is seen, line after line until nobody types more; then go on, or explain anew."""
        self._meant = ""
        form = Form(
            "What is seen",
            [self._seen_question(begun)],
            lambda answers: self._log_seen(answers["seen"]),
            notes=mapping_view.seen_notes(self._from_behind, explains=tells_apart),
            then=self._seen_next,
        )
        then = self.explain if tells_apart else self._next_look
        open_dialog(self._screen, form, lambda _: then())

    def _look(self, typed: str) -> TypedLook:
        behind = bool(self._from_behind)
        return typed_look(self._job, self._here(), typed, from_behind=behind, meant=self._meant)

    def _which(self, typed: str) -> str:
        """Ask what a line means where that is open; one that means nothing is refused when it is logged."""
        try:
            return self._look(typed).question
        except InputError:
            return ""

    def _log_seen(self, typed: str) -> None:
        before, look = self.shown.table.answers, self._look(typed)
        self._job.record_all(look.bodies)
        self._screen.say(f"Logged {look.said}")
        self._is_of_here, self._meant = look.is_here, look.meant
        if self.shown.table.answers != before:
            self.drop_list()  # it was drawn up without this

    def _seen_question(self, begun: str = "") -> Question:
        cell, how_far = self._here(), self.shown.how_far
        left = how_far.to_look if how_far is not None else ()
        proves = f"{counted(len(left), 'look')} to go; " if cell in left else ""
        if how_far is not None and how_far.is_finished:
            proves = "every look is done, Esc ends; "
        hint = f"{proves}from behind: {self._job.state.wall.rear_name(cell)}"
        return Question("seen", f"{cell} shows", begun, hint, begun=bool(begun), odd=self._which)

    def _seen_next(self) -> Question:
        """Return what is asked after a line: of the next cabinet, where the line was of this one."""
        how_far = self.shown.how_far
        if how_far is not None and how_far.to_look and not self._wrong_elsewhere:
            self._go_to(how_far.to_look[0])
        elif self._is_of_here:
            self._go_to(self._after_here)
        else:
            self._go_to(self._here())
        return self._seen_question()

    @property
    def _after_here(self) -> Cell:
        """The next cabinet, row by row as columns are counted; of the last, that one."""
        sign = -1 if self._from_behind else 1
        order = sorted(self._job.state.wall.cabinets, key=lambda c: (c.row, sign * c.column))
        at = order.index(self._here())
        return order[min(at + 1, len(order) - 1)]

    # --- what photographs show

    def photograph(self) -> None:
        self._show_layer(None)
        if mapping_check(self._job.state.checklist) is None:
            self._screen.say(NO_CHECK, error=True)
            return
        # The list was drawn up without what was read now.
        begin(self._screen, tile_task(self._job), self.drop_list)

    # --- explaining

    def explain(self) -> None:
        self._show_layer(None)
        table = self.shown.table
        if not table.looked_at:
            self._screen.say(
                "Nobody has looked yet: press a, then t for each exception", error=True
            )
        elif not table.exceptions:
            self._screen.say("Every cabinet looked at is as designed: nothing to explain")
        else:
            dialog = ExplainDialog(self._job.state.wall, table.readings, table.answers)
            open_dialog(self._screen, dialog, self._choose)

    def _choose(self, taken: ExplanationTaken | NextLook) -> None:
        if isinstance(taken, NextLook):
            self._look_there(taken)
            return
        corrections = correction_list(
            self._job.state, taken.explanation, by_configuration=taken.by_configuration
        )
        self.chosen = chosen = Chosen.of(taken.explanation, corrections)
        concerned = sorted(chosen.concerned)
        self._go_to(concerned[0] if concerned else self._here())
        self._go_to_plug()
        if not corrections.steps:
            self._next_look()

    def _look_there(self, look: NextLook) -> None:
        """Ask for the look that tells most, then have what is seen explained anew."""
        begun = {"breaker": f"circuit {look.at} ", "cabinet": ""}
        kinds = {"chain number": "chain", "link light": "link", "cable": "cable"}
        typed = begun.get(look.kind, f"{look.at} {kinds.get(look.kind, '')} ")
        self.chosen = None
        if look.at.startswith("R"):
            self._go_to(Cell.parse(look.at))
        self._begin(lambda: self._ask_tile(typed, tells_apart=True))

    # --- walking the correction

    def move_needless(self) -> None:
        self.move_done(needless=True)

    def move_done(self, *, needless: bool = False) -> None:
        how_far = self.shown.how_far
        if self.chosen is None or how_far is None or how_far.next_step is None:
            self._screen.say("No step to do: press e to have the mapping explained", error=True)
            return
        bodies = step_bodies(
            self._job, self.chosen.corrections, how_far.next_step, needless=needless
        )
        dark = {cell for cell, seen in self.shown.table.readings.items() if seen.seen == "dark"}
        done = "Logged as not needed" if needless else "Step marked as done"
        if self._screen.attempt(lambda: self._job.record_all(bodies), done):
            self._go_to_plug()
            self._next_look(dark)

    def _go_to_plug(self) -> None:
        """Put the cursor where the next move begins."""
        step = self.shown.how_far.next_step if self.shown.how_far else None
        ends = (step.unplugged - step.plugged or step.plugged or step.unplugged) if step else ()
        if ends := ends or (step.at if step else ()):
            self._go_to(min(ends))

    @property
    def _wrong_elsewhere(self) -> Set[Cell]:
        """Cabinets not as designed that the correction list does not put right."""
        after = self.chosen.corrections.look_after if self.chosen else ()
        return set(self.shown.table.exceptions).difference(after)

    def _next_look(self, dark: Set[Cell] = frozenset()) -> None:
        """Once every move is done: go to the next cabinet to look at; t asks what it shows.

        One that was dark before the last move may have a fault that no plug puts right: l takes it.
        """
        how_far = self.shown.how_far
        if self.chosen is None or how_far is None or how_far.next_step is not None:
            return
        if left := self._wrong_elsewhere:
            self.drop_list()  # something else is wrong, which it does not put right
            self._screen.say(
                f"Steps done; {counted(len(left), 'cabinet')} elsewhere not as designed: e explains"
            )
        elif how_far.to_look:
            self._go_to(how_far.to_look[0])
            # No form opens by itself: a u that withdraws the last step would be typed into it.
            fault = ", l a fault there" if how_far.to_look[0] in dark else ""
            self._screen.say(
                f"Steps done: t logs what {how_far.to_look[0]} shows now{fault}, u withdraws the last"
            )

    def undo_move(self) -> None:
        bodies = undo_bodies(self._job.state, self.chosen.corrections if self.chosen else None)
        if not bodies:
            self._screen.say("No move of a list, and no other look, is logged", error=True)
            return
        self._screen.attempt(lambda: self._job.record_all(bodies), "Withdrawn")

    def drop_list(self) -> None:
        self.chosen = None
        self._screen.redraw()

    def _put_away_when_finished(self) -> None:
        how_far = self.shown.how_far
        if how_far is not None and how_far.is_finished:
            self.drop_list()


_KEYS = (
    ("t", "tile_seen", "Tile seen",
     "Log what is seen, line after line: tiles, phrases for many, other looks"),
    ("a", "all_as_designed", "All as designed", "Log that every cabinet shows its own tile"),
    ("s", "side", "Front or behind", "Say from which side columns in phrases are counted"),
    ("o", "photograph", "Photograph", "Read photographs of the pattern 'coded tiles'"),
    ("e", "explain", "Explain", "Find what may be wrong with the mapping"),
    ("d", "move_done", "Move done", "Log that the move shown was done, go to the next"),
    ("n", "move_needless", "Not needed", "Log that the move shown is not needed"),
    ("u", "undo_move", "Undo", "Withdraw the last move, or other look, that was logged"),
    ("c", "drop_list", "Drop corrections", "Put the correction list away; the log keeps it"),
)  # fmt: skip
KEYS: list[BindingType] = [
    quiet(f"mapping.{action}", key, action, word, tooltip) for key, action, word, tooltip in _KEYS
]
"""For the screen whose wall it is: its actions call `MappingPanel`."""

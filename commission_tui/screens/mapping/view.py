"""What the layer "mapping" shows: the tile seen in each cabinet, explanations, corrections."""

from __future__ import annotations

from collections.abc import Sequence, Set
from dataclasses import dataclass
from functools import cached_property

from commission_tui.checks.checklists.checklist import mapping_check
from commission_tui.checks.model.types import Verdict
from commission_tui.logbook.actions.mapping_corrections import CorrectionList, Progress, progress
from commission_tui.logbook.actions.mapping_log import (
    ARROWS,
    NO_CHECK,
    TYPED,
    SeenTable,
    is_right,
    seen_table,
)
from commission_tui.logbook.job import OpenJob
from commission_tui.screens.layers.wall_geometry import Look
from commission_tui.screens.shared.background_work import progress_line
from commission_tui.screens.terminal.styled_text import (
    ARROW,
    CAUTION_SIGN,
    HERE,
    SHADES,
    VERDICT_SIGN,
    Line,
    Part,
    verdict_part,
)
from commission_tui.text import clipped, counted, listed
from commission_tui.wall.mapping.explanations.explanation import Explanation
from commission_tui.wall.mapping.observed.observation import Observation
from commission_tui.wall.model.location import Cell

LAYER = "mapping"
_SPLIT = "%"
_UNCLEAR = "?"
_ARROW_STEP = {0: (-1, 0), 90: (0, 1), 180: (1, 0), 270: (0, -1)}
_ARROW_WORD = {angle: word for word, angle in ARROWS.items()}
UNPLUG, PLUG_IN, STAYS = "-", "+", "="
_MOVE_WORDS = {UNPLUG: "unplug here", PLUG_IN: "plug in here", STAYS: "this end stays"}
LAST_WORD = "Is the whole wall as designed, at one glance?  "
CAUTION = "Height and open cabinets: only those who may; site and local rules apply."


@dataclass(frozen=True, slots=True)
class Chosen:
    """The explanation that was chosen, drawn on the layer while its correction is walked."""

    corrections: CorrectionList
    concerned: frozenset[Cell]
    """Cabinets that its causes change, or that none of them explains."""

    @classmethod
    def of(cls, explanation: Explanation, corrections: CorrectionList) -> Chosen:
        changed = (cell for cause in explanation.causes for cell in cause.changes)
        return cls(corrections, frozenset((*changed, *explanation.unexplained)))


@dataclass(frozen=True, slots=True)
class Seen:
    """What a cabinet shows: a sign, a text of four characters or a tile, words and a role."""

    sign: str
    short: str
    kind: str
    """The word beside the sign in the legend."""
    word: str
    role: str


class MappingView:
    """The layer as a job stands, while the correction that was chosen is walked, or none."""

    def __init__(self, job: OpenJob, chosen: Chosen | None = None) -> None:
        self._job, self._wall, self._chosen = job, job.state.wall, chosen
        self.table = job.once(seen_table)
        self.how_far = progress(job.state, chosen.corrections) if chosen else None

    def seen(self, cell: Cell) -> Seen:
        """Say what one cabinet shows."""
        table, reading = self.table, self.table.readings[cell]
        if cell in table.unclear:
            word = f"unclear: logged as {table.unclear[cell]}"
            return Seen(_UNCLEAR, "what", "unclear", word, "marginal")
        if reading.seen is None:
            sign = VERDICT_SIGN[Verdict.OPEN]
            return Seen(sign, "", "not looked at", "not looked at", "muted")
        if reading.seen == "dark":
            return Seen(ARROW[0, 0], "dark", "dark", "dark", "fail")
        if is_right(cell, reading):
            return Seen(VERDICT_SIGN[Verdict.PASS], "own", "own", "as designed", "pass")
        return _wrong(cell, reading)

    def looks(self) -> dict[Cell, Look]:
        """Return what every cabinet shows: tile seen above, chain place below, marks of the chosen."""
        found = {}
        for cell in self._wall.cabinets:
            what, mark = self.seen(cell), self._marks.get(cell, "")
            place = self._place(cell)
            text = f"{mark}{what.sign}{what.short}"
            short = f"{mark}{what.sign}" if mark else what.short
            found[cell] = Look(
                mark or what.sign, text, what.role, f"{mark}{place}", f"{mark}{what.sign}{place}",
                short=short, below_short=place,
            )  # fmt: skip
        return found

    @cached_property
    def _marks(self) -> dict[Cell, str]:
        chosen, how_far = self._chosen, self.how_far
        if chosen is None or how_far is None:
            return {}
        marks: dict[Cell, str] = {}
        if how_far.next_step is not None or not (chosen.corrections.steps or how_far.is_finished):
            marks = dict.fromkeys(chosen.concerned, HERE)
        marks |= dict.fromkeys(how_far.to_look, CAUTION_SIGN)
        if (step := how_far.next_step) is not None:
            marks |= dict.fromkeys(step.unplugged | step.plugged, STAYS)
            marks |= dict.fromkeys(step.unplugged - step.plugged, UNPLUG)
            marks |= dict.fromkeys(step.plugged - step.unplugged, PLUG_IN)
        return marks

    @property
    def _mark_words(self) -> dict[str, str]:
        return {HERE: "concerned", CAUTION_SIGN: "look again", **_MOVE_WORDS}

    def _place(self, cell: Cell) -> str:
        place = self._wall.chain_place(cell)
        return f"{place[0]}.{place[1]}" if place else "none"

    def legend(self) -> Line:
        """Return each sign that the layer shows now, with its word."""
        there = {what.sign: what for what in map(self.seen, self.table.readings)}
        parts: list[Part] = [(f"{sign} {what.kind}", what.role) for sign, what in there.items()]
        drawn = set(self._marks.values())
        words = self._mark_words.items()
        parts += [(f"{sign} {word}", "strong") for sign, word in words if sign in drawn]
        gap: Part = ("  ", "")
        return tuple(part for item in parts for part in (item, gap))

    def cell_lines(self, cell: Cell, from_behind: bool | None) -> list[Line]:
        """Say of one cabinet: both names, chain place, tile seen, its part in the explanation."""
        wall, what = self._wall, self.seen(cell)
        shown: list[Part] = [
            (f"{f'P{self._place(cell)}' if wall.chain_place(cell) else 'no chain'}   ", ""),
            (f"{what.sign} {what.word}", what.role),
        ]
        if mark := self._marks.get(cell):
            shown.append((f"   {mark} {self._mark_words[mark]}", "strong"))
        here: Part = (f" {cell} ", "here")
        rear = f" from behind: {wall.rear_name(cell)}"
        if self.how_far is not None and self.how_far.next_step is not None:
            return [(here, ("   ", ""), *shown)]  # one line leaves room for the move
        answers = self.table.answers.items()
        shown += [(f"   {look.split()[-1]} {seen}", "strong") for look, seen in answers
                  if look.startswith(f"{cell} ")]  # fmt: skip
        side = (f"   {side_text(from_behind)}", "caution-text" if from_behind else "muted")
        return [(here, (rear, "strong"), side), (("designed ", "muted"), *shown)]

    @cached_property
    def now_lines(self) -> list[Line]:
        """Say how the mapping stands and what to press next; it counts every cabinet."""
        check, table = mapping_check(self._job.state.checklist), self.table
        if check is None:
            return [((NO_CHECK, "error"),)]
        if self._chosen is not None and self.how_far is not None:
            return self._walk_lines(self._chosen.corrections, self.how_far)
        verdict = self._job.outcome(check.id).verdict
        every = len(table.looked_at) == len(table.readings)
        if every and not table.exceptions and verdict is not Verdict.PASS:
            keys = (
                (LAST_WORD, "strong"),
                *_keys(("a", "logs it"), ("t", "otherwise")),
            )
        else:
            keys = _keys(
                ("t", "tile seen here, or a phrase"), ("a", "all as designed"), ("e", "explain")
            )
        wrong = len(table.exceptions)
        standing: Line = (
            ("Check ", "muted"),
            verdict_part(verdict),
            (f"  {len(table.looked_at)} of {len(table.readings)} looked at, ", ""),
            (f"{wrong} not as designed", "fail" if wrong else ""),
            (f", {counted(len(table.answers), 'other look')}" if table.answers else "", ""),
        )
        return [standing, keys]

    def _walk_lines(self, corrections: CorrectionList, how_far: Progress) -> list[Line]:
        if (step := how_far.next_step) is not None:
            number = corrections.steps.index(step) + 1
            return [
                ((f"Step {number} of {len(corrections.steps)}: ", "title"), (step.text, "strong")),
                ((f"{CAUTION_SIGN} {CAUTION}", "caution-text"),),
                _keys(("d", "done"), ("n", "not needed"), ("u", "undo"), ("c", "drop this list")),
            ]
        if how_far.to_look:
            named, left = listed(how_far.to_look, 4), f"  ({len(how_far.to_look)} left)"
            return [
                (("Look again: ", "title"), (named, "strong"), (left, "muted")),
                _keys(("t", f"what {how_far.to_look[0]} shows now"), ("u", "undo the last move")),
            ]
        return [
            ((after_words(corrections, self.table), "title"),),
            _keys(("a", "all as designed"), ("e", "explain")),
        ]


def _keys(*pairs: tuple[str, str]) -> Line:
    return tuple(part for key, word in pairs for part in ((key, "key"), (f" {word}   ", "muted")))


def _wrong(cell: Cell, reading: Observation) -> Seen:
    """Say what a lit cabinet shows that is not its own tile, upright; the sign is the worst of it."""
    turns = _turns(reading)
    if reading.seen == "garbled":
        return Seen(SHADES[1], "garb", "garbled", ", ".join(["garbled", *turns]), "fail")
    if reading.seen != cell:
        word = ", ".join([f"another tile, {reading.seen}", *turns])
        return Seen(VERDICT_SIGN[Verdict.FAIL], str(reading.seen), "another", word, "fail")
    word = ", ".join(["its own tile", *turns])
    if reading.mirrored:
        return Seen(VERDICT_SIGN[Verdict.MARGINAL], "mirr", "mirrored", word, "marginal")
    if reading.angle_deg:  # the arrow itself is the sign
        sign = ARROW[_ARROW_STEP[reading.angle_deg]]
        return Seen(sign, "turn", "turned", word, "marginal")
    return Seen(_SPLIT, "part", "parts of several tiles", word, "marginal")


def _turns(reading: Observation) -> list[str]:
    turns = [f"turned, arrow {_ARROW_WORD[reading.angle_deg]}"] if reading.angle_deg else []
    if reading.mirrored:
        turns.append("mirrored")
    if reading.dx_px or reading.dy_px:
        turns.append(f"split: starts {reading.dx_px:+g} px across, {reading.dy_px:+g} px down")
    return turns


# --- what to do now

REST, ALL = "rest", "all"


def as_designed_choices(table: SeenTable) -> dict[str, Line]:
    """Return what may be called as designed; none when nothing is asked: all, or nothing is left."""
    left = len(table.readings) - len(table.looked_at) - len(table.unclear)
    wrong = len(table.exceptions) + len(table.unclear)
    if not (left and wrong):
        return {}
    replaces = f"; it replaces what was seen wrong at {counted(wrong, 'cabinet')}"
    return {
        REST: ((f"the {counted(left, 'cabinet')} not looked at yet", ""),),
        ALL: ((f"all {len(table.readings)}", ""), (replaces, "muted")),
    }


def side_text(from_behind: bool | None) -> str:
    if from_behind is None:
        return ""
    return "columns from behind" if from_behind else "columns from the front"


def seen_notes(from_behind: bool | None, *, explains: bool = False) -> list[Line]:
    """Say what may be typed of what is seen, and what follows."""
    then = " and explains anew" if explains else ""
    return [
        ((side_text(from_behind), "caution-text"),
         (f"   Enter logs and asks on; Esc or an empty line ends{then}", "muted")),
        ((f"Type {TYPED}. ", "muted"), ("R5C4 left", "key"), (" is cabinet R5C4, ", "muted"),
         ("shows R5C4 left", "key"), (" a tile here.", "muted")),
        (("Or for many: ", "muted"), ("row 3 backwards", "key"), (",  ", "muted"),
         ("C1-C3 show C4-C6", "key"), (",  ", "muted"),
         ("R1C5.. dark", "key"), (" (to the end of its chain),  ", "muted"),
         ("P2 dark", "key"), (",  ", "muted"), ("wall ok", "key"), (".", "muted")),
        (("Other looks: ", "muted"), ("cable R2C7 input", "key"),
         (" (where the cable from its output leads),  ", "muted"), ("chain P1.5", "key"),
         (",  ", "muted"), ("link off", "key"), (",  ", "muted"), ("circuit C2 off", "key"),
         (".", "muted")),
    ]  # fmt: skip


def after_words(corrections: CorrectionList, table: SeenTable) -> str:
    """Say what follows once a correction list is walked and looked at."""
    if still := [cell for cell in corrections.look_after if cell in table.exceptions]:
        is_so = "is" if len(still) == 1 else "are"
        return f"{listed(still, 4)} {is_so} still not as designed: explain what is seen now (e)."
    if corrections.left_over:
        return f"{corrections.left_over} further moves wait: explain what is seen now (e)."
    return "Put right, and proved. One glance over the whole wall: a logs it all; else e."


# --- explanations


def searching_line(cabinets: int, looked: tuple[int, int], seconds: int, width: int) -> Line:
    """Say how far the search for causes is; it may find enough long before it has looked at most."""
    done, most = looked
    what = f"Explaining {counted(cabinets, 'cabinet')}"
    if not most:
        return progress_line(what, 0, 0, width)
    more = f"{done} of at most {most} tries, {seconds} s"
    return progress_line(what, done, most, width, more)


def explanation_titles(explanations: Sequence[Explanation], width: int) -> list[Line]:
    """Name each explanation on one line, by what the others do not say too."""
    common = (
        set.intersection(*(_names(e) for e in explanations)) if len(explanations) > 1 else set()
    )
    titles, before = [], set(common)
    for number, explanation in enumerate(explanations, start=1):
        titles.append(_title(number, explanation, before, width))
        before |= _names(explanation)
    return titles


def _names(explanation: Explanation) -> set[tuple[str, str]]:
    return {(cause.kind, cause.says) for cause in explanation.causes}


def _title(number: int, explanation: Explanation, before: Set[tuple[str, str]], width: int) -> Line:
    own = [c.says for c in explanation.causes if (c.kind, c.says) not in before]
    own = own or [cause.says for cause in explanation.causes]
    if not explanation.causes:
        own = [f"misread, or dead: {listed(explanation.unexplained, 4)}"]
    shared = len(explanation.causes) - len(own) if explanation.causes else 0
    left = len(explanation.unexplained) if explanation.causes else 0
    rest = f"  and {shared} more with it" if shared else ""
    rest += f"  {left} unexplained" if left else ""
    says = together(own)
    text = clipped(says, width - len(rest) - 3)
    return ((f"{number}  ", "key"), (text, "strong"), (rest, "marginal"))


def together(said: Sequence[str]) -> str:
    """Say one thing, or several that are so at the same time."""
    return said[0] if len(said) == 1 else f"{len(said)} together: {'; '.join(said)}"


def explanation_lines(explanation: Explanation, next_look: str | None) -> list[Line]:
    """Say an explanation whole: causes, moves, configuration twin, what else gives the same, the look."""
    lines: list[Line] = []
    many = len(explanation.causes)
    if not many:
        says = "No cause explains what was seen: misread, or of a kind of its own."
        lines.append(((says, "strong"),))
    if many > 1:
        lines.append(((f"These {many} together, to be put right one after the other:", "strong"),))
    for at, cause in enumerate(explanation.causes, start=1):
        count = ((f"{at} of {many}  ", "key"),) if many > 1 else ()
        name = f"{cause.kind.replace('-', ' ')}, {cause.where}: "
        lines.append((*count, (name, "title"), (cause.says, "")))
        by_hand = [*(move.text for move in cause.moves), *cause.handling]
        lines += [((f"  {n}. ", "key"), (text, "")) for n, text in enumerate(by_hand, start=1)]
        edit = cause.configuration_edit
        lead = "  or in the processor: " if by_hand else "  in the processor: "
        lines.append(((lead, "muted"), (edit.text if edit else "no edit does the same", "")))
    if told := explanation.check.text:
        lead, _, rest = told.partition(": ")
        lines.append(((f"{lead.capitalize()}: ", "muted"), (rest, "")))
    if explanation.unexplained:
        lines.append((("Not explained: ", "marginal"), (listed(explanation.unexplained, 12), "")))
        lines.append((("What is certain of them: ", "muted"), ("; ".join(explanation.certain), "")))
    for twin in explanation.twins[:2]:
        says = together([cause.says for cause in twin])
        lines.append((("Or else, with the same picture: ", "muted"), (says, "")))
    look = explanation.look_after or explanation.unexplained
    lines.append((("Afterwards look at: ", "muted"), (listed(look, 12) or "nothing", "")))
    if next_look:
        lines.append((("To tell them apart: ", "key"), (next_look, "")))
    return lines

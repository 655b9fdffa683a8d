"""A correction of the mapping walked like a check: one move at a time, then the look after it.

How far it is follows from the logbook alone: a move that is done is a note on the mapping check, a
cabinet looked at again is a reading logged after it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from commission_tui.logbook.actions import mapping_log as log
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.entry_factory import body
from commission_tui.logbook.entries.logged import Logged
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.state.corrections import correction_body
from commission_tui.logbook.state.state import NO_READINGS, State
from commission_tui.wall.mapping.explanations.explanation import Cause, Explanation
from commission_tui.wall.mapping.moves import MOVES_AT_ONCE
from commission_tui.wall.model.location import Cell

_WITHDRAWN = "not so after all"
_CHECKED_AT_ONCE = 6
"""Cables and places held against the drawing at once; of more, a look tells sooner."""


@dataclass(frozen=True, slots=True)
class CorrectionStep:
    """One thing to do at the wall or in the processor."""

    text: str
    cause: str
    """What it puts right, in one sentence."""
    unplugged: frozenset[Cell] = frozenset()
    """Cabinets at which the cable hangs that is taken out."""
    plugged: frozenset[Cell] = frozenset()
    """Cabinets at which it, or another, hangs afterwards."""
    is_further_try: bool = False
    """Of no use once an earlier step for the same cause was done: first it is looked at."""
    is_instead: bool = False
    """Of no use once the step before it was done, which it stands for where that cannot be."""
    at: frozenset[Cell] = frozenset()
    """Cabinets where one goes for it, when it is no plug."""


@dataclass(frozen=True, slots=True)
class CorrectionList:
    """What is to be done before the next look, and where to look then."""

    steps: tuple[CorrectionStep, ...]
    look_after: tuple[Cell, ...]
    left_over: int
    """Further steps, which wait until what was seen then is explained anew."""
    changes: tuple[Cell, ...]
    """The cabinets whose picture the steps change, so that what they showed before is out of date."""
    since: str
    """Id of the latest reading when it was drawn up; what was logged before does not count."""


@dataclass(frozen=True, slots=True)
class Progress:
    """How far a correction list is."""

    done: tuple[Logged[e.Note], ...]
    next_step: CorrectionStep | None
    to_look: tuple[Cell, ...]
    """Cabinets still to be looked at, once every step is done."""

    @property
    def is_finished(self) -> bool:
        return self.next_step is None and not self.to_look


def correction_list(
    state: State, explanation: Explanation, *, by_configuration: bool = False
) -> CorrectionList:
    """Return the steps of an explanation, whole causes, as many as are to be done at once.

    Parameters
    ----------
    state
        The job's state.
    explanation
        The one chosen.
    by_configuration
        Edit the processor's configuration where that does the same as the plugs.
    """
    lists = [list(_steps(cause, by_configuration)) for cause in explanation.causes]
    taken = 1
    while taken < len(lists) and sum(map(len, lists[: taken + 1])) <= MOVES_AT_ONCE:
        taken += 1
    steps = list(dict.fromkeys(step for steps in lists[:taken] for step in steps))
    everything = len(dict.fromkeys(step for steps in lists for step in steps))
    check = explanation.check
    little = 0 < check.count <= _CHECKED_AT_ONCE or (check.alike and not check.count)
    if everything == len(steps) < MOVES_AT_ONCE and little:
        cables = (*check.jumpers, *check.alike)
        ends = frozenset(Cell.parse(name) for pair in cables for name in pair if name[0] == "R")
        text = f"{check.text}; put right what differs"
        steps.append(
            CorrectionStep(text, "it shows the same, or nobody looked there", frozenset(), ends)
        )
        everything += 1
    now = tuple(steps[:MOVES_AT_ONCE])
    if not explanation.causes:
        look = explanation.unexplained
    elif everything == len(now):
        look = explanation.look_after
    else:
        look = tuple(sorted({c for cause in explanation.causes[:taken] for c in cause.proved_by}))
    changes = tuple(sorted({c for cause in explanation.causes[:taken] for c in cause.changes}))
    read = state.readings.get(log.mapping_check_id(state), NO_READINGS).values()
    since = max((slot[-1].id for slot in read if slot), default="")
    return CorrectionList(now, look, everything - len(now), changes, since)


def _steps(cause: Cause, by_configuration: bool) -> Iterator[CorrectionStep]:
    edit = cause.configuration_edit
    if edit is not None and (by_configuration or not (cause.moves or cause.handling)):
        at = frozenset(cause.proved_by)
        yield CorrectionStep(f"in the processor {edit.text}", cause.says, at=at)
        return
    for move in cause.moves:
        gone = move.removed.ends if move.removed else frozenset()
        yield CorrectionStep(
            move.text, cause.says, gone, move.added.ends if move.added else frozenset()
        )
    # Where a cable is missed and none is to be moved, its two ends are where to look.
    ends = frozenset(
        Cell.parse(name) for pair in cause.jumpers.add for name in pair if name.startswith("R")
    )
    for number, text in enumerate(cause.handling):
        at = frozenset() if cause.moves else ends
        yield CorrectionStep(
            text,
            cause.says,
            frozenset(),
            at,
            is_further_try=number > 0 and not cause.moves,
            is_instead=bool(cause.moves) and cause.kind in ("loop-closed", "port-boundary-slipped"),
            at=frozenset(cause.proved_by),
        )


def progress(state: State, corrections: CorrectionList) -> Progress:
    """Return how far a correction list is, from what was logged since it was drawn up."""
    texts = {f"{how}{step.text}" for step in corrections.steps for how in (log.DONE, log.NEEDLESS)}
    check = log.mapping_check_id(state)
    notes = tuple(
        note
        for note in state.notes
        if note.body.check == check and note.id > corrections.since and note.body.text in texts
    )
    following = _following(corrections, {note.body.text for note in notes})
    if following is not None:
        return Progress(notes, following, ())
    after = max((note.id for note in notes), default=corrections.since)
    left = [cell for cell in corrections.look_after if not _looked_since(state, cell, after)]
    return Progress(notes, None, tuple(left))


def _following(corrections: CorrectionList, logged: set[str]) -> CorrectionStep | None:
    """Return the first step that is neither logged nor of no use any more."""
    tried: set[str] = set()
    was_done = False
    for step in corrections.steps:
        if log.DONE + step.text in logged:
            tried.add(step.cause)
            was_done = True
        elif log.NEEDLESS + step.text in logged:
            was_done = False
        elif not ((step.is_further_try and step.cause in tried) or (step.is_instead and was_done)):
            return step
    return None


def _looked_since(state: State, cell: Cell, entry_id: str) -> bool:
    slot = state.slot(log.mapping_check_id(state), log.SEEN, str(cell))
    return any(r.id > entry_id and r.body.value != log.UNSEEN for r in slot)


def step_bodies(
    job: OpenJob, corrections: CorrectionList, step: CorrectionStep, *, needless: bool = False
) -> list[e.Body]:
    """Return the entries that say a step was done, or was found not to be needed.

    After the last step what the wall showed before is out of date: nobody has looked there since.
    """
    state, text = job.state, f"{log.NEEDLESS if needless else log.DONE}{step.text}"
    check = log.mapping_check_id(state)
    bodies: list[e.Body] = [body(e.Note, text=text, check=check)]
    logged = {note.body.text for note in progress(state, corrections).done} | {text}
    if _following(corrections, logged) is None and any(t.startswith(log.DONE) for t in logged):
        wrong = set(log.seen_table(state).exceptions)
        bodies += [
            job.reading(check, log.SEEN, str(cell), log.UNSEEN)
            for cell in corrections.changes
            if cell in wrong
        ]
    return bodies


def undo_bodies(state: State, corrections: CorrectionList | None) -> list[e.Body]:
    """Return what withdraws the last step, with what it put out of date, or the look logged since."""
    steps = progress(state, corrections).done if corrections else ()
    notes = sorted((*steps[-1:], *log.other_looks(state)[-1:]), key=lambda note: note.id)
    if not notes:
        return []
    last = notes[-1].id
    changes = corrections.changes if corrections and steps and steps[-1].id == last else ()
    cells = (state.latest(log.mapping_check_id(state), log.SEEN, str(cell)) for cell in changes)
    dated = [r.id for r in cells if r is not None and r.id > last and r.body.value == log.UNSEEN]
    return [correction_body(state, entry_id, None, _WITHDRAWN) for entry_id in (last, *dated)]

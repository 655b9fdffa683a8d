"""What may be wrong with the mapping, how to put it right, and where to look next."""

from __future__ import annotations

from collections.abc import Mapping, Sequence, Set
from dataclasses import replace
from functools import partial
from types import MappingProxyType

from commission_tui.errors import InputError
from commission_tui.progress import Progress, unwatched
from commission_tui.wall.mapping.cables.evidence import Evidence, feeds_of
from commission_tui.wall.mapping.cables.routes import Routes
from commission_tui.wall.mapping.configuration.search import (
    CAUSE,
    LONE,
    MOST_STATES,
    NO_BOUND,
    TELLING,
    Search,
)
from commission_tui.wall.mapping.explanations.cable_drafts import CableReader, config_lineages
from commission_tui.wall.mapping.explanations.certainties import certain_parts
from commission_tui.wall.mapping.explanations.drafts import CableDraft, Draft, SearchDraft
from commission_tui.wall.mapping.explanations.explanation import Diagnosis, Explanation
from commission_tui.wall.mapping.explanations.guesses import (
    Guesses,
    answers_against,
    is_as_drawn,
    look_text,
)
from commission_tui.wall.mapping.layout import UNKNOWN, Layout
from commission_tui.wall.mapping.moves import MOVES_AT_ONCE
from commission_tui.wall.mapping.next_look import NextLook
from commission_tui.wall.mapping.observed.answers import Answers
from commission_tui.wall.mapping.observed.observation import Dimness, Observation, Observations
from commission_tui.wall.mapping.observed.tile_faces import Surface, read_surfaces
from commission_tui.wall.model.location import Cell
from commission_tui.wall.model.wall_model import Wall

EXPLANATIONS = 3
_CONSIDERED = 40
_LINEAGES = 12
_FAR = 2 * CAUSE
"""Explanations this much worse than the first are left out, but for the second of all."""
_FEWEST, _LEAST = 2, 4


def diagnose(
    wall: Wall,
    observations: Observations,
    answers: Mapping[str, str] = MappingProxyType({}),
    progress: Progress = unwatched,
) -> Diagnosis:
    """Explain what the cabinets show by the fewest causes.

    `answers` tells what else was looked at: ``circuit C2`` and ``R1C5 link`` on or off, ``R1C5
    chain`` the chain number that the processor shows there, such as ``P1.5``, ``R1C5 cable`` where
    the cable from its output leads (``R2C7 input``, ``R2C7 output``, a port or ``none``).
    `progress` is told how many sets of causes were looked at, and again for each explanation drafted.

    Raises
    ------
    InputError
        When a cabinet or a number is not of this wall, or the wall names no chains.
    """
    layout = Layout(wall)
    for cell, reading in observations.items():
        for named in (cell, reading.seen):
            if isinstance(named, Cell) and named not in layout.index:
                raise InputError(f"position: found {named}, expected a cabinet of this wall")
    confirmed = frozenset(layout.index[c] for c, r in observations.items() if r.confirmed)
    ways = [(s, start) for s in read_surfaces(layout, observations) for start in s.starts]
    looked = Answers(layout, answers)
    routes, as_drawn = Routes(layout), is_as_drawn(layout, looked)
    feeds = [feed for feed in feeds_of(layout) if looked.breakers.get(feed.name) != "on"]
    drafts: list[Draft] = []
    guesses: Guesses | None = None
    most = len(ways) * MOST_STATES
    go_on = partial(progress, 0, most)
    for number, (surface, start) in enumerate(ways):
        before = number * MOST_STATES
        evidence = Evidence(layout, routes, start, surface.seen, feeds, confirmed, looked.links)
        reader = CableReader(evidence)
        if number == 0 and not surface.causes:
            guesses = Guesses.of(reader, looked)
            drafts += guesses.drafts(surface)
        whole = [reading.score for reading in reader.readings(()) if reading.is_whole]
        bound = min([*whole, *(draft.score for draft in drafts)], default=NO_BOUND)
        search = Search(layout, surface.seen, start, confirmed, bound)
        states = search.run(partial(_noted, progress, before, most))
        go_on = partial(progress, before + search.looked, most)
        for state in states[:_CONSIDERED]:
            go_on()
            drafts.append(SearchDraft(evidence, surface, state))
        lineages = config_lineages((state.edits for state in states), start)[:_LINEAGES]
        for cables in (*reader.readings(lineages), *reader.entries(as_drawn=as_drawn)):
            go_on()
            drafts.append(CableDraft(evidence, surface, cables))
    odd = _odd(observations)
    drafts = [one for one in drafts if not (odd and one.names and len(one.unexplained) >= len(odd))]
    for draft in drafts:
        draft.against = answers_against(draft, looked)
    ranked = _ranked(drafts, odd) if drafts else []
    explanations: list[Explanation] = []
    if not ranked or ranked[0].contradicts(odd):
        explanations.append(_bare(layout, odd))
    for draft in ranked:
        go_on()
        one = draft.explanation()
        if all(one.deeds != other.deeds for other in explanations):
            explanations.append(one)
    if not explanations[0].causes and explanations[0].explained:
        return Diagnosis((explanations[0],), None)
    if len(explanations) == 1 and explanations[0].causes:
        explanations.append(_bare(layout, odd))
    explanations = [
        replace(one, certain=certain_parts(layout, observations, one.unexplained))
        for one in explanations[:EXPLANATIONS]
    ]
    look = guesses.look(looked) if guesses else None
    if look is not None:
        return Diagnosis(tuple(explanations), look_text(look, explanations), look, look)
    surface = ranked[0].surface if ranked else ways[0][0]
    says, goes_to = _next_look(layout, surface, explanations, observations)
    return Diagnosis(tuple(explanations), says, None, goes_to)


def _noted(progress: Progress, before: int, most: int, looked: int) -> None:
    progress(before + looked, most)


def _odd(observations: Observations) -> frozenset[Cell]:
    """Return the cabinets that do not show their own tile, upright and in place."""
    return frozenset(
        cell
        for cell, reading in observations.items()
        if reading.seen is not None and replace(reading, confirmed=False) != Observation(cell)
    )


def _bare(layout: Layout, odd: Set[Cell]) -> Explanation:
    """Return what is left to say without any cause: that much was read wrongly."""
    shows: dict[Cell, Cell | Dimness | None] = {cell: cell for cell in layout.cells}
    return Explanation((), tuple(sorted(odd)), 0, TELLING * len(odd), (), shows)


def _ranked(drafts: list[Draft], odd: Set[Cell]) -> list[Draft]:
    """Return the best few; those that give the same table become each other's twins.

    What contradicts a cabinet that was seen as designed comes behind all that does not.
    """
    drafts.sort(key=lambda draft: (draft.contradicts(odd), draft.score + draft.against))
    far = drafts[0].score + drafts[0].against + _FAR
    drafts = [
        draft for n, draft in enumerate(drafts) if n < _LEAST or draft.score + draft.against <= far
    ]
    drafts.sort(
        key=lambda draft: (
            draft.contradicts(odd),
            draft.score + draft.against,
            min(draft.unlikely, 0),
            *draft.likelihood,
        )
    )
    firsts: dict[tuple[object, ...], Draft] = {}
    for draft in drafts:
        first = firsts.setdefault((id(draft.surface), *draft.table), draft)
        if len(first.names) == len(draft.names) or first.start is not draft.start:
            first.twins.setdefault(draft.names, tuple(draft.causes))
    ranked = sorted(
        firsts.values(),
        key=lambda draft: (
            draft.contradicts(odd),
            draft.score + draft.against,
            draft.unlikely,
            draft.cost,
        ),
    )
    close = sum(draft.score + draft.against <= ranked[0].score + _FAR for draft in ranked)
    return ranked[: min(max(close, _FEWEST), EXPLANATIONS)]


_Sent = tuple[str | None, NextLook | None]
"""What a person is asked to look at, in words and as the place."""


def _next_look(
    layout: Layout,
    surface: Surface,
    explanations: Sequence[Explanation],
    observations: Observations,
) -> _Sent:
    first = explanations[0]
    rivals = [other for other in explanations[1:] if other.score <= first.score + LONE]
    if rivals and (look := _separating(layout, surface, [first, *rivals])):
        return look
    if first.unexplained and len(first.unexplained) <= MOVES_AT_ONCE:
        turns = {cell: observations.get(cell, Observation()).turns for cell in first.unexplained}
        again = [f"{cell} ({how})" if how else str(cell) for cell, how in turns.items()]
        return "look again at " + ", ".join(again), NextLook("cabinet", str(first.unexplained[0]))
    return _chain_look(layout, first)


def _separating(layout: Layout, surface: Surface, rivals: Sequence[Explanation]) -> _Sent | None:
    """Name the cabinet on which most rivals differ, one not looked at if there is any."""
    answers = {cell: {str(rival.shows[cell]) for rival in rivals} for cell in layout.cells}
    differing = [cell for cell in layout.cells if len(answers[cell]) > 1]
    unseen = [cell for cell in differing if surface.seen[layout.index[cell]] == UNKNOWN]
    best = max(unseen or differing, key=lambda cell: len(answers[cell]), default=None)
    if best is None:
        return None
    if best not in unseen:
        return f"look again at {best}", NextLook("cabinet", str(best))
    speak = ", ".join(
        f"{rival.shows[best] or 'anything else'} speaks for explanation {number}"
        for number, rival in enumerate(rivals, start=1)
    )
    return f"look at {best}: {speak}", NextLook("cabinet", str(best))


def _chain_look(layout: Layout, first: Explanation) -> _Sent:
    """Name the cabinet whose chain number tells a cabling fault from a configuration fault."""
    for cause in first.causes:
        place, edit = None, cause.configuration_edit
        if edit and (cause.moves or edit.takes or edit.whole or first.twins):
            place = next((layout.wall.chain_place(c) for c in cause.changes), None)
        if place is not None:
            cell = cause.changes[0]
            says = (
                f"read the chain number on {cell}: P{place[0]}.{place[1]} as drawn means the "
                "configuration is wrong, any other means the cabling is"
            )
            return says, NextLook("chain number", str(cell))
    return None, None

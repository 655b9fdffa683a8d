"""What is still possible after few looks: single faults as explanations, and the next look."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from commission_tui.wall.mapping.configuration.search import CAUSE
from commission_tui.wall.mapping.explanations.cable_drafts import CableReader
from commission_tui.wall.mapping.explanations.drafts import CableDraft, Draft
from commission_tui.wall.mapping.explanations.explanation import Explanation
from commission_tui.wall.mapping.layout import UNKNOWN, Layout
from commission_tui.wall.mapping.next_look import (
    LookKind,
    NextLook,
    SingleFault,
    SingleFaults,
    best_look,
)
from commission_tui.wall.mapping.observed.answers import Answers
from commission_tui.wall.mapping.observed.tile_faces import Surface
from commission_tui.wall.model.location import Cell

_FIRST = 3
_AGAINST = 1000
"""What a chain number weighs that contradicts an explanation."""


@dataclass(frozen=True, slots=True)
class Guesses:
    """The single faults that a table leaves possible, when not all of it was looked at."""

    reader: CableReader
    faults: tuple[SingleFault, ...]

    @classmethod
    def of(cls, reader: CableReader, answers: Answers) -> Guesses:
        layout, seen = reader.layout, reader.seen
        if all(seen[i] > UNKNOWN for i in reader.routes.at if i >= 0):
            return cls(reader, ())
        faults = SingleFaults(reader.evidence, answers.cables)
        return cls(reader, tuple(f for f in faults.found() if _agrees(layout, f, answers)))

    def drafts(self, surface: Surface) -> Iterator[CableDraft]:
        """Yield the likeliest as explanations; what gives the same table becomes a twin."""
        firsts: dict[frozenset[tuple[int, int]], CableDraft] = {}
        for rank, fault in enumerate(self.faults):
            key = frozenset(fault.changes.items())
            if key not in firsts and len(firsts) >= _FIRST:
                continue
            draft = self._draft(surface, fault)
            draft.unlikely = rank - len(self.faults)
            first = firsts.setdefault(key, draft)
            if first is not draft:
                first.twins.setdefault(draft.names, tuple(draft.causes))
        yield from firsts.values()

    def _draft(self, surface: Surface, fault: SingleFault) -> CableDraft:
        reader = self.reader
        table = reader.layout.table((i, fault.shows(i)) for i in reader.routes.at if i >= 0)
        reading = CableReader(replace(reader.evidence, seen=table)).with_edits(
            () if fault.edit is None else (fault.edit,)
        )
        # One act is one cause, though where two feeds meet its picture reads as if more were wrong.
        reading = replace(reading, score=min(reading.score, CAUSE))
        return CableDraft(reader.evidence, surface, reading)

    def look(self, answers: Answers) -> NextLook | None:
        """Return the look that tells most between them."""
        if not self.faults:
            return None
        looked = {i for i, shown in enumerate(self.reader.seen) if shown > UNKNOWN}
        chains = (str(self.reader.layout.cells[i]) for i in answers.chains)
        answered = {*answers.breakers, *chains}
        return best_look(self.reader.layout, self.faults, looked, answered)


def _agrees(layout: Layout, fault: SingleFault, answers: Answers) -> bool:
    """Say whether a fault agrees with breakers and chain numbers that were looked at."""
    if any(seen == "off" and fault.feed != name for name, seen in answers.breakers.items()):
        return False
    for i, seen in answers.chains.items():
        tile = i if fault.edit is not None else fault.shows(i)
        if tile >= 0 and _place(layout, tile) != seen:
            return False
    return True


def _place(layout: Layout, cabinet: int) -> str:
    place = layout.wall.chain_place(layout.cells[cabinet])
    return f"P{place[0]}.{place[1]}" if place else "none"


def is_as_drawn(layout: Layout, answers: Answers) -> bool:
    """Say whether a chain number was read that is as drawn."""
    return any(_place(layout, i) == seen for i, seen in answers.chains.items())


def answers_against(draft: Draft, answers: Answers) -> int:
    """Return what the chain numbers that were read and the cables followed weigh against a draft."""
    places = {i: f"P{port}.{k}" for i, (port, k) in draft.places().items()}
    wrong = sum(places.get(i, seen) != seen for i, seen in answers.chains.items())
    ends = answers.cables.items()
    wrong += sum(end is not None and not draft.joins(node, end[0]) for node, end in ends)
    return _AGAINST * wrong


_LOOKS: Mapping[LookKind, str] = {
    "breaker": "look at the breaker of circuit {at}",
    "cable": "follow the cable from the output of {at} to its other end: in another chain, two plugs "
    "are exchanged, and that chain is dark too",
    "chain number": "read the chain number on {at}: as drawn means the configuration is wrong, any "
    "other means the cabling is",
}


def look_text(look: NextLook, explanations: Sequence[Explanation]) -> str:
    """Say where to look and what each answer speaks for."""
    if look.kind in _LOOKS:
        return _LOOKS[look.kind].format(at=look.at)
    cell = Cell.parse(look.at)
    speaks: dict[str, list[str]] = {}
    for number, explanation in enumerate(explanations, start=1):
        speaks.setdefault(str(explanation.shows[cell] or "anything else"), []).append(str(number))
    if len(speaks) == 1:
        return f"look at {look.at}: of all that is still possible it tells most"
    answers = ", ".join(
        f"{shown} speaks for explanation {' and '.join(numbers)}"
        for shown, numbers in speaks.items()
    )
    return f"look at {look.at}: {answers}"

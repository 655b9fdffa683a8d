"""What two people logged of one thing without knowing of each other, and faults that may be one."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, MutableMapping
from dataclasses import dataclass
from functools import partial
from typing import Literal

from commission_tui.figures import reading_text
from commission_tui.logbook.entries import chain
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.integrity.subjects import Said, Subject, speak, subjects, title_of
from commission_tui.logbook.judging.visits import readings_between, visit_of
from commission_tui.logbook.state.entry_words import words_of
from commission_tui.logbook.state.state import Fault, Readings, State
from commission_tui.text import listed
from commission_tui.wall.model.location import known_location


def people_who_read(slot: Readings, state: State) -> tuple[str, ...]:
    """Return who read something on the visit on which it was read last, the first first."""
    return readers(_of_last_visit(slot, state))


def _of_last_visit(slot: Readings, state: State) -> Readings:
    if len(slot) > 1 and state.visits:
        last = visit_of(state, slot[-1].id)
        return readings_between(slot, state.visits[last - 1].id if last else "")
    return slot


def readers(slot: Readings) -> tuple[str, ...]:
    """Return who read something, the first first."""
    return tuple(dict.fromkeys(logged.by for logged in slot))


Sort = Literal["reading", "correction", "entry", "fault"]


@dataclass(frozen=True, slots=True)
class Clash:
    """One thing of which more than one person said something."""

    sort: Sort
    what: str
    place: str
    said: tuple[Said, ...]
    """In the order of their ids."""
    stands: str
    """What counts now."""


def clashes(state: State) -> Iterator[Clash]:
    """Yield all that clashes in a job, as it stands now."""
    digests: dict[str, str] = {}
    yield from made_apart(state, digests, readings=True)
    yield from found_by_several(state, digests)


def made_apart(
    state: State, digests: MutableMapping[str, str], *, readings: bool = False
) -> Iterator[Clash]:
    """Yield what entries say otherwise of one thing of which no writer knew the other's.

    `digests` are kept from one call to the next; `readings` are told too, where that is said.
    """
    if not chain.has_forks(state.entries.values()):
        return
    found: list[tuple[Sort, Subject]] = []
    if readings:
        found += [("reading", one) for one in _readings(state)]
    found += [("correction", one) for one in _corrected(state)]
    found += [("entry", one) for one in subjects(state)]
    groups = [one.said for _, one in found]
    left = chain.left_apart(state.entries.values(), groups, digests)
    for (sort, subject), apart in zip(found, left, strict=True):
        said = tuple(subject.said[one] for one in sorted(apart))
        values = {one.value for one in said}
        if len(said) < 2 or (len(values) < 2 and not subject.alike_too):
            continue
        # What corrects one entry twice is told as that.
        if sort != "correction" and len({subject.of[one] for one in apart}) < 2:
            continue
        yield Clash(sort, subject.what, subject.place, said, subject.now())


def _readings(state: State) -> Iterator[Subject]:
    """Yield each place that was read more than once on the visit on which it was read last."""
    for check, slots in sorted(state.readings.items()):
        for (field, place), slot in sorted(slots.items()):
            last = _of_last_visit(slot, state)
            if len(last) < 2:
                continue
            subject = Subject(_field_name(state, check, field), place)
            for logged in last:
                speak(state, subject, logged.id, partial(_value, slot[-1].body))
            subject.stands = _value(slot[-1].body, slot[-1].body)
            yield subject


def _corrected(state: State) -> Iterator[Subject]:
    """Yield each entry that was corrected more than once."""
    for corrected, made in sorted(state.corrections.items()):
        if len(made) < 2 or corrected not in state.entries:
            continue
        written = state.entries[corrected].body
        what: str = written.kind
        if isinstance(written, e.ReadingTaken):
            what = _field_name(state, written.check, written.field)
        place = str(getattr(written, "place", "") or getattr(written, "location", ""))
        subject = Subject(what, place)
        value = partial(_value, written)
        speak(state, subject, corrected, value)
        subject.said.pop(corrected, None)
        now = state.effective(corrected)
        subject.stands = "withdrawn" if now is None else value(now)
        yield subject


def found_by_several(
    state: State, digests: MutableMapping[str, str] | None = None
) -> Iterator[Clash]:
    """Yield the faults that may be one: logged at one place by two, or apart, and none is verified."""
    alike: dict[tuple[str, str], list[Fault]] = {}
    for fault in state.faults:
        if fault.state != "verified":
            alike.setdefault(_alike_by(fault), []).append(fault)
    groups = [faults for faults in alike.values() if len(faults) > 1]
    left = [[fault.id for fault in faults] for faults in groups]
    entries = state.entries.values()
    is_apart = [False] * len(groups)
    if left and chain.has_forks(entries):
        is_apart = [len(apart) > 1 for apart in chain.left_apart(entries, left, digests)]
    for faults, apart in zip(groups, is_apart, strict=True):
        if apart or len({fault.found.by for fault in faults}) > 1:
            found = faults[0].found.body
            said = tuple(Said(one.found.by, f"fault {one.number}", one.id) for one in faults)
            stands = " and ".join(one.value for one in said)
            yield Clash("fault", found.called, found.location, said, stands)


def _alike_by(fault: Fault) -> tuple[str, str]:
    """Return what two faults have in common that may be one; a LED has one fault, whatever it is called."""
    body = fault.found.body
    at = known_location(body.location)
    return body.location, "" if at is not None and at.form == "pixel" else body.called


def told(found: Iterable[Clash]) -> Iterator[str]:
    """Say each thing once, with its places; of many the first."""
    groups: dict[tuple[str, str], list[Clash]] = {}
    for clash in found:
        of = "" if clash.sort == "fault" else clash.what
        groups.setdefault((clash.sort, of), []).append(clash)
    for (sort, what), group in groups.items():
        people = " and ".join(dict.fromkeys(one.by for clash in group for one in clash.said))
        places = listed([clash_words(clash) for clash in group], between="; ")
        if sort == "reading":
            yield f"{what}: read by {people}; both are kept, the latest counts: {places}"
        elif sort == "entry":
            apart = f"{what}: logged by {people}, neither knowing of the other"
            yield f"{apart}: {places}"
        elif sort == "correction":
            apart = (
                f"{what}: corrected by {people}, neither knowing of the other; the latest counts"
            )
            yield f"{apart}: {places}"
        else:
            yield (
                f"found by {people}, may be one fault each; both count until one is withdrawn "
                f"(e on the punch list): {places}"
            )


def clash_words(clash: Clash) -> str:
    """Say who logged what of one thing, and what counts now."""
    said = ", ".join(f"{one.by} {one.value}" for one in clash.said)
    if clash.sort == "fault":
        return f"{clash.what} at {clash.place}: {said}"
    place = f"{clash.place}: " if clash.place else ""
    return f"{place}{said}; now {clash.stands}"


def _value(written: e.Body, body: e.Body) -> str:
    """Say what an entry says now that was written otherwise; of a reading that was moved also where to."""
    if not isinstance(body, e.ReadingTaken):
        return words_of(body)
    value = reading_text(body.value, body.unit)
    is_there = isinstance(written, e.ReadingTaken) and body.place == written.place
    return value if is_there else f"{value} at {body.place}"


def _field_name(state: State, check: str, field: str) -> str:
    title = title_of(state, check)
    known = check in state.whole_checklist
    return f"{title}, {state.whole_checklist.check(check).label_of(field) if known else field}"

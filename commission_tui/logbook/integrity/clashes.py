"""What two people logged of one thing without knowing of each other: readings, corrections, faults."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Literal

from commission_tui.figures import reading_text
from commission_tui.logbook.entries import chain
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.judging.visits import readings_between, visit_of
from commission_tui.logbook.state.state import Fault, Readings, State
from commission_tui.text import listed
from commission_tui.wall.model.location import known_location


def people_who_read(slot: Readings, state: State) -> tuple[str, ...]:
    """Return who read something on the visit on which it was read last, the first first."""
    if len(slot) > 1 and state.visits:
        last = visit_of(state, slot[-1].id)
        slot = readings_between(slot, state.visits[last - 1].id if last else "")
    return readers(slot)


def readers(slot: Readings) -> tuple[str, ...]:
    """Return who read something, the first first."""
    return tuple(dict.fromkeys(logged.by for logged in slot))


@dataclass(frozen=True, slots=True)
class Said:
    """What one person logged."""

    by: str
    value: str
    entry: str
    """Id of the entry that says it."""


@dataclass(frozen=True, slots=True)
class Clash:
    """One thing of which more than one person said something."""

    sort: Literal["reading", "correction", "fault"]
    what: str
    place: str
    said: tuple[Said, ...]
    """In the order of their ids."""
    stands: str
    """What counts now."""


def clashes(state: State) -> Iterator[Clash]:
    """Yield all that clashes in a job, as it stands now."""
    yield from _read_apart(state)
    yield from corrected_apart(state)
    yield from found_by_several(state)


def _read_apart(state: State) -> Iterator[Clash]:
    """Yield each place that people read differently of whom none knew the other's reading."""
    several = {
        (check, field, place): {logged.by: logged for logged in slot if logged.by in people}
        for check, slots in sorted(state.readings.items())
        for (field, place), slot in sorted(slots.items())
        if len(people := people_who_read(slot, state)) > 1
    }
    if not several:
        return
    ids = [sorted(logged.id for logged in last.values()) for last in several.values()]
    left = chain.left_apart(state.entries.values(), ids)
    for ((check, field, place), last), apart in zip(several.items(), left, strict=True):
        read = {logged.id: logged for logged in last.values()}
        said = tuple(Said(read[one].by, _value(state, read[one].body, one), one) for one in apart)
        if len({one.value for one in said}) > 1:
            stands = _value(state, state.slot(check, field, place)[-1].body, "")
            yield Clash("reading", _field_name(state, check, field), place, said, stands)


def corrected_apart(state: State) -> Iterator[Clash]:
    """Yield each entry that was corrected by people of whom none knew the other's correction."""
    several = {
        corrected: {entry.id: entry for entry in made if not chain.is_contact(entry)}
        for corrected, made in sorted(state.corrections.items())
        if len(made) > 1 and corrected in state.entries
    }
    if not several:
        return
    left = chain.left_apart(state.entries.values(), [list(made) for made in several.values()])
    for (corrected, made), apart in zip(several.items(), left, strict=True):
        written = state.entries[corrected].body
        said = tuple(
            Said(made[one].by, _corrected(state, written, body.replacement, one), one)
            for one in apart
            if isinstance(body := made[one].body, e.Correction)
        )
        if len({one.value for one in said}) > 1:
            what: str = written.kind
            if isinstance(written, e.ReadingTaken):
                what = _field_name(state, written.check, written.field)
            place = str(getattr(written, "place", "") or getattr(written, "location", ""))
            stands = _corrected(state, written, state.effective(corrected), corrected)
            yield Clash("correction", what, place, said, stands)


def found_by_several(state: State) -> Iterator[Clash]:
    """Yield the faults that may be one: two people logged them at one place, and none is verified."""
    alike: dict[tuple[str, str], list[Fault]] = {}
    for fault in state.faults:
        if fault.state != "verified":
            alike.setdefault(_alike_by(fault), []).append(fault)
    for faults in alike.values():
        if len({fault.found.by for fault in faults}) > 1:
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


def _value(state: State, body: e.Body | None, entry_id: str) -> str:
    if isinstance(body, e.ReadingTaken):
        return reading_text(body.value, body.unit)
    # Here, not at the top: only what clashes needs it (`tests/benchmarks/bench_screens`).
    from commission_tui.logbook.state.entry_words import entry_words

    return entry_words(state, body, entry_id)


def _corrected(state: State, written: e.Body, body: e.Body | None, entry_id: str) -> str:
    value = _value(state, body, entry_id)
    if not isinstance(body, e.ReadingTaken) or not isinstance(written, e.ReadingTaken):
        return value
    return value if body.place == written.place else f"{value} at {body.place}"


def _field_name(state: State, check: str, field: str) -> str:
    if check not in state.whole_checklist:
        return f"{check}, {field}"
    known = state.whole_checklist.check(check)
    return f"{known.title}, {known.label_of(field)}"

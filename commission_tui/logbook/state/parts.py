"""Which part, by serial, is where; what was there before; what is left on the shelf.

Everything follows from the entries `PartFitted` and `SparePut`: a place holds what was fitted there
last, a spare leaves the shelf when it is fitted.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from operator import attrgetter
from typing import get_args

from commission_tui.errors import InputError, did_you_mean
from commission_tui.logbook.entries.entry_factory import body, changed_body
from commission_tui.logbook.entries.entry_parts import Part
from commission_tui.logbook.entries.logged import Logged
from commission_tui.logbook.entries.models import PartFitted, SparePut
from commission_tui.logbook.state.state import State
from commission_tui.text import quoted
from commission_tui.wall.model.location import parse_location
from commission_tui.wall.model.wall_model import Wall

PARTS: tuple[str, ...] = get_args(Part)
NO_BATCH = "not recorded"
"""Stands for the batch of parts of which none is recorded."""
PartPlace = tuple[str, str]
"""What sort of part, and where."""


@dataclass(slots=True)
class Inventory:
    """What is where at one moment; `take` lets one more entry happen."""

    fitted: dict[PartPlace, PartFitted] = field(default_factory=dict)
    shelf: dict[str, SparePut] = field(default_factory=dict)
    """Serial to the spare, in the order in which they were put there."""
    _at: dict[str, PartPlace] = field(default_factory=dict)

    def take(self, entry: PartFitted | SparePut) -> None:
        if isinstance(entry, SparePut):
            self.shelf[entry.serial] = entry
            return
        place = (entry.part, entry.location)
        before = self.fitted.get(place)
        if before is not None and self._at.get(before.serial) == place:
            del self._at[before.serial]
        self.fitted[place] = entry
        self._at[entry.serial] = place
        self.shelf.pop(entry.serial, None)

    def where(self, serial: str) -> PartPlace | None:
        """Return where a serial is fitted now."""
        return self._at.get(serial)


def inventory(state: State) -> Inventory:
    """Return what is where now."""
    now = Inventory()
    entries: tuple[Logged[PartFitted | SparePut], ...] = (*state.parts, *state.spares)
    for logged in sorted(entries, key=attrgetter("id")):
        now.take(logged.body)
    return now


def history_of_place(state: State, location: str) -> tuple[Logged[PartFitted], ...]:
    """Return what was fitted at a place, oldest first; of a cabinet also what is inside it.

    Raises
    ------
    InputError
        When the place is not on the wall.
    """
    at = str(state.wall.resolve(parse_location(location)))
    return tuple(
        logged
        for logged in state.parts
        if logged.body.location == at or logged.body.location.startswith(f"{at} ")
    )


def history_of_serial(
    state: State, serial: str
) -> tuple[Logged[PartFitted] | Logged[SparePut], ...]:
    """Return everything that happened to a serial, oldest first.

    Raises
    ------
    InputError
        When no entry names it.
    """
    found: list[Logged[PartFitted] | Logged[SparePut]] = [
        logged for logged in state.parts if serial in (logged.body.serial, logged.body.replaces)
    ]
    found += [logged for logged in state.spares if logged.body.serial == serial]
    if not found:
        known = {part.body.serial for part in state.parts}
        known |= {spare.body.serial for spare in state.spares}
        raise InputError(
            f"serial: found {quoted(serial)}, expected one of this job{did_you_mean(serial, known)}"
        )
    return tuple(sorted(found, key=attrgetter("id")))


def is_exchange(entry: PartFitted) -> bool:
    """Whether a part took another's place: it says so, or it lay on the shelf until then."""
    return entry.replaces is not None or entry.from_spares


def fitting_bodies(
    wall: Wall,
    now: Inventory,
    part: str,
    location: str,
    serial: str,
    *,
    batch: str | None = None,
    replaces: str | None = None,
    from_spares: bool = False,
    note: str = "",
) -> PartFitted:
    """Make the entry for a part at its place: registered, or exchanged for the one that was there.

    A serial that lies on the shelf is taken from there, with its batch, whether that was said or not.

    Raises
    ------
    InputError
        When the place does not suit the part, the serial is fitted elsewhere, it is said to be a
        spare and is none, or what it replaces was not there.
    """
    sort = _part(part)
    at = _location(wall, sort, location)
    spare = now.shelf.get(serial.strip())
    if from_spares and spare is None:
        raise InputError(
            f"serial: found {quoted(serial)}, expected one of the spares{did_you_mean(serial, now.shelf)}"
        )
    if spare is not None and spare.part != sort:
        raise InputError(f"serial: {serial[:40]} is a spare {spare.part}, expected a {sort}")
    _free(now, (sort, at), serial.strip(), replaces)
    return body(
        PartFitted,
        part=sort,
        location=at,
        serial=serial,
        batch=batch or (spare.batch if spare else None),
        replaces=replaces,
        from_spares=spare is not None,
        note=note,
    )


def exchanged_after_all(
    state: State, part: str, location: str, serial: str, replaces: str
) -> tuple[str, PartFitted] | None:
    """Return the entry that only registered this serial here, and the exchange that it should have been.

    None when the serial does not stand there, or took another's place already.
    """
    sort = _part(part)
    at = _location(state.wall, sort, location)
    there = [one for one in state.parts if (one.body.part, one.body.location) == (sort, at)]
    if not there or there[-1].body.serial != serial.strip() or is_exchange(there[-1].body):
        return None
    return there[-1].id, changed_body(there[-1].body, replaces=replaces)


def exchange_bodies(
    wall: Wall, now: Inventory, part: str, first: str, second: str, *, note: str = ""
) -> tuple[PartFitted, PartFitted]:
    """Make the entries for two parts of a sort that change places.

    Raises
    ------
    InputError
        When a place does not suit the part, or no serial is recorded there.
    """
    sort = _part(part)
    places = [_location(wall, sort, location) for location in (first, second)]
    there = [now.fitted.get((sort, at)) for at in places]
    for at, entry in zip(places, there, strict=True):
        if entry is None:
            raise InputError(f"{sort} at {at}: found no serial, expected it registered first")
    if places[0] == places[1]:
        raise InputError(f"location: found {places[0]} twice, expected two places")
    one, two = (entry for entry in there if entry is not None)

    def made(at: str, new: PartFitted, old: PartFitted) -> PartFitted:
        return body(
            PartFitted,
            part=sort,
            location=at,
            serial=new.serial,
            batch=new.batch,
            replaces=old.serial,
            note=note,
        )

    return made(places[0], two, one), made(places[1], one, two)


def _free(now: Inventory, place: PartPlace, serial: str, replaces: str | None) -> None:
    there = now.fitted.get(place)
    elsewhere = now.where(serial)
    if elsewhere is not None and elsewhere != place:
        raise InputError(
            f"serial: {serial[:40]} is fitted as {elsewhere[0]} at {elsewhere[1]}, "
            f"expected one that is free for {place[1]}"
        )
    if there is not None and there.serial == serial:
        raise InputError(f"serial: {serial[:40]} is at {place[1]} already")
    if there is not None and replaces is None:
        raise InputError(
            f"{place[0]} at {place[1]}: it is {there.serial}, expected what replaces it to say so"
        )
    if there is not None and replaces is not None and replaces.strip() != there.serial:
        raise InputError(
            f"replaces: found {quoted(replaces)}, but {there.serial} is the {place[0]} at {place[1]}"
        )
    if there is None and replaces is not None and (at := now.where(replaces.strip())):
        raise InputError(f"replaces: {replaces[:40]} is at {at[1]}, not at {place[1]}")
    if replaces is not None and replaces.strip() == serial:
        raise InputError(f"replaces: found {quoted(replaces)}, which is the new serial itself")


def spare_body(
    now: Inventory, part: str, serial: str, *, batch: str | None = None, kept_at: str | None = None
) -> SparePut:
    """Make the entry for a spare on the shelf.

    Raises
    ------
    InputError
        When the serial is on the shelf already, or fitted.
    """
    sort = _part(part)
    if serial.strip() in now.shelf:
        raise InputError(f"serial: {serial[:40]} is on the shelf already")
    if at := now.where(serial.strip()):
        raise InputError(f"serial: {serial[:40]} is fitted at {at[1]}, expected a spare")
    return body(SparePut, part=sort, serial=serial, batch=batch, kept_at=kept_at)


def _part(part: str) -> str:
    if part not in PARTS:
        raise InputError(
            f"part: found {quoted(part)}, expected one of {', '.join(PARTS)}{did_you_mean(part, PARTS)}"
        )
    return part


def _location(wall: Wall, part: str, location: str) -> str:
    at = wall.resolve(parse_location(location))
    wanted = "module" if part == "module" else "cabinet"
    if at.form != wanted:
        example = "R3C7 m1,2" if wanted == "module" else "R3C7"
        raise InputError(f"location: found {at}, expected a {wanted} like {example} for a {part}")
    return str(at)


def batch_mix(state: State, part: str) -> dict[str, tuple[str, ...]]:
    """Return batch to the places that hold a part of it; parts whose batch is not known apart."""
    mix: dict[str, list[str]] = {}
    for (sort, place), entry in inventory(state).fitted.items():
        if sort == part:
            mix.setdefault(entry.batch or NO_BATCH, []).append(place)
    return {batch: tuple(places) for batch, places in sorted(mix.items())}


def not_registered(state: State, part: str) -> tuple[str, ...]:
    """Return the places of a sort of part where no serial is recorded."""
    fitted = inventory(state).fitted
    return tuple(at for at in places_of(state.wall, part) if (part, at) not in fitted)


def places_of(wall: Wall, part: str) -> Iterator[str]:
    """Return every place of a sort of part on the wall."""
    for cell, cabinet in wall.cabinets.items():
        if part != "module":
            yield str(cell)
            continue
        for row in range(1, cabinet.module_rows + 1):
            for column in range(1, cabinet.module_columns + 1):
                yield f"{cell} m{row},{column}"

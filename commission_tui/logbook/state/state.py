"""The state of a job: everything that follows from its entries (`fold` makes it)."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from operator import attrgetter
from typing import cast

import immutables

from commission_tui.checks.checklists.checklist import Checklist
from commission_tui.errors import InputError
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.entry_parts import TakenException
from commission_tui.logbook.entries.logged import Logged
from commission_tui.wall.model.location import parse_location
from commission_tui.wall.model.time_zones import day_at_the_wall
from commission_tui.wall.model.wall_model import Wall

Slot = tuple[str, str]
"""Field name and place."""
Readings = tuple[Logged[e.ReadingTaken], ...]
"""What was read of one field at one place, in the order of the ids."""
CheckReadings = immutables.Map[Slot, Readings]
Version = tuple[int, str]
"""How many entries something rests on, and the id of the latest: another set of entries has another."""
EVERY_CHECK = ""
"""Stands in `State.versions` for what every verdict rests on."""
NOTHING_YET: Version = (0, "")


@dataclass(frozen=True, slots=True)
class Fault:
    """A punch-list item with its whole history."""

    number: int
    """Counts up in the order of finding; one that is withdrawn keeps its own."""
    found: Logged[e.FaultFound]
    work: tuple[Logged[e.FaultWork], ...] = ()
    photos: tuple[Logged[e.Photo], ...] = ()
    signed_for: Logged[e.Signature] | None = None
    """The signature with which the client took it as it is, if he did."""
    refused: Logged[e.Signature] | None = None
    """With which he refused the wall after that: nothing that it took stands."""

    @property
    def id(self) -> str:
        return self.found.id

    @property
    def state(self) -> str:
        """One of open, mended, verified, accepted: on the punch list, or with the client's signature."""
        return self.worked if self.exception is None else "accepted"

    @property
    def worked(self) -> str:
        """The state by what was logged about it alone, whatever a signature took."""
        last = self.work[-1].body.action if self.work else "reopened"
        return "open" if last == "reopened" else last

    @property
    def exception(self) -> TakenException | None:
        """As what the client's signature took it, unless he refused or something was done about it since."""
        signed, own = self.signed_for, self.id
        if (
            signed is None
            or self.refused is not None
            or (self.work and self.work[-1].id > signed.id)
        ):
            return None
        return next((one for one in signed.body.taken or () if one.fault == own), None)


@dataclass(frozen=True, slots=True)
class State:
    """Everything that follows from the entries so far."""

    job: Logged[e.JobOpened] | None = None
    designs: tuple[Logged[e.Design], ...] = ()
    design: Wall | None = None
    checklists: tuple[Logged[e.ChecklistSet], ...] = ()
    checklist: Checklist = Checklist(())
    """What this job does: what is agreed, and known to apply or not (see `agreed_checks`)."""
    whole_checklist: Checklist = Checklist(())
    """Every check of its checklists."""
    scopes: tuple[Logged[e.ScopeAgreed], ...] = ()
    features: tuple[Logged[e.FeatureSettled], ...] = ()
    instruments: immutables.Map[str, Logged[e.Instrument]] = immutables.Map()
    chosen: tuple[Logged[e.Instrument] | Logged[e.InstrumentChosen], ...] = ()
    readings: immutables.Map[str, CheckReadings] = immutables.Map()
    read_with: immutables.Map[str, frozenset[str]] = immutables.Map()
    """Key of an instrument to the checks of which something was read with it."""
    meters: immutables.Map[str, Logged[e.Instrument]] = immutables.Map()
    """Id of a reading to its meter, where its key was given to several (see `meters_apart`)."""
    skipped: immutables.Map[str, tuple[Logged[e.NotApplicable], ...]] = immutables.Map()
    found: tuple[Logged[e.FaultFound], ...] = ()
    ever_found: tuple[str, ...] = ()
    """Id of each fault, also of those withdrawn: the place here is the number, on paper too."""
    work: immutables.Map[str, tuple[Logged[e.FaultWork], ...]] = immutables.Map()
    notes: tuple[Logged[e.Note], ...] = ()
    photos: tuple[Logged[e.Photo], ...] = ()
    signatures: tuple[Logged[e.Signature], ...] = ()
    before_signing: immutables.Map[str, State] = immutables.Map()
    """Id of each signature to what it was put under."""
    limits: immutables.Map[str, tuple[Logged[e.LimitsFrozen] | Logged[e.LimitChanged], ...]] = (
        immutables.Map()
    )
    settings: tuple[Logged[e.SettingLogged], ...] = ()
    kept_results: tuple[Logged[e.ResultsKept], ...] = ()
    parts: tuple[Logged[e.PartFitted], ...] = ()
    spares: tuple[Logged[e.SparePut], ...] = ()
    visits: tuple[Logged[e.VisitBegun], ...] = ()
    """Begun after the first, which the opening of the job begins."""
    mappings: tuple[Logged[e.TableMapping], ...] = ()
    files: tuple[Logged[e.FileKept], ...] = ()
    people: tuple[Logged[e.Person], ...] = ()
    documents: tuple[Logged[e.DocumentIssued], ...] = ()
    entries: immutables.Map[str, e.Entry] = immutables.Map()
    """By id, in no order: ids sort as they were given."""
    corrections: immutables.Map[str, tuple[e.Entry, ...]] = immutables.Map()
    last_id: str = ""
    last_reading: str = ""
    """Id of the latest reading, which is what a slip just now concerns."""
    versions: immutables.Map[str, Version] = immutables.Map()
    """Check to the version of what its verdict alone rests on (`dependents`)."""

    def version(self, check: str) -> tuple[Version, Version]:
        """Return the version of what a verdict rests on: while it stands, so does the verdict."""
        return (
            self.versions.get(EVERY_CHECK, NOTHING_YET),
            self.versions.get(check, NOTHING_YET),
        )

    @property
    def wall(self) -> Wall:
        """The wall of the latest design; a job always has one."""
        if self.design is None:
            raise LookupError("the job has no design")
        return self.design

    def day(self, at: str) -> date:
        """Return the day of an entry's time at the wall, by which it is judged and printed."""
        return day_at_the_wall(at, self.wall.file.wall.time_zone)

    def place_text(self, location: str) -> str:
        """Say a logged location in full, front and rear; as logged when the wall changed since."""
        try:
            return self.wall.places_text(self.wall.resolve(parse_location(location)))
        except InputError:
            return f"{location} (not on the wall as now designed)"

    @property
    def title(self) -> e.JobOpened:
        """What the job is called; a job always begins with it."""
        if self.job is None:
            raise LookupError("the job was never opened")
        return self.job.body

    @property
    def faults(self) -> tuple[Fault, ...]:
        """The punch list, in the order of finding."""
        photos: dict[str, list[Logged[e.Photo]]] = {}
        for photo in self.photos:
            if photo.body.about:
                photos.setdefault(photo.body.about, []).append(photo)
        numbers = {fault: number for number, fault in enumerate(self.ever_found, start=1)}
        signed = self._signed_for()
        return tuple(
            Fault(
                numbers[found.id],
                found,
                self.work.get(found.id, ()),
                tuple(photos.get(found.id, ())),
                *signed.get(found.id, ()),
            )
            for found in self.found
        )

    def _signed_for(self) -> Mapping[str, tuple[Logged[e.Signature], Logged[e.Signature] | None]]:
        """Return id of each fault to the client's last signature that took it, and his refusal after it."""
        found: dict[str, tuple[Logged[e.Signature], Logged[e.Signature] | None]] = {}
        for logged in self.signatures:
            if logged.body.decision == "refuses":
                found = {fault: (signed, logged) for fault, (signed, _) in found.items()}
            found |= {one.fault: (logged, None) for one in logged.body.taken or () if one.fault}
        return found

    @property
    def withdrawn_faults(self) -> Mapping[int, str]:
        """Return number to id of the faults that are no longer on the punch list."""
        there = {found.id for found in self.found}
        numbered = enumerate(self.ever_found, start=1)
        return {number: fault for number, fault in numbered if fault not in there}

    def instrument_for(self, unit: str) -> Logged[e.Instrument] | None:
        """Return the instrument that was last chosen for a unit."""
        choice = self.choice_for(unit)
        if choice is None:
            return None
        body = choice.body
        return self.instruments.get(body.key if isinstance(body, e.Instrument) else body.instrument)

    def meter_of(self, logged: Logged[e.ReadingTaken]) -> Logged[e.Instrument] | None:
        """Return the meter that a reading was made with, as it stands now."""
        key = logged.body.instrument
        return None if key is None else self.meters.get(logged.id) or self.instruments.get(key)

    def choice_for(self, unit: str) -> Logged[e.Instrument] | Logged[e.InstrumentChosen] | None:
        """Return the entry that last chose an instrument for a unit."""
        return next(
            (
                logged
                for logged in reversed(self.chosen)
                if unit in (b.accuracy if isinstance(b := logged.body, e.Instrument) else b.units)
            ),
            None,
        )

    def latest(self, check: str, field: str, place: str) -> Logged[e.ReadingTaken] | None:
        slot = self.slot(check, field, place)
        return slot[-1] if slot else None

    def slot(self, check: str, field: str, place: str) -> Readings:
        """Return what was read of a field at a place; nothing when nothing was."""
        return self.readings.get(check, NO_READINGS).get((field, place), ())

    def in_order(self) -> tuple[e.Entry, ...]:
        """Return every entry, in the order of the ids."""
        return tuple(sorted(self.entries.values(), key=attrgetter("id")))

    def effective(self, entry_id: str) -> e.Body | None:
        """Return an entry's body as it stands now; None when it was withdrawn."""
        return self.as_corrected(self.entries[entry_id])

    def as_corrected(self, entry: e.Entry) -> e.Body | None:
        """Do what `effective` does for an entry that is at hand."""
        corrections = self.corrections.get(entry.id, ())
        if not corrections:
            return entry.body
        return cast("e.Correction", corrections[-1].body).replacement

    def history(self, entry_id: str) -> Iterator[e.Entry]:
        """Yield an entry and every correction of it, oldest first."""
        yield self.entries[entry_id]
        yield from self.corrections.get(entry_id, ())


NO_READINGS: CheckReadings = immutables.Map()

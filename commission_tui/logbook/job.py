"""One open job: record, correct, state, subscribe; all that a screen or a command ever holds."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import UTC, date, datetime
from functools import partial
from pathlib import Path
from typing import Any, TypeVar

from commission_tui.checks.model.definition import FieldDefinition
from commission_tui.checks.model.types import Outcome, Value
from commission_tui.checks.places.places import is_place
from commission_tui.checks.places.spelling import refused_place
from commission_tui.errors import InputError
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.chain import digest, is_contact
from commission_tui.logbook.entries.entry_factory import body, changed_body, in_words
from commission_tui.logbook.entries.ids_and_clock import Clock, IdSource
from commission_tui.logbook.entries.logged import Corrected
from commission_tui.logbook.judging.acceptance_state import Acceptance, PastSignatures, acceptance
from commission_tui.logbook.judging.agreed_limits import freezing_body
from commission_tui.logbook.judging.instruments import reading_with_errors
from commission_tui.logbook.judging.outcome_cache import OutcomeCache, affected_checks
from commission_tui.logbook.judging.outcomes import judged_check
from commission_tui.logbook.judging.plausibility import refuse_impossible, slips
from commission_tui.logbook.state.corrections import correction_body
from commission_tui.logbook.state.fault_steps import fault_body, work_body
from commission_tui.logbook.state.fold import fold, folded
from commission_tui.logbook.state.job_summary import summary_after, summary_text
from commission_tui.logbook.state.state import Fault, State
from commission_tui.logbook.store import ends_left
from commission_tui.logbook.store.store import Store, StoredFile
from commission_tui.progress import Progress, unwatched
from commission_tui.text import quoted

Listener = Callable[[State], None]
T = TypeVar("T")
_TRIES = 9
"""To store verdicts while others write: whoever writes last stores those of all."""


class OddReadingError(InputError):
    """A number that needs a second look: accepted when the caller confirms it."""


class OpenJob:
    """One job: everything a screen or a command ever holds."""

    def __init__(
        self, store: Store, clock: Clock, ids: IdSource, job_id: str, state: State, by: str
    ) -> None:
        self.id = job_id
        self.by = by
        self._store = store
        self._clock = clock
        self._ids = ids
        self._state = state
        self._listeners: list[Listener] = []
        self._forget_verdicts()
        self._worked_out: dict[Callable[[State], Any], Any] = {}
        self._ends = store.ends(job_id)
        ids.after(state.last_id)

    @property
    def state(self) -> State:
        return self._state

    @property
    def database(self) -> Path:
        """Where this job is kept; a worker thread opens its own `Logbook` on it."""
        return self._store.path

    def once(self, work_out: Callable[[State], T]) -> T:
        """Return what follows from the state alone, worked out the first time it is asked for."""
        if work_out not in self._worked_out:
            self._worked_out[work_out] = work_out(self._state)
        found: T = self._worked_out[work_out]
        return found

    def today(self) -> date:
        """Return the day at the wall by this computer's clock."""
        return self._state.day(self._now())

    def now(self) -> datetime:
        """Return the moment by this computer's clock, in UTC."""
        return self._clock().astimezone(UTC)

    def subscribe(self, listener: Listener) -> Callable[[], None]:
        """Call the listener with each new state; returns the way to stop that."""
        self._listeners.append(listener)
        return lambda: self._listeners.remove(listener)

    # --- writing

    def record(self, entry_body: e.Body) -> e.Entry:
        """Write one entry; on return it is durable and the state holds it."""
        return self.record_all([entry_body])[0]

    def record_all(
        self,
        bodies: Sequence[e.Body],
        files: Sequence[StoredFile] = (),
        *,
        about: Sequence[tuple[int, int]] = (),
        progress: Progress = unwatched,
    ) -> list[e.Entry]:
        """Write several entries, and the files they name, in one transaction: all, or none.

        `progress` is told how many are made, of how many, before each.

        The limits of a check are frozen, by an entry of their own, before its first reading. `about`
        pairs photos with what they show where that gets its id only now, by places among the bodies.
        """
        refuse_impossible(self._state, bodies)
        read = dict.fromkeys(item.check for item in bodies if isinstance(item, e.ReadingTaken))
        held = (check for check in read if check in self._state.checklist)
        frozen = (freezing_body(self._state, check) for check in held)
        freezing = [item for item in frozen if item is not None]
        many = len(freezing)
        shows = {many + photo: many + what for photo, what in about}
        made, digests = self._chained((*freezing, *bodies), shows, progress)
        after = fold(made, self._state)
        affected = affected_checks(self._state, after)
        count = self._store.append(
            made,
            self._verdicts.rows(after, affected, self.id, self._now()),
            files,
            digests=digests,
            summary=summary_after(after, bodies),
        )
        linked = [one for entry, one in zip(made, digests, strict=True) if not is_contact(entry)]
        self._ends = (linked[-1],) if linked else self._ends
        self._become(after)
        if count > len(after.entries):
            self._take_in()
        return made[many:]

    def correct(self, entry_id: str, replacement: e.Body | None, reason: str) -> e.Entry:
        """Say what an earlier entry should have been; None withdraws it; see `correction_body`."""
        return self.record(correction_body(self._state, entry_id, replacement, reason))

    def read(self, check: str, field: str, place: str, value: Value, **how: Any) -> e.Entry:
        """Log one reading, with the chosen instrument stamped on it; see `reading`."""
        return self.record(self.reading(check, field, place, value, **how))

    def reading(
        self,
        check: str,
        field: str,
        place: str,
        value: Value,
        *,
        confirmed: bool = False,
        again: bool = False,
        also: Mapping[str, float] | None = None,
        meter_time: str | None = None,
        photo: str | None = None,
        unit_named: bool = False,
    ) -> e.ReadingTaken:
        """Make the body that `read` logs, without logging it.

        `again` says that it repeats the reading before it, to be averaged with it; `also` and
        `unit_named` are as in `slips`; `photo` is the SHA-256 of the kept picture that it was read from.

        Raises
        ------
        OddReadingError
            When the number is outside the sane range, or something seems to have slipped, and it
            was not confirmed.
        InputError
            When check, field, place or value has no meaning, or no instrument was chosen.
        """
        item, wall = self._state.checklist.check(check).field(field), self._state.wall
        if not is_place(place, item.where, wall):
            raise InputError(refused_place(wall, item.where, place))
        accepted = item.accept(value)
        odd = self.questions(check, field, place, accepted, also=also, unit_named=unit_named)
        if odd and not confirmed:
            raise OddReadingError(f"{item.label} at {place}: {odd}")
        return body(
            e.ReadingTaken,
            check=check,
            field=field,
            place=place,
            value=accepted,
            unit=item.unit,
            instrument=self._instrument_key(item),
            meter_time=meter_time,
            photo=photo,
            again=True if again else None,
            odd=odd,
        )

    def _instrument_key(self, item: FieldDefinition) -> str | None:
        if not item.measured:
            return None
        instrument = self._state.instrument_for(item.unit)
        if instrument is None:
            raise InputError(
                f"{item.label}: no instrument chosen that measures {item.unit}; add or choose one first"
            )
        return instrument.body.key

    def fault(self, kind: str, location: str, severity: str, **more: Any) -> e.Entry:
        """Log a fault at a place that exists on this wall; see `fault_body`."""
        return self.record(fault_body(self._state, kind, location, severity, **more))

    def work(self, fault: Fault, action: str, **more: Any) -> e.Entry:
        """Log that a fault was mended, verified, accepted or came back; see `work_body`."""
        return self.record(work_body(fault, action, **more))

    def skip(self, check: str, reason: str) -> e.Entry:
        """Log that a check does not apply, and why."""
        self._state.checklist.check(check)
        return self.record(body(e.NotApplicable, check=check, reason=in_words(reason)))

    def photo(
        self,
        path: Path,
        *,
        about: str | None = None,
        check: str | None = None,
        caption: str = "",
        keep_place: bool = False,
    ) -> e.Entry:
        """Keep a picture in the database and log it; where it was taken only when asked."""
        if check is not None:
            self._state.checklist.check(check)
        if about is not None and about not in {fault.id for fault in self._state.faults}:
            raise InputError(f"photo: found {quoted(about)}, expected a fault of this job")
        from commission_tui.logbook.store.photos import read_photo

        kept = read_photo(path, caption, keep_place=keep_place)
        return self.record_all([kept.body(about=about, check=check)], files=[kept.stored])[0]

    def keep_file(
        self, path: Path, what: str, *, check: str | None = None, note: str = ""
    ) -> e.Entry:
        """Keep a file with the job: what it is, and the check that asked for it."""
        if check is not None:
            self._state.checklist.check(check)
        from commission_tui.logbook.store.photos import read_file

        kept = read_file(path)
        logged = body(e.FileKept, name=path.name, what=what, check=check, note=note, **kept.facts)
        return self.record_all([logged], files=[kept])[0]

    def leave_end(self, place: str) -> None:
        """Keep that the end of this job's chain, as it is now, is known elsewhere too."""
        ends_left.keep_end(self.database, place, job=self.id, at=self._clock())

    def file(self, digest: str) -> bytes | None:
        """Return a kept file by its SHA-256."""
        return self._store.file(digest)

    # --- reading

    def outcome(self, check_id: str) -> Outcome:
        """Judge one check; cached until an input changes."""
        return self._verdicts.outcome(self._state, check_id)

    def outcomes(self) -> Mapping[str, Outcome]:
        """Return how every check stands, in the order of the checklist."""
        return self._verdicts.outcomes(self._state)

    def outcomes_with_before(self) -> Mapping[str, Outcome]:
        """Return them as they are handed over: with what was met before and is read again in part."""
        return self._verdicts.with_before(self._state)

    def questions(
        self,
        check: str,
        field: str,
        place: str,
        value: Value,
        *,
        also: Mapping[str, float] | None = None,
        unit_named: bool = False,
    ) -> str:
        """Say what is odd about a value, or may have slipped in it; nothing when nothing is."""
        item = self._state.checklist.check(check).field(field)
        asked = slips(
            self._state, check, field, place, value,
            also=also, today=self.today, unit_named=unit_named,
        )  # fmt: skip
        return "; ".join(filter(None, (item.odd(value), *asked)))

    def preview(self, check: str, field: str, place: str, value: Value) -> Outcome:
        """Judge a check as if a value being typed had been logged."""
        item = self._state.checklist.check(check).field(field)
        typed = e.ReadingTaken(
            check=check,
            field=field,
            place=place,
            value=item.accept(value),
            unit=item.unit,
            instrument=self._instrument_key(item),
        )
        at = self._now()
        reading = reading_with_errors(self._state, Corrected("", at, self.by, typed))
        record = partial(self._verdicts.record, self._state)
        return judged_check(self._state, check, {field: {place: reading}}, record, at)

    def acceptance(self) -> Acceptance:
        """Return how the handover stands; worked out once for each state."""
        return self.once(self._acceptance)

    def _acceptance(self, state: State) -> Acceptance:
        return acceptance(state, self.outcomes_with_before(), self._past)

    def refresh(self) -> bool:
        """Take in what other programs wrote; True when there was anything."""
        with self._store.at_one_moment():
            count = self._store.count(self.id)
            if count == len(self._state.entries):
                return False
            later = self._store.entries(self.id, after=self._state.last_id)
            if len(self._state.entries) + len(later) == count:
                state = folded(self._store.path, later, self._state)
            else:  # some sort before what is already folded: another laptop's clock
                self._forget_verdicts()
                state = folded(self._store.path, self._store.entries(self.id))
            self._ends = self._store.ends(self.id)
        self._ids.after(state.last_id)
        self._become(state)
        return True

    def store_verdicts(self) -> None:
        """Store the verdicts that SQL tools read as the entries give them, by this version, now.

        Nothing is stored where nothing can be written; the verdicts of the program are worked out anyway.
        """
        if not self._store.read_only:
            for _ in range(_TRIES):
                if self._stored(OutcomeCache(), [c.id for c in self._state.whole_checklist]):
                    break
                self.refresh()

    # --- inside

    def _forget_verdicts(self) -> None:
        """Hold no verdict any more: versions tell what was logged since, not what came in between."""
        self._verdicts = OutcomeCache()
        self._past = PastSignatures(self._verdicts)

    def _take_in(self) -> None:
        """Judge anew what other programs wrote meanwhile and these verdicts did not know."""
        before = self._state
        for _ in range(_TRIES):
            held = self._verdicts
            self.refresh()
            before = before if held is self._verdicts else State()  # else all were forgotten
            if self._stored(self._verdicts, affected_checks(before, self._state)):
                break

    def _stored(self, verdicts: OutcomeCache, checks: Iterable[str]) -> bool:
        """Store verdicts, and the line of the job, as the state gives them; not when more was logged since."""
        rows = verdicts.rows(self._state, checks, self.id, self._now())
        of = self.id, len(self._state.entries)
        return self._store.remember(rows, [(self.id, summary_text(self._state))], of=of)

    def _now(self) -> str:
        return self.now().isoformat(timespec="seconds")

    def _chained(
        self, bodies: Sequence[e.Body], shows: Mapping[int, int], progress: Progress
    ) -> tuple[list[e.Entry], list[str]]:
        """Make entries, each naming the one before it, some the one they show; and their digests.

        They have one moment, for what is written together is one act.
        """
        moment = self.now()
        made: list[e.Entry] = []
        digests: list[str] = []
        known = self._ends
        for at, item in enumerate(bodies):
            progress(at, len(bodies))
            shown = made[shows[at]] if at in shows else None
            given = item if shown is None else changed_body(item, about=shown.id)
            made.append(self._entry(given, known, moment))
            digests.append(digest(made[-1]))
            known = known if is_contact(made[-1]) else (digests[-1],)
        return made, digests

    def _entry(self, item: e.Body, known: tuple[str, ...], moment: datetime) -> e.Entry:
        if not self.by.strip():
            raise InputError(
                "who logs: found nobody, expected a name, such as --as 'A. Technician'"
            )
        stamp = moment.isoformat(timespec="milliseconds").replace("+00:00", "Z")
        return body(
            e.Entry,
            id=self._ids.next(moment),
            job=self.id,
            at=stamp,
            by=self.by,
            previous=known[0] if known else None,
            joins=known[1:] or None,
            body=item,
        )

    def _become(self, state: State) -> None:
        self._state = state
        self._worked_out.clear()
        for listener in tuple(self._listeners):
            listener(state)

"""What can be written into the logbook: one model a kind, written once, never changed.

A field that is added to a kind

* has None as its default. What is None is left out of the JSON that an entry's digest is of
  (`chain.entry_json`); any other default gets into the digest of each such entry that was ever logged,
  and every logbook then reads "was changed after it was written". A number or text that means nothing
  (0, "") is no way round it;
* has its word in `entry_factory`, in `OF_KIND` or `EVERYWHERE`, where its own name is not the word;
* has an example in ``GOOD`` of ``tests/logbook/entries/test_entry_factory.py``;
* gets into the CSV by `open_formats.csv_tables`, and into the views of the database by a migration
  that makes them anew, where somebody wants it there. JSON, record and verifying have it by themselves.
"""

from collections.abc import Callable
from datetime import date
from typing import Annotated, ClassVar, Literal

from pydantic import ConfigDict, Field, StrictBool, StringConstraints, TypeAdapter
from pydantic.dataclasses import rebuild_dataclass

from commission_tui.checks.faults.fault_words import fault_called
from commission_tui.checks.model.types import Severity
from commission_tui.logbook.entries.entry_parts import (
    Accuracy,
    Digest,
    EntryId,
    FrozenLimit,
    Line,
    Part,
    Prose,
    Reason,
    StrictNumber,
    Stroke,
    TakenException,
    validated,
)


class Body:
    """What an entry says."""

    __slots__ = ()


@validated
class JobOpened(Body):
    kind: Literal["job-opened"] = "job-opened"
    name: Line
    client: Line
    integrator: Line
    reference: Line | None = None


@validated
class Design(Body):
    """The wall file, whole; a later one is a new revision."""

    kind: Literal["design"] = "design"
    text: Annotated[str, Field(max_length=4_000_000)]
    reason: Prose = ""


@validated
class ChecklistSet(Body):
    """The checklist files of this job, whole, so that the record explains itself years later."""

    kind: Literal["checklists"] = "checklists"
    files: dict[Line, Annotated[str, Field(max_length=1_000_000)]]


@validated
class ScopeAgreed(Body):
    """What the job is to cover, as agreed: the checks of a size, frozen as they were that day."""

    kind: Literal["scope"] = "scope"
    size: Line
    checks: Annotated[tuple[Line, ...], Field(min_length=1, max_length=2000)]
    reason: Prose = ""
    """Why it is less than was agreed before."""


@validated
class FeatureSettled(Body):
    """Whether the wall or its room has something that the wall file left open."""

    kind: Literal["feature"] = "feature"
    feature: Line
    """One of `wall.model.file_model.Feature`."""
    there: Literal["yes", "no", "not known"]
    note: Prose = ""


@validated
class Instrument(Body):
    """An instrument of this job; the latest entry for a unit is the one that readings get."""

    kind: Literal["instrument"] = "instrument"
    key: Annotated[str, StringConstraints(pattern=r"^[a-z0-9]+(-[a-z0-9]+)*$", max_length=40)]
    name: Line
    serial: Line
    calibration_due: date | None = None
    certificate: Line | None = None
    accuracy: dict[Line, Accuracy]
    """Unit to accuracy; the units are what it measures."""

    @property
    def called(self) -> str:
        """Its name with its serial number, which tells it from others of its make."""
        return f"{self.name} {self.serial}"

    def due_words(self, day: Callable[[date], str] = str) -> str:
        """Say when its calibration is due."""
        return day(self.calibration_due) if self.calibration_due else "not recorded"

    def is_overdue(self, on: date) -> bool:
        """Whether its calibration was due before a day at the wall."""
        return self.calibration_due is not None and self.calibration_due < on


@validated
class InstrumentChosen(Body):
    """From here on, readings in these units were taken with this instrument."""

    kind: Literal["instrument-chosen"] = "instrument-chosen"
    instrument: Line
    units: tuple[Line, ...]


@validated
class ReadingTaken(Body):
    """A measured number or an observation (a choice, yes or no, words) at one place."""

    kind: Literal["reading"] = "reading"
    check: Line
    field: Line
    place: Line
    value: StrictBool | StrictNumber | Reason
    unit: Annotated[str, StringConstraints(max_length=20)] = ""
    instrument: Line | None = None
    meter_time: Line | None = None
    """As the meter itself wrote it, where a table gave it."""
    photo: Digest | None = None
    """Of the picture, kept with the check, from which it was read: a camera was its source."""
    again: Literal[True] | None = None
    """A further reading of the same thing, to be averaged with those just before it."""
    odd: Prose = ""
    """Why the tool asked again before it took this value; empty when it did not."""


@validated
class NotApplicable(Body):
    kind: Literal["not-applicable"] = "not-applicable"
    check: Line
    reason: Reason


@validated
class FaultFound(Body):
    kind: Literal["fault"] = "fault"
    fault: Line
    """What it is, from the fault catalogue's kinds or in words."""
    location: Line
    severity: Severity
    note: Prose = ""
    check: Line | None = None
    seen_on: Prose = ""
    """Pattern, level and distance."""

    @property
    def called(self) -> str:
        """What it is called where its note does not stand beside it: own words for what fits no kind."""
        return fault_called(self.fault, self.note)


@validated
class FaultWork(Body):
    """What was done about a fault; the state of the punch-list item follows from the last one."""

    kind: Literal["fault-work"] = "fault-work"
    found: EntryId
    action: Literal["mended", "verified", "accepted", "reopened"]
    note: Prose = ""
    accepted_by: Line | None = None
    owner: Line | None = None
    """Of what was accepted as it is: who puts it right; none in entries from before it was asked."""
    due: date | None = None


@validated
class Note(Body):
    kind: Literal["note"] = "note"
    text: Reason
    check: Line | None = None


@validated
class Photo(Body):
    """A photo's identity; the picture itself is kept beside the entries, under its hash."""

    kind: Literal["photo"] = "photo"
    sha256: Digest
    name: Line
    media_type: Literal["image/jpeg", "image/png"]
    size: Annotated[int, Field(gt=0)]
    about: EntryId | None = None
    check: Line | None = None
    caption: Prose = ""


@validated
class LimitsFrozen(Body):
    """The limits of a check as they stood before its first reading; none means record only."""

    kind: Literal["limits-frozen"] = "limits-frozen"
    check: Line
    limits: tuple[FrozenLimit, ...] = ()


@validated
class LimitChanged(Body):
    """A limit agreed anew, by whom and why; from here on it replaces the one of that name."""

    kind: Literal["limit-changed"] = "limit-changed"
    check: Line
    limit: FrozenLimit
    agreed_by: Line
    reason: Reason


@validated
class SettingLogged(Body):
    """A setting as it now is; results that rested on another value are no longer good."""

    kind: Literal["setting"] = "setting"
    setting: Line
    """One of `vocabulary.Setting`."""
    place: Line = "wall"
    """The wall, or the cabinet, input or port it was changed at."""
    value: Line
    note: Prose = ""


@validated
class ResultsKept(Body):
    """Says why results that a change put in doubt still stand."""

    kind: Literal["results-kept"] = "results-kept"
    change: EntryId
    checks: Annotated[tuple[Line, ...], Field(min_length=1, max_length=500)]
    reason: Reason


@validated
class PartFitted(Body):
    """A part at its place: registered, or exchanged for the one that was there."""

    kind: Literal["part-fitted"] = "part-fitted"
    part: Part
    location: Line
    serial: Line
    batch: Line | None = None
    replaces: Line | None = None
    """Serial of the part taken out; none when this only registers what hangs there."""
    from_spares: bool = False
    note: Prose = ""


@validated
class SparePut(Body):
    """A spare part on the shelf."""

    kind: Literal["spare"] = "spare"
    part: Part
    serial: Line
    batch: Line | None = None
    kept_at: Line | None = None


@validated
class VisitBegun(Body):
    """A later visit; what was logged before belongs to the visit before it."""

    kind: Literal["visit"] = "visit"
    name: Line
    reason: Prose = ""
    hours_run: Annotated[float, Field(ge=0, le=1e6, allow_inf_nan=False)] | None = None


@validated
class TableMapping(Body):
    """How the columns of a meter's table are read, remembered by name."""

    kind: Literal["table-mapping"] = "table-mapping"
    name: Line
    check: Line
    columns: Annotated[dict[Line, Line], Field(min_length=1, max_length=50)]
    """Column heading to `place` or the name of a field."""


@validated
class FileKept(Body):
    """A file of the job, kept beside the entries under its hash."""

    kind: Literal["file"] = "file"
    sha256: Digest
    name: Line
    media_type: Line = "application/octet-stream"
    size: Annotated[int, Field(gt=0)]
    what: Literal["configuration", "certificate", "drawing", "EDID", "measurement", "other"]
    check: Line | None = None
    note: Prose = ""


@validated
class Person(Body):
    """Somebody of this job; a document can be made without phone and mail."""

    kind: Literal["person"] = "person"
    name: Line
    role: Line
    organisation: Line | None = None
    phone: Line | None = None
    mail: Line | None = None


@validated
class DocumentIssued(Body):
    """A handover document as it left: what it says of itself and the hash of its file."""

    kind: Literal["document"] = "document"
    number: Line
    fingerprint: Digest
    """Of the record that it carries."""
    sha256: Digest
    """Of the file."""
    paper: Literal["A4", "Letter"] = "A4"
    supplements: Digest | None = None
    """SHA-256 of the file that this one supplements."""


@validated
class Signature(Body):
    """A name put under the record as it stood; what is signed is named by its fingerprint."""

    kind: Literal["signature"] = "signature"
    role: Line
    name: Line
    organisation: Line | None = None
    statement: Reason
    fingerprint: Digest
    exceptions: Annotated[int, Field(ge=0)]
    strokes: Annotated[tuple[Stroke, ...], Field(max_length=200)] | None = None
    """As drawn, in a box of 10,000 by 10,000 from its top left; none where the name was typed."""
    decision: Literal["accepts", "refuses"] | None = None
    """What the client decides; none for other roles, and in entries from before it was asked."""
    taken: Annotated[tuple[TakenException, ...], Field(max_length=5000)] | None = None
    """Every exception that the client takes, in the order of their numbers from 1."""


Correctable = Annotated[
    JobOpened | Design | ChecklistSet | ScopeAgreed | FeatureSettled | Instrument | InstrumentChosen
    | ReadingTaken | NotApplicable | FaultFound | FaultWork | Note | Photo | LimitsFrozen
    | LimitChanged | SettingLogged | ResultsKept | PartFitted | SparePut | VisitBegun | TableMapping
    | FileKept | Person | DocumentIssued,
    Field(discriminator="kind"),
]  # fmt: skip


@validated
class Correction(Body):
    """Names an earlier entry and says what it should have been; nothing means: never mind."""

    kind: Literal["correction"] = "correction"
    corrects: EntryId
    replacement: Correctable | None = None
    reason: Reason
    undoes: EntryId | None = None
    """The entry that this takes back as the one before it: itself, or an earlier correction of it."""


AnyBody = Annotated[Correctable | Signature | Correction, Field(discriminator="kind")]


@validated
class Entry(Body):
    """One line of the logbook."""

    id: EntryId
    job: EntryId
    at: Annotated[str, StringConstraints(pattern=r"^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{3}Z$")]
    by: Line
    previous: Digest | None = None
    """Digest of the entry that the writer last knew; see `chain`."""
    joins: Annotated[tuple[Digest, ...], Field(max_length=1000)] | None = None
    """Digests of the other ends that the writer knew, where histories had come together."""
    body: AnyBody
    corrected: ClassVar[bool] = False
    """Whether it stands otherwise than it was written: never (see `logged`)."""


# Once: each adapter would else build every kind by itself (`tests/benchmarks/bench_screens`).
rebuild_dataclass(Entry)  # type: ignore[arg-type]
ENTRY: TypeAdapter[Entry] = TypeAdapter(Entry)
BODY: TypeAdapter[AnyBody] = TypeAdapter(AnyBody, config=ConfigDict(defer_build=True))

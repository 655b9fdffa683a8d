"""What methods take and give: readings, limits, outcomes.

The logbook's entries carry these; nothing here knows where readings are kept.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum
from typing import Literal, get_args

import immutables

from commission_tui.engineering.numeric.error_parts import Errors, Spread
from commission_tui.engineering.numeric.rounding import rounded
from commission_tui.figures import exact, is_count, limit_text, number, spread_text, with_unit
from commission_tui.text import NO_SOURCE, lower_first
from commission_tui.wall.model.wall_model import Wall

Value = float | str | bool
Standing = Literal["standard", "law", "contract", "maker", "common practice"]
"""What gives a limit its weight."""

_NOT_LOOKED_UP = "from memory"
"""What a source says that nobody has looked up; it is printed as `text.NO_SOURCE`."""

Severity = Literal["danger", "stop", "shows", "near", "note"]
SEVERITIES: tuple[Severity, ...] = get_args(Severity)
"""Of a fault, gravest first."""


class Verdict(StrEnum):
    """Result of a check; there is no other."""

    PASS = "pass"  # noqa: S105 (a verdict, not a secret)
    """In its limits by more than the uncertainty, or answered as is in order."""
    FAIL = "fail"
    """Out of a limit by more than the uncertainty, or answered as is not."""
    MARGINAL = "marginal"
    """Nearer to a limit than the uncertainty: not decided."""
    NOT_APPLICABLE = "not applicable"
    """The wall has not what it is about, or somebody left it out with a reason."""
    OPEN = "open"
    """Not read, or in part; not settled whether it applies; no longer good; or refused by a computation."""


@dataclass(frozen=True, slots=True)
class Reading:
    """One value at one place."""

    value: Value
    unit: str = ""
    errors: Errors | None = None
    """What it may be off, part by part; None where it is exact or nobody knows."""
    at: str = ""
    """Its place."""
    measured: bool = False
    """Whether an instrument gave it, so that without a stated accuracy nobody knows what it is worth."""
    uncalibrated: bool = False
    """Whether the instrument's accuracy is not known; its scatter may be."""
    remarks: tuple[str, ...] = ()
    """What every result read with it must say: a calibration that is overdue."""
    taken: int = 1
    """How many readings it is the mean of."""
    assumed: bool = False
    """Whether its scatter is taken as a share of its accuracy, since nobody stated or measured it."""

    @property
    def is_number(self) -> bool:
        return not isinstance(self.value, bool | str)

    @property
    def number(self) -> float:
        """The value as a number; a method asks only for fields that its definition made numeric."""
        if isinstance(self.value, bool | str):
            raise TypeError(f"{self.value!r} is not a number")
        return self.value

    @property
    def expanded(self) -> float | None:
        """Expanded uncertainty (95.45 %), [unit of the value]; None when it is not known."""
        if self.errors is None or self.uncalibrated:
            return None
        found = self.errors.expanded(self.number)
        return found if math.isfinite(found) else None


@dataclass(frozen=True, slots=True)
class Limit:
    """A range a figure must be in, with who says so."""

    name: str
    unit: str
    source: str
    standing: Standing
    low: float | None = None
    high: float | None = None
    label: str = ""
    """What people call it, as the checklist has it; without the unit."""

    def __post_init__(self) -> None:
        # A firm's checklist or a job begun earlier may still say so; nobody can check it by that.
        if _NOT_LOOKED_UP in self.source.lower():
            object.__setattr__(self, "source", NO_SOURCE)
            object.__setattr__(self, "standing", "common practice")

    def __str__(self) -> str:
        return limit_text(self.low, self.high, self.unit)

    @property
    def names_standing(self) -> bool:
        """Whether the source says by itself what standing the limit has."""
        words = self.source.lower()
        by_custom = self.standing == "common practice" and self.standing in words
        return words.startswith(self.standing) or by_custom


@dataclass(frozen=True, slots=True)
class Budget:
    """Uncertainty of a figure, part by part, with the readings that it comes from."""

    spread: Spread
    readings: tuple[Reading, ...]
    """In the order of the spread's weights."""
    unknown: bool = False
    """Whether it feels an error that nobody states."""


@dataclass(frozen=True, slots=True)
class Figure:
    """One computed number that the document prints, rounded as every processor rounds it."""

    name: str
    value: float
    unit: str = ""
    expanded: float | None = None
    limit: Limit | None = None
    verdict: Verdict | None = None
    """Of this figure against its limit, when it has one."""
    digits: int = 3
    """Significant digits to print where its uncertainty is not known; the value is kept whole."""
    budget: Budget | None = field(default=None, repr=False, compare=False)
    """Where the uncertainty comes from; None for a count, or what is exact by its nature."""
    place: str = field(default="", repr=False, compare=False)
    """Where it was read, for a method that names the places that are not a pass."""

    def __post_init__(self) -> None:
        object.__setattr__(self, "value", rounded(self.value, self.unit))
        if self.expanded is not None:
            object.__setattr__(self, "expanded", rounded(self.expanded, self.unit))

    @property
    def not_known(self) -> bool:
        """Whether it was measured with an instrument whose accuracy nobody stated."""
        return self.budget is not None and self.budget.unknown

    @property
    def number(self) -> str:
        """The value as it is printed, with as many digits as tell it from its limit."""
        if is_count(self.value, self.expanded, self.unit):
            return exact(self.value)
        low, high = (None, None) if self.limit is None else (self.limit.low, self.limit.high)
        return number(self.value, self.expanded, low, high, self.digits)

    @property
    def spread_text(self) -> str:
        """The expanded uncertainty as it is printed, ``± 12``; nothing when it is not known."""
        if self.expanded is None:
            return "± not known" if self.not_known else ""
        counts = is_count(self.value, self.expanded, self.unit)
        return f"± {exact(self.expanded) if counts else spread_text(self.expanded)}"

    def __str__(self) -> str:
        return with_unit(f"{self.number} {self.spread_text}".rstrip(), self.unit)


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a method says of the readings it was given."""

    verdict: Verdict
    reason: str
    """One plain sentence."""
    figures: tuple[Figure, ...] = ()
    next_step: str = ""
    so_far: Verdict | None = None
    """While readings are missing: what the verdict would be on those that are there."""
    where: tuple[str, ...] = ()
    """Places that made it fail or marginal, worst first: of readings, or what the wall file names (a
    circuit, an input, a camera). Nothing where it is not of a place: the reason says it in words."""
    to_do: tuple[tuple[str, str], ...] = ()
    """Field and place of what is still to be recorded, or read again, in the order of the walk."""
    before: Outcome | None = None
    """Of a check that this visit read again in part: the pass of an earlier one, against which nothing
    that was read again speaks."""


@dataclass(frozen=True, slots=True)
class SeenFault:
    """A fault as a method needs it: kind, place, state and words."""

    kind: str
    location: str
    state: str
    visit: int = 0
    """In which it was found; 0 is the first."""
    words: str = ""
    """What was written beside it."""

    @property
    def is_gone(self) -> bool:
        return self.state == "verified"


@dataclass(frozen=True, slots=True)
class RecordFacts:
    """What the record says of itself, for checks that would otherwise ask somebody to count."""

    exceptions: tuple[str, ...] = ()
    """What is open, mended, accepted as it is, failed or marginal, each in words."""
    unfinished: tuple[str, ...] = ()
    """Titles of checks that block acceptance and are not judged yet."""
    without_bound: tuple[str, ...] = ()
    """Titles of checks with a limit that has no bound, agreed by nobody as a record only."""
    people: tuple[str, ...] = ()
    """Who is named, with the role."""
    changed: tuple[tuple[str, str], ...] = ()
    """Each setting logged at this visit, and why it was changed; empty where nobody said."""
    files: tuple[tuple[str, str], ...] = ()
    """Name and SHA-256 of each file kept with the job."""


Readings = Mapping[str, Reading]
"""Place to reading, of one field."""


class NotReadYetError(Exception):
    """What a method needs first is not read yet: the check is open, and this says what it waits for."""


@dataclass(frozen=True)
class CheckInput:
    """Everything a method may look at."""

    wall: Wall
    readings: Mapping[str, Readings]
    """Field name to place to reading; a field without readings is absent."""
    limits: Mapping[str, Limit]
    expected: Mapping[str, tuple[str, ...]] = field(default_factory=immutables.Map)
    """Field name to every place where a reading is wanted."""
    faults: tuple[SeenFault, ...] = ()
    good: Mapping[str, tuple[str, ...]] = field(default_factory=immutables.Map)
    """Of each choice that has them, the answers that are in order."""
    baseline: Mapping[str, Readings] = field(default_factory=immutables.Map)
    """Field to place to reading, of the first visit, for a check that is held against it."""
    beside: Mapping[str, Readings] = field(default_factory=immutables.Map)
    """Name to place to reading, of fields of other checks that this one is judged with."""
    hours_run: float | None = None
    """Since the baseline, where the visit says so."""
    labels: Mapping[str, str] = field(default_factory=immutables.Map)
    """Field name to what people call it, as the checklist has it."""
    on: date | None = None
    """Day of the visit: of the latest reading of the check."""
    record: Callable[[], RecordFacts] = RecordFacts
    """What the record says of itself, worked out when it is asked for."""

    def label(self, name: str) -> str:
        """Return what people call a field, to stand inside a sentence."""
        return lower_first(self.labels.get(name, name))

    def field(self, name: str) -> Readings:
        return self.readings.get(name, {})

    def numbers(self, name: str) -> dict[str, float]:
        """Return place to number of one field, in the order in which the places are wanted."""
        there = self.field(name)
        order = {place: index for index, place in enumerate(self.expected.get(name, ()))}
        places = sorted(there, key=lambda place: order.get(place, len(order)))
        return {place: there[place].number for place in places}

    def one(self, name: str, place: str = "wall") -> Reading | None:
        return self.field(name).get(place)

    def says(self, name: str, answer: Value, place: str = "wall") -> bool:
        """Whether a field was answered so at a place; False while it is not read."""
        found = self.one(name, place)
        return found is not None and found.value == answer

    def needed(self, words: str, *names: str) -> list[Reading]:
        """Return what was read of fields of the wall; while one is not, the check is open by the words."""
        found = [reading for name in names if (reading := self.one(name)) is not None]
        if len(found) < len(names):
            raise NotReadYetError(words)
        return found

    def needed_field(self, words: str, name: str) -> Readings:
        """Return what was read of a field anywhere; while nothing is, the check is open by the words."""
        if name not in self.readings:
            raise NotReadYetError(words)
        return self.readings[name]

"""What methods take and give: readings, limits, outcomes.

The logbook's entries carry these; nothing here knows where readings are kept.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Literal

import immutables

from commission_tui.engineering.numeric.error_parts import Errors, Spread
from commission_tui.engineering.numeric.rounding import rounded
from commission_tui.wall.model.wall_model import Wall

Value = float | str | bool
Standing = Literal["standard", "law", "contract", "maker", "common practice"]
"""What gives a limit its weight."""

_ENDINGS = {"%": "percent", "°C": "c", "MΩ": "mohm", "mm/m": "mm_per_m"}
"""Unit to how the name of a limit spells it, where that is not the unit itself."""
_SPELT = {"tlci": "TLCI", "dc": "DC", "leds": "LEDs"}


class Verdict(StrEnum):
    """Result of a check; there is no other."""

    PASS = "pass"  # noqa: S105 (a verdict, not a secret)
    FAIL = "fail"
    MARGINAL = "marginal"
    NOT_APPLICABLE = "not applicable"
    OPEN = "open"


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

    @property
    def words(self) -> str:
        """The name in words, without the unit, which stands behind the figures anyhow."""
        ending = _ENDINGS.get(self.unit, self.unit.lower().replace("/", "_"))
        name = self.name.removesuffix(f"_{ending}") if ending else self.name
        spelt = " ".join(_SPELT.get(word, word) for word in name.split("_"))
        return re.sub(r"(?<=\d) (?=\d)", ".", spelt)

    def __str__(self) -> str:
        unit = f" {self.unit}" if self.unit else ""
        if self.low is not None and self.high is not None:
            return f"{self.low:g} to {self.high:g}{unit}"
        if self.low is not None:
            return f"at least {self.low:g}{unit}"
        return f"at most {self.high:g}{unit}" if self.high is not None else "record only"


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
    """Significant digits to print; the value itself is kept whole."""
    budget: Budget | None = field(default=None, repr=False, compare=False)
    """Where the uncertainty comes from; None for a count, or what is exact by its nature."""

    def __post_init__(self) -> None:
        object.__setattr__(self, "value", rounded(self.value, self.unit))
        if self.expanded is not None:
            object.__setattr__(self, "expanded", rounded(self.expanded, self.unit))

    @property
    def not_known(self) -> bool:
        """Whether it was measured with an instrument whose accuracy nobody stated."""
        return self.budget is not None and self.budget.unknown


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
    """Places that made it fail or marginal, worst first."""


@dataclass(frozen=True, slots=True)
class SeenFault:
    """A fault as a method needs it: kind, place and state."""

    kind: str
    location: str
    state: str
    visit: int = 0
    """In which it was found; 0 is the first."""


Readings = Mapping[str, Reading]
"""Place to reading, of one field."""


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
    hours_run: float | None = None
    """Since the baseline, where the visit says so."""

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

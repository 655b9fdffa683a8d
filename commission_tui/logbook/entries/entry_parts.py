"""What entries are made of: texts and numbers within bounds, and parts that several fields hold together."""

import math
from datetime import date
from typing import Annotated, Literal, TypeVar, cast, dataclass_transform

from pydantic import ConfigDict, Field, StringConstraints
from pydantic.dataclasses import dataclass

from commission_tui.checks.model.types import Standing
from commission_tui.text import NO_CONTROLS, NO_CONTROLS_IN_LINE

Line = Annotated[
    str,
    StringConstraints(
        strip_whitespace=True,
        min_length=1,
        max_length=200,
        pattern=NO_CONTROLS_IN_LINE,
    ),
]
Prose = Annotated[
    str, StringConstraints(strip_whitespace=True, max_length=4000, pattern=NO_CONTROLS)
]
Reason = Annotated[
    str,
    StringConstraints(strip_whitespace=True, min_length=1, max_length=4000, pattern=NO_CONTROLS),
]
Digest = Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{64}$")]
EntryId = Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}$")]
StrictNumber = Annotated[float, Field(strict=True, allow_inf_nan=False)]
Part = Literal["cabinet", "module", "receiving card", "power supply"]

_T = TypeVar("_T")


@dataclass_transform(kw_only_default=True, frozen_default=True)
def validated(kind: type[_T]) -> type[_T]:
    """Make a class whose objects are validated as they are made and never change.

    With slots, not a model: a job is held whole, and an entry then takes a quarter of the memory
    (`tests/benchmarks/bench_scale`).
    """
    # Built when the first is made or read: most starts need few of the kinds by themselves.
    strict = ConfigDict(extra="forbid", defer_build=True)
    return cast("type[_T]", dataclass(frozen=True, slots=True, kw_only=True, config=strict)(kind))


@validated
class Accuracy:
    """What a maker says of an instrument in one unit: accuracy, repeatability and resolution.

    The accuracy, percent of reading and a fixed part in the unit, is that of the calibration, common
    to all its readings; it is not known where both are 0. The rest is each reading's own.
    """

    percent: Annotated[float, Field(ge=0, le=100, allow_inf_nan=False)] = 0.0
    absolute: Annotated[float, Field(ge=0, le=1e6, allow_inf_nan=False)] = 0.0
    repeatability_percent: Annotated[float, Field(ge=0, le=100, allow_inf_nan=False)] | None = None
    """Scatter from reading to reading (one standard deviation), which taking more readings reduces;
    none where the maker does not say."""
    repeatability_absolute: Annotated[float, Field(ge=0, le=1e6, allow_inf_nan=False)] | None = None
    resolution: Annotated[float, Field(ge=0, le=1e6, allow_inf_nan=False)] | None = None
    """The step of the last digit."""

    def stated_repeatability(self, size: float) -> float | None:
        """Return the scatter of one reading of this size, [unit]; None where nobody states it."""
        if self.repeatability_percent is None and self.repeatability_absolute is None:
            return None
        share = (self.repeatability_percent or 0.0) / 100
        return math.hypot(share * size, self.repeatability_absolute or 0.0)


@validated
class FrozenLimit:
    """A limit as it stood: `low` or `high` in `unit`, who says so and with what standing."""

    name: Line
    unit: Annotated[str, StringConstraints(max_length=20)] = ""
    low: StrictNumber | None = None
    high: StrictNumber | None = None
    source: Reason
    standing: Standing


Coordinate = Annotated[int, Field(ge=0, le=10_000)]
Stroke = Annotated[tuple[tuple[Coordinate, Coordinate], ...], Field(min_length=1, max_length=2000)]


@validated
class TakenException:
    """Something that is not as agreed, and that the client takes as it is until it is put right."""

    what: Reason
    """As it was shown to the client."""
    check: Line | None = None
    fault: EntryId | None = None
    """One of the two: what it is about."""
    owner: Line
    """Who puts it right."""
    due: date
    consent: Line
    """The client's initials or words."""

"""What a chart is, and where its numbers come from."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from commission_tui.checks.model.definition import CheckDefinition, FieldDefinition
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.judging.visits import visit_readings as readings_of

Point = tuple[float, float]
Kind = Literal["points", "line", "limit"]


@dataclass(frozen=True, slots=True)
class Series:
    """Points that belong together: measured, a curve that is aimed at, or a limit."""

    name: str
    kind: Kind
    points: tuple[Point, ...]


@dataclass(frozen=True, slots=True)
class Chart:
    """One chart: what it shows in one sentence, or why there is nothing to show."""

    key: str
    title: str
    says: str
    x_label: str
    y_label: str
    series: tuple[Series, ...] = ()
    can_be_log: bool = False
    """Whether both axes may be logarithmic, which is how a power law is a straight line."""
    is_true_to_scale: bool = False
    """Whether a length is the same along both axes, so that a circle is drawn round."""

    @property
    def is_empty(self) -> bool:
        return not any(series.points for series in self.series)


def field_read(
    job: OpenJob, unit: str, per: Sequence[str], name: str = ""
) -> tuple[CheckDefinition, FieldDefinition] | None:
    """Return the first field of a unit that is read per something and that has readings, if any."""
    fitting = [
        (check, item)
        for check in job.state.checklist
        for item in check.fields
        if item.unit == unit and item.per in per and name in {"", item.name}
    ]
    read = (slot for slot in fitting if _has_numbers(job, slot[0].id, slot[1].name))
    return next(read, fitting[0] if fitting else None)


def _has_numbers(job: OpenJob, check: str, field: str) -> bool:
    return any(
        name == field and not isinstance(slot[-1].body.value, bool | str)
        for (name, _), slot in readings_of(job.state, check).items()
    )


def numbers_read(job: OpenJob, check: str, field: str) -> dict[str, float]:
    """Return place to the last number of the latest visit that read it."""
    last = {
        place: slot[-1].body.value
        for (name, place), slot in readings_of(job.state, check).items()
        if name == field
    }
    # In order, so that of places that read alike the same one is named at every run.
    return {
        place: float(value)
        for place, value in sorted(last.items())
        if not isinstance(value, bool | str)
    }


def empty_chart(key: str, title: str, says: str) -> Chart:
    return Chart(key, title, says, "", "")

"""The same reading or fault at many places, as entries that are written together or not at all."""

from __future__ import annotations

from collections.abc import Sequence

from commission_tui.checks.model.types import Value
from commission_tui.errors import InputError
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.entry_factory import body
from commission_tui.logbook.job import OpenJob
from commission_tui.wall.model.location import parse_location


def reading_bodies(
    job: OpenJob,
    check: str,
    field: str,
    places: Sequence[str],
    value: Value,
    *,
    confirmed: bool = False,
) -> list[e.Body]:
    """Make one reading for each place.

    Raises
    ------
    OddReadingError
        When the number is outside the sane range and was not confirmed.
    InputError
        When a place or the value has no meaning for the field, or there is no place.
    """
    _some(places)
    return [job.reading(check, field, place, value, confirmed=confirmed) for place in places]


def fault_bodies(
    job: OpenJob,
    kind: str,
    places: Sequence[str],
    severity: str,
    *,
    note: str = "",
    check: str | None = None,
) -> list[e.Body]:
    """Make one fault for each place; each is mended and verified by itself.

    Raises
    ------
    InputError
        When a place is not on this wall, the kind is empty, or there is no place.
    """
    _some(places)
    if check is not None:
        job.state.checklist.check(check)
    wall = job.state.wall
    return [
        body(
            e.FaultFound, fault=kind, location=str(wall.resolve(parse_location(place))),
            severity=severity, note=note, check=check,
        )
        for place in places
    ]  # fmt: skip


def _some(places: Sequence[str]) -> None:
    if not places:
        raise InputError("places: found none, expected at least one")

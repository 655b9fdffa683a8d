"""Which checks a photograph fills, and how: those with a field for the very thing that is read."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING

from commission_tui.checks.model.definition import CheckDefinition
from commission_tui.logbook.job import OpenJob

if TYPE_CHECKING:
    from commission_tui.screens.photographs.dialog import PhotographTask

_MAPPING = "mapping"
_SHOWN = {
    "pixel_faults": "'coded tiles', then the field",
    "seams": "'coded tiles', then white",
    "scan_direction": "a film of the stepped line",
}
"""By the method of a check, what is photographed for it."""

Task = Callable[[], "PhotographTask"]


def is_filled(check: CheckDefinition) -> bool:
    """Whether a photograph answers something of a check; nothing in cd/m² ever is."""
    return bool(photographed(check))


def photographed(check: CheckDefinition) -> str:
    """Say what is photographed for a check; nothing where a photograph fills none of its fields."""
    return "'coded tiles'" if check.role == _MAPPING else _SHOWN.get(check.method, "")


def tasks(job: OpenJob, check: CheckDefinition, place: str | None) -> list[tuple[str, Task]]:
    """Return what may be photographed for a check, as title and task; of the place one is at first."""
    # Here, not at the top: the walk does not wait for what few ask for.
    from commission_tui.screens.photographs.field_reader import FIELDS, led_task, seam_task
    from commission_tui.screens.photographs.line_reader import line_task
    from commission_tui.screens.photographs.tile_reader import tile_task

    if check.role == _MAPPING:
        return [("the pattern 'coded tiles'", partial(tile_task, job))]
    if check.method == "scan_direction":
        return [("a film of the stepped line", partial(line_task, job, check.id))]
    if check.method == "seams":
        return [("seams on white", partial(seam_task, job, check.id))]
    if check.method == "pixel_faults":
        fields = sorted(FIELDS, key=lambda field: field != place)
        return [(f"LEDs on {field}", partial(led_task, job, field, check.id)) for field in fields]
    return []

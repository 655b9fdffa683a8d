"""What photographs of the tiles show, logged as readings of the mapping check with the pictures beside."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from commission_tui.logbook.actions.mapping_log import mapping_check_id, table_bodies
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.store.photos import KeptPicture
from commission_tui.wall.mapping import Reading
from commission_tui.wall.model.location import Cell


def log_tiles(
    job: OpenJob, readings: Mapping[Cell, Reading], pictures: Sequence[KeptPicture]
) -> int:
    """Log what was read and keep the pictures, in one transaction; return how many cabinets.

    The last picture, which names the others, is the source of each reading.

    Raises
    ------
    InputError
        When the checklist has no mapping check.
    """
    read = {cell: reading for cell, reading in readings.items() if reading.seen is not None}
    check = mapping_check_id(job.state)
    source = pictures[-1].stored.sha256
    bodies: list[e.Body] = list(table_bodies(job, read, source))
    bodies += [picture.body(check=check) for picture in pictures]
    job.record_all(bodies, files=[picture.stored for picture in pictures])
    return len(read)

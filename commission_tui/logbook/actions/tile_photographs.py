"""What photographs of the tiles show, logged as readings of the mapping check with the pictures beside."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from commission_tui.logbook.actions.mapping_log import check_id, table_bodies
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.entry_factory import body
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.store.store import StoredFile
from commission_tui.wall.mapping import Reading
from commission_tui.wall.model.location import Cell


@dataclass(frozen=True, slots=True)
class TilePhotograph:
    """A picture as it is kept, and how it was taken."""

    name: str
    content: bytes
    """JPEG or PNG."""
    how: str
    """Camera and exposure, and the hash of the file as it was where that is another."""


def log_tiles(
    job: OpenJob, readings: Mapping[Cell, Reading], pictures: Sequence[TilePhotograph]
) -> int:
    """Log what was read and keep the pictures, in one transaction; return how many cabinets.

    Raises
    ------
    InputError
        When the checklist has no mapping check.
    """
    read = {cell: reading for cell, reading in readings.items() if reading.seen is not None}
    of = f"{len(read)} of {len(readings)} cabinets read"
    bodies: list[e.Body] = list(table_bodies(job, read))
    files = []
    for picture in pictures:
        png = picture.content.startswith(b"\x89PNG")
        kept = StoredFile(
            hashlib.sha256(picture.content).hexdigest(),
            "image/png" if png else "image/jpeg",
            picture.content,
        )
        caption = f"Tiles from a photograph: {of}" + (f"; {picture.how}" if picture.how else "")
        files.append(kept)
        bodies.append(
            body(
                e.Photo,
                sha256=kept.sha256,
                name=picture.name,
                media_type=kept.media_type,
                size=len(picture.content),
                about=None,
                check=check_id(job.state),
                caption=caption,
            )
        )
    job.record_all(bodies, files=files)
    return len(read)

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
class KeptPicture:
    """A picture as it is kept, and what is said below it."""

    name: str
    content: bytes
    """JPEG or PNG."""
    caption: str

    @property
    def stored(self) -> StoredFile:
        png = self.content.startswith(b"\x89PNG")
        kind = "image/png" if png else "image/jpeg"
        return StoredFile(hashlib.sha256(self.content).hexdigest(), kind, self.content)

    def body(self, *, about: str | None = None, check: str | None = None) -> e.Photo:
        """Return the entry under which it is kept: of a fault, of a check, or of the job."""
        stored = self.stored
        return body(
            e.Photo,
            sha256=stored.sha256,
            name=self.name,
            media_type=stored.media_type,
            size=len(self.content),
            about=about,
            check=check,
            caption=self.caption,
        )


def log_tiles(
    job: OpenJob, readings: Mapping[Cell, Reading], pictures: Sequence[KeptPicture]
) -> int:
    """Log what was read and keep the pictures, in one transaction; return how many cabinets.

    Raises
    ------
    InputError
        When the checklist has no mapping check.
    """
    read = {cell: reading for cell, reading in readings.items() if reading.seen is not None}
    check = check_id(job.state)
    bodies: list[e.Body] = list(table_bodies(job, read))
    bodies += [picture.body(check=check) for picture in pictures]
    job.record_all(bodies, files=[picture.stored for picture in pictures])
    return len(read)

"""A picture that is kept beside what was read from it."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass

from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.entry_factory import body
from commission_tui.logbook.store.store import StoredFile


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

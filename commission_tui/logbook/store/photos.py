"""A photo or a file as a technician gives it: read whole, a photo known to be a picture, or refused."""

from __future__ import annotations

import hashlib
import mimetypes
from dataclasses import dataclass
from pathlib import Path

from commission_tui.bounded_picture import check_whole
from commission_tui.errors import InputError
from commission_tui.files import read_bounded
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.entry_factory import body
from commission_tui.logbook.store.store import StoredFile

_LARGEST = 40_000_000


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
        words = {"name": self.name, "caption": self.caption}
        return body(e.Photo, **words, **self.stored.facts, about=about, check=check)


def read_photo(path: Path, caption: str = "", *, keep_place: bool = False) -> KeptPicture:
    """Read a picture that the handover will be able to show; the place where it was taken is left out.

    Where what is kept is not the file itself, the caption says the file's hash.

    Raises
    ------
    InputError
        When the file cannot be read, is too large, or is no whole picture.
    """
    # Here, not at the top: most commands never touch a photo.
    from commission_tui.photo.picture_to_keep import picture_to_keep

    kept = picture_to_keep(path, keep_place=keep_place)
    # Now, not when it is handed over and nobody can take it again.
    check_whole(kept.content, str(path), InputError)
    captions = [caption] if caption else []
    if kept.taken_as:
        captions.append(f"{path.name} as taken: SHA-256 {kept.taken_as}")
    return KeptPicture(kept.name, kept.content, "; ".join(captions))


def read_file(path: Path) -> StoredFile:
    """Read any file that is to be kept with the job: a configuration, a certificate, a drawing.

    Raises
    ------
    InputError
        When it cannot be read, is empty or too large.
    """
    content = read_bounded(path, _LARGEST, "a file to keep", InputError)
    if not content:
        raise InputError(f"{path}: empty, expected a file with something in it")
    media_type = mimetypes.guess_type(path.name)[0] or "application/octet-stream"
    return StoredFile(hashlib.sha256(content).hexdigest(), media_type, content)

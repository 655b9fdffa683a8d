"""A photo or a file as a technician gives it: read whole, a photo known to be a picture, or refused."""

from __future__ import annotations

import hashlib
import io
import mimetypes
import warnings
from pathlib import Path

from commission_tui.errors import InputError
from commission_tui.files import read_bounded
from commission_tui.logbook.store.store import StoredFile

_LARGEST = 40_000_000
_MOST_PIXELS = 200_000_000


def read_photo(path: Path) -> StoredFile:
    """Read a JPEG or PNG that the handover will be able to show.

    Raises
    ------
    InputError
        When the file cannot be read, is too large, or is no whole picture.
    """
    content = read_bounded(path, _LARGEST, "a photo", InputError)
    media_type = _media_type(path, content)
    _whole_picture(path, content)
    return StoredFile(hashlib.sha256(content).hexdigest(), media_type, content)


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


def _media_type(path: Path, content: bytes) -> str:
    if content.startswith(b"\xff\xd8\xff"):
        return "image/jpeg"
    if content.startswith(b"\x89PNG\r\n\x1a\n"):
        return "image/png"
    raise InputError(f"{path}: not a JPEG or PNG photo")


def _whole_picture(path: Path, content: bytes) -> None:
    """Refuse now what the handover could not show then, when nobody can take it again."""
    # Here, not at the top: most commands never touch a photo.
    from PIL import Image

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", Image.DecompressionBombWarning)
            with Image.open(io.BytesIO(content), formats=("JPEG", "PNG")) as picture:
                if picture.width * picture.height > _MOST_PIXELS:
                    raise InputError(f"{path}: found more than 200 million pixels")  # noqa: TRY301 (told as it is)
                picture.draft("RGB", (2000, 2000))
                picture.load()
    except Image.DecompressionBombError:
        raise InputError(f"{path}: found more than 200 million pixels") from None
    except InputError:
        raise
    except Exception:  # what is no picture makes the library trip anywhere, by any error
        raise InputError(f"{path}: damaged, expected a whole photo") from None

"""What is kept of a picture file: a JPEG or PNG, without the place where it was taken."""

from __future__ import annotations

import hashlib
import io
import struct
import warnings
import zlib
from dataclasses import dataclass
from pathlib import Path

from PIL import ExifTags, Image

from commission_tui.errors import InputError
from commission_tui.files import read_bounded
from commission_tui.photo.picture_file import RAW, eight_bit, read_picture, refuse_large

_SCAN, _END, _APP1 = 0xDA, b"\xff\xd9", 0xE1
_JPEG, _PNG = b"\xff\xd8\xff", b"\x89PNG\r\n\x1a\n"
_OTHERS = frozenset({".heic", ".heif", ".hif", ".tif", ".tiff", *RAW})
_LARGEST_BYTES, _LARGEST_OTHERS = 40_000_000, 400_000_000
_TEXTS = {b"eXIf", b"iTXt", b"tEXt", b"zTXt"}


@dataclass(frozen=True, slots=True)
class ToKeep:
    """A picture as it may be kept."""

    name: str
    content: bytes
    """A JPEG or PNG."""
    taken_as: str = ""
    """The SHA-256 of the file where what is kept is not the file itself."""


def picture_to_keep(path: Path, *, keep_place: bool) -> ToKeep:
    """Return what is kept of a picture file: without its place, as a JPEG where it is of another kind.

    Raises
    ------
    InputError
        When it cannot be read, or has more pixels than any photograph that is read.
    """
    largest = _LARGEST_OTHERS if path.suffix.lower() in _OTHERS else _LARGEST_BYTES
    content = read_bounded(path, largest, "a photo", InputError)
    name, kept = path.name, content
    if not content.startswith((_JPEG, _PNG)):
        picture = read_picture(path)
        shown, held = eight_bit(picture.pixels, linear=picture.linear), io.BytesIO()
        Image.fromarray(shown).save(held, "JPEG", quality=90)
        name, kept = f"{path.stem}.jpg", held.getvalue()
    else:
        refuse_large(path, content)
        if not keep_place and has_place(content):
            kept = without_place(content)
    return ToKeep(name, kept, "" if kept is content else hashlib.sha256(content).hexdigest())


def has_place(content: bytes) -> bool:
    """Whether a JPEG or PNG says where it was taken."""
    if b"GPSLatitude" in content:  # XMP
        return True
    try:
        with _opened(content) as image:
            packed = b"GPSLatitude" in (image.info.get("xmp") or b"")
            return packed or bool(image.getexif().get_ifd(ExifTags.IFD.GPSInfo))
    except Exception:  # notes that nobody can read may name it
        return True


def _opened(content: bytes) -> Image.Image:
    """Open a picture for its notes alone, of whatever size: it is not decoded."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", Image.DecompressionBombWarning)
        return Image.open(io.BytesIO(content))


def without_place(content: bytes) -> bytes:
    """Return a JPEG or PNG without its place; its pixels are the same bytes.

    Notes
    -----
    Of a JPEG the EXIF block is written anew without GPS, XMP and everything after the picture's end
    (a telephone's film, a second picture) is left out: each can name the place. Of a PNG all text is.
    EXIF that cannot be read is left out whole.
    """
    if content.startswith(_PNG):
        return _png(content)
    kept, at = [b"\xff\xd8", _notes(content)], 2
    while at + 4 <= len(content) and content[at + 1] != _SCAN:
        length = 2 + int.from_bytes(content[at + 2 : at + 4], "big")
        if content[at + 1] != _APP1:
            kept.append(content[at : at + length])
        at += length
    end = content.find(_END, at)
    kept.append(content[at : end + 2] if end >= 0 else content[at:])
    return b"".join(kept)


def _notes(content: bytes) -> bytes:
    """Return the segment with a JPEG's EXIF, less its place."""
    try:
        with _opened(content) as image:
            exif = image.getexif()
        if ExifTags.IFD.GPSInfo in exif:
            del exif[ExifTags.IFD.GPSInfo]
        said = exif.tobytes()
        return b"\xff\xe1" + struct.pack(">H", len(said) + 2) + said
    except Exception:  # whatever broken notes make a library raise
        return b""


def _png(content: bytes) -> bytes:
    kept, at = [content[:8]], 8
    while at + 12 <= len(content):
        length = int.from_bytes(content[at : at + 4], "big")
        chunk = content[at : at + 12 + length]
        if chunk[4:8] not in _TEXTS and zlib.crc32(chunk[4:-4]) == int.from_bytes(
            chunk[-4:], "big"
        ):
            kept.append(chunk)
        at += 12 + length
        if chunk[4:8] == b"IEND":
            break
    return b"".join(kept)

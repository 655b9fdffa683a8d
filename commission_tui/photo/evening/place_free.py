"""What is kept of a picture file: a JPEG or PNG, without the place where it was taken."""

from __future__ import annotations

import io
import struct
import zlib
from pathlib import Path

from PIL import ExifTags, Image

from commission_tui.errors import InputError
from commission_tui.files import read_bounded
from commission_tui.photo.picture_file import eight_bit, read_picture

_START, _SCAN, _END, _APP1 = 0xD8, 0xDA, b"\xff\xd9", 0xE1
_SHOWN_AS_IT_IS = frozenset({".jpg", ".jpeg", ".png"})
_LARGEST_BYTES = 400_000_000
_TEXTS = {b"eXIf", b"iTXt", b"tEXt", b"zTXt"}


def kept_name(path: Path) -> str:
    """Return the name under which `content_to_keep` is kept."""
    return path.name if path.suffix.lower() in _SHOWN_AS_IT_IS else f"{path.stem}.jpg"


def content_to_keep(path: Path, *, keep_place: bool = False) -> bytes | None:
    """Return what is kept in place of a file: without its place, or as a JPEG; None for the file itself.

    Raises
    ------
    InputError
        When it cannot be read.
    """
    if path.suffix.lower() in _SHOWN_AS_IT_IS:
        content = read_bounded(path, _LARGEST_BYTES, "a photograph", InputError)
        return without_place(content) if not keep_place and has_place(content) else None
    held = io.BytesIO()
    picture = read_picture(path)
    shown = eight_bit(picture.pixels, linear=picture.linear)
    Image.fromarray(shown).save(held, "JPEG", quality=90)
    return held.getvalue()


def has_place(content: bytes) -> bool:
    """Whether a JPEG or PNG says where it was taken."""
    if content.startswith(b"\xff\xd8") and b"GPSLatitude" in content:  # XMP
        return True
    with Image.open(io.BytesIO(content)) as image:
        return bool(image.getexif().get_ifd(ExifTags.IFD.GPSInfo))


def without_place(content: bytes) -> bytes:
    """Return a JPEG or PNG without its place; its pixels are the same bytes.

    Notes
    -----
    Of a JPEG the EXIF block is written anew without GPS, XMP and everything after the picture's end
    (a telephone's film, a second picture) is left out: each can name the place. Of a PNG all text is.
    """
    if content.startswith(b"\x89PNG"):
        return _png(content)
    with Image.open(io.BytesIO(content)) as image:
        exif = image.getexif()
    if ExifTags.IFD.GPSInfo in exif:
        del exif[ExifTags.IFD.GPSInfo]
    said = exif.tobytes()
    kept = [b"\xff\xd8", b"\xff\xe1", struct.pack(">H", len(said) + 2), said]
    at = 2
    while at + 4 <= len(content) and content[at + 1] != _SCAN:
        length = 2 + int.from_bytes(content[at + 2 : at + 4], "big")
        if content[at + 1] != _APP1:
            kept.append(content[at : at + length])
        at += length
    end = content.find(_END, at)
    kept.append(content[at : end + 2] if end >= 0 else content[at:])
    return b"".join(kept)


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

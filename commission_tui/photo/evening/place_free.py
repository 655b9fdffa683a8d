"""A picture file without the place where it was taken."""

from __future__ import annotations

import io
import struct
import zlib

from PIL import ExifTags, Image

_START, _SCAN, _END, _APP1 = 0xD8, 0xDA, b"\xff\xd9", 0xE1
_EXIF = b"Exif\x00\x00"
_TEXTS = {b"eXIf", b"iTXt", b"tEXt", b"zTXt"}


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

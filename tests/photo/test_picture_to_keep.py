"""Pictures lose the place where they were taken, and nothing that is seen."""

from __future__ import annotations

import io

import numpy as np
from PIL import ExifTags, Image, PngImagePlugin

from commission_tui.photo.picture_to_keep import has_place, without_place
from tests.photo.test_picture_file import with_notes

PIXELS = np.random.default_rng(1).integers(0, 255, (40, 60, 3), np.uint8)
XMP = b"\xff\xe1\x00\x40http://ns.adobe.com/xap/1.0/\x00<GPSLatitude>10,30N</GPSLatitude>"


def jpeg() -> bytes:
    held = io.BytesIO()
    Image.fromarray(PIXELS).save(held, "JPEG", exif=with_notes(6), quality=90)
    return held.getvalue()


def read(content: bytes) -> tuple[bytes, Image.Exif]:
    with Image.open(io.BytesIO(content)) as image:
        return image.tobytes(), image.getexif()


def test_a_jpeg_keeps_its_pixels_and_how_it_was_taken() -> None:
    content = jpeg()
    assert has_place(content)
    free = without_place(content)
    assert not has_place(free)
    pixels, exif = read(free)
    assert pixels == read(content)[0]
    assert exif[ExifTags.Base.Orientation] == 6
    assert exif[ExifTags.Base.Model] == "pocket camera"
    assert exif.get_ifd(ExifTags.IFD.Exif)[ExifTags.Base.DateTimeOriginal] == "2026:03:14 19:02:11"
    assert not exif.get_ifd(ExifTags.IFD.GPSInfo)


def test_what_lies_behind_a_picture_and_beside_it_is_left_out() -> None:
    content = jpeg()
    padded = XMP.ljust(66, b" ")
    both = content[:2] + padded + content[2:] + b"a film with ;GPSLatitude;"
    assert has_place(both)
    free = without_place(both)
    assert b"GPSLatitude" not in free
    assert read(free)[0] == read(content)[0]


def test_a_png_loses_its_notes() -> None:
    held = io.BytesIO()
    notes = PngImagePlugin.PngInfo()
    notes.add_text("Comment", "taken at home")
    Image.fromarray(PIXELS).save(held, "PNG", exif=with_notes(), pnginfo=notes)
    assert has_place(held.getvalue())
    free = without_place(held.getvalue())
    assert not has_place(free)
    assert b"taken at home" not in free
    assert read(free)[0] == PIXELS.tobytes()


def test_a_picture_without_a_place_is_told() -> None:
    held = io.BytesIO()
    Image.fromarray(PIXELS).save(held, "JPEG")
    assert not has_place(held.getvalue())
    assert read(without_place(held.getvalue()))[0] == read(held.getvalue())[0]

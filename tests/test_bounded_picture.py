"""What a picture takes to decode is known before it is decoded."""

from __future__ import annotations

import io
import re
from typing import Any

import pytest
from PIL import Image

from commission_tui import bounded_picture
from commission_tui.bounded_picture import check_whole, smaller_on_white
from commission_tui.errors import InputError

SIZE = (400, 300)
PIXELS = 400 * 300


def _picture(form: str, mode: str, **how: Any) -> bytes:
    out = io.BytesIO()
    Image.new(mode, SIZE).save(out, form, **how)
    return out.getvalue()


@pytest.mark.parametrize(
    ("content", "bytes_a_pixel"),
    [
        (_picture("PNG", "L"), 1),
        (_picture("PNG", "RGB"), 4),
        (_picture("PNG", "RGBA"), 4),
        (_picture("JPEG", "RGB", subsampling=0), 4),
        (_picture("JPEG", "RGB", subsampling=0, progressive=True), 4 + 6),
        (_picture("JPEG", "RGB", subsampling=2, progressive=True), 4 + 3),
        (_picture("JPEG", "CMYK", progressive=True), 4 + 8),
    ],
    ids=[
        "grey",
        "colour",
        "see-through",
        "jpeg",
        "progressive",
        "progressive-420",
        "progressive-4",
    ],
)
def test_a_picture_is_refused_by_what_its_decoding_takes(
    content: bytes, bytes_a_pixel: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(bounded_picture, "MOST_DECODED_BYTES", PIXELS * bytes_a_pixel)
    check_whole(content, "it", InputError)
    assert smaller_on_white(content, "it", InputError, 2000).size == SIZE
    monkeypatch.setattr(bounded_picture, "MOST_DECODED_BYTES", PIXELS * bytes_a_pixel - 1)
    for refused in (
        lambda: check_whole(content, "it", InputError),
        lambda: smaller_on_white(content, "it", InputError, 2000),
    ):
        with pytest.raises(InputError, match=re.escape("it: found 0 million pixels, which take")):
            refused()


def test_of_a_large_jpeg_no_more_is_decoded_than_is_shown(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(bounded_picture, "MOST_DECODED_BYTES", PIXELS * 4 // 16)
    found = smaller_on_white(_picture("JPEG", "RGB"), "it", InputError, 75)
    assert found.size == (100, 75)

"""Photos made small enough for a document; the originals stay in the job."""

from __future__ import annotations

import base64
import io
import warnings
from typing import TYPE_CHECKING

from commission_tui.errors import DocumentError

if TYPE_CHECKING:
    from PIL import Image

_LONGEST_SIDE_PX = 1000
_QUALITY = 78
_WIDE = 2.2
_MOST_PIXELS = 200_000_000
_AT_ONCE_PX = 16_000_000
"""Above this a picture is made smaller by strips: as a whole it would be copied five times over."""


def downscaled(content: bytes) -> bytes:
    """Return a photo as a JPEG of at most 1000 px a side, upright, without its camera's data.

    Raises
    ------
    DocumentError
        When the bytes are not a picture that can be read.
    """
    # Here, not at the top: most commands never touch a photo.
    from PIL import Image, ImageOps

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", Image.DecompressionBombWarning)
            with Image.open(io.BytesIO(content), formats=("JPEG", "PNG")) as opened:
                if opened.width * opened.height > _MOST_PIXELS:
                    raise DocumentError("photo: found more than 200 million pixels")  # noqa: TRY301 (told as it is)
                opened.draft("RGB", (_LONGEST_SIDE_PX * 2, _LONGEST_SIDE_PX * 2))
                picture = _on_white(ImageOps.exif_transpose(_bearable(opened)))
        picture.thumbnail((_LONGEST_SIDE_PX, _LONGEST_SIDE_PX))
        out = io.BytesIO()
        picture.save(out, "JPEG", quality=_QUALITY)
    except DocumentError:
        raise
    except Exception as error:  # what is no picture makes the library trip anywhere, by any error
        raise DocumentError(f"photo: cannot be shown: {error}") from None
    return out.getvalue()


def in_svg(jpeg: bytes) -> bytes:
    """Wrap a JPEG in SVG: the typesetter takes files from memory only as text."""
    from PIL import Image

    with Image.open(io.BytesIO(jpeg)) as picture:
        width, height = picture.size
    data = base64.b64encode(jpeg).decode("ascii")
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}" height="{height}" '
        f'viewBox="0 0 {width} {height}"><image width="{width}" height="{height}" '
        f'href="data:image/jpeg;base64,{data}"/></svg>'
    ).encode("ascii")


def is_wide(jpeg: bytes) -> bool:
    """Whether a picture is so wide that half of a page is too narrow for it."""
    from PIL import Image

    with Image.open(io.BytesIO(jpeg)) as picture:
        return picture.width > _WIDE * picture.height


def _bearable(picture: Image.Image) -> Image.Image:
    """Return a picture of at most so many pixels, with the camera's word on which way is up."""
    from PIL import Image

    if picture.width * picture.height <= _AT_ONCE_PX:
        return picture
    factor = max(1, max(picture.size) // (2 * _LONGEST_SIDE_PX))
    small = Image.new("RGB", (-(-picture.width // factor), -(-picture.height // factor)))
    rows = factor * 64
    for top in range(0, picture.height, rows):
        strip = picture.crop((0, top, picture.width, min(top + rows, picture.height)))
        strip.info = picture.info
        small.paste(_on_white(strip).reduce(factor), (0, top // factor))
    small.info = picture.info
    return small


def _on_white(picture: Image.Image) -> Image.Image:
    from PIL import Image

    if picture.mode in {"RGBA", "LA", "PA"} or "transparency" in picture.info:
        alpha = picture.convert("RGBA")
        ground = Image.new("RGBA", alpha.size, "white")
        return Image.alpha_composite(ground, alpha).convert("RGB")
    return picture.convert("RGB")

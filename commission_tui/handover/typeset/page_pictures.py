"""Photos made small enough for a document; the originals stay in the job."""

from __future__ import annotations

import base64
import io

from commission_tui.bounded_picture import smaller_on_white
from commission_tui.errors import DocumentError

_LONGEST_SIDE_PX = 1000
_QUALITY = 78
_WIDE = 2.2


def downscaled(content: bytes) -> bytes:
    """Return a photo as a JPEG of at most 1000 px a side, upright, without its camera's data.

    Raises
    ------
    DocumentError
        When the bytes are not a picture that can be read.
    """
    picture = smaller_on_white(content, "photo", DocumentError, _LONGEST_SIDE_PX * 2)
    picture.thumbnail((_LONGEST_SIDE_PX, _LONGEST_SIDE_PX))
    out = io.BytesIO()
    picture.save(out, "JPEG", quality=_QUALITY)
    return out.getvalue()


def in_svg(jpeg: bytes) -> tuple[bytes, bool]:
    """Wrap a JPEG in SVG, since the typesetter takes files from memory only as text.

    Beside it: whether it is so wide that half of a page is too narrow for it.
    """
    from PIL import Image

    with Image.open(io.BytesIO(jpeg)) as picture:
        width, height = picture.size
    data = base64.b64encode(jpeg).decode("ascii")
    wrapped = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}" height="{height}" '
        f'viewBox="0 0 {width} {height}"><image width="{width}" height="{height}" '
        f'href="data:image/jpeg;base64,{data}"/></svg>'
    )
    return wrapped.encode("ascii"), width > _WIDE * height

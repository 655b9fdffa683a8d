"""A JPEG or PNG from anybody: decoded within bounds of memory, and only as finely as it is shown."""

from __future__ import annotations

import io
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

from commission_tui.errors import CommissionError

if TYPE_CHECKING:
    from PIL import Image

MOST_DECODED_BYTES = 600_000_000
"""12,000 x 12,000 in colour; with the program and its copies in strips below 1 GB."""
_AT_ONCE_PX = 16_000_000
"""Above this a picture is made smaller by strips: as a whole it would be copied five times over."""
_BYTES_A_PIXEL = {"1": 1, "L": 1, "P": 1, "I;16": 2}
"""As the imaging library holds them; every other mode takes 4."""


def check_whole(content: bytes, what: str, refusal: type[CommissionError]) -> None:
    """Refuse what is no whole JPEG or PNG, or too large; `what` names it in the refusal.

    Raises
    ------
    CommissionError
        The given one.
    """
    with _opened(content, what, refusal, 2000) as picture:
        picture.load()


def smaller_on_white(
    content: bytes, what: str, refusal: type[CommissionError], side_px: int
) -> Image.Image:
    """Return a JPEG or PNG upright, on white, RGB; a large one not much larger than `side_px`.

    Raises
    ------
    CommissionError
        The given one, when it is no whole picture or too large.
    """
    from PIL import ImageOps

    with _opened(content, what, refusal, side_px) as picture:
        return _on_white(ImageOps.exif_transpose(_bearable(picture, side_px)))


@contextmanager
def _opened(
    content: bytes, what: str, refusal: type[CommissionError], side_px: int
) -> Iterator[Image.Image]:
    # Here, not at the top: most commands never touch a photo.
    from PIL import Image

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", Image.DecompressionBombWarning)
            with Image.open(io.BytesIO(content), formats=("JPEG", "PNG")) as picture:
                _check_bearable(picture, content, what, refusal, side_px)
                yield picture
    except Image.DecompressionBombError:
        raise refusal(
            f"{what}: found more than 178 million pixels, expected fewer: save it smaller"
        ) from None
    except CommissionError:
        raise
    except Exception:  # what is no picture makes the library trip anywhere, by any error
        raise refusal(f"{what}: damaged, expected a whole photo, JPEG or PNG") from None


def _check_bearable(
    picture: Any, content: bytes, what: str, refusal: type[CommissionError], side_px: int
) -> None:
    """Refuse what takes too much to decode, once no more of a JPEG is asked for than is needed."""
    held, million = 0, picture.width * picture.height / 1e6
    if picture.format == "JPEG" and content.count(b"\xff\xda") > 1:
        # Of one in several scans, the library holds every coefficient, 2 bytes, to the last of them.
        pixels = picture.width * picture.height
        across, down = (max(part[at] for part in picture.layer) for at in (1, 2))
        held = sum(2 * pixels * h * v // (across * down) for _, h, v, _ in picture.layer)
    picture.draft("RGB", (side_px, side_px))
    held += picture.width * picture.height * _BYTES_A_PIXEL.get(picture.mode, 4)
    if held > MOST_DECODED_BYTES:
        raise refusal(
            f"{what}: found {million:.0f} million pixels, which take more than "
            f"{MOST_DECODED_BYTES // 1_000_000} MB to decode: save it smaller"
        )


def _bearable(picture: Image.Image, side_px: int) -> Image.Image:
    """Return a picture of at most so many pixels, with the camera's word on which way is up."""
    from PIL import Image

    if picture.width * picture.height <= _AT_ONCE_PX:
        return picture
    factor = max(1, max(picture.size) // side_px)
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

"""Picture files as cameras write them, read within bounds: JPEG, PNG, TIFF, HEIC, DNG and other raw."""

from __future__ import annotations

import hashlib
import io
import warnings
from collections.abc import Callable, Mapping
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray
from PIL import ExifTags, Image, ImageOps, UnidentifiedImageError

from commission_tui.errors import InputError
from commission_tui.figures import shown
from commission_tui.files import read_bounded
from commission_tui.photo.extra import cv2, library
from commission_tui.text import counted

MOST_PIXELS = 64_000_000
"""Read and looked through in 1 GB."""
_FEWEST_PX = 8
"""Of a picture's shorter side: in less nothing of a wall is seen."""
_LARGEST_BYTES = 400_000_000
_HEIC = {".heic", ".heif", ".hif"}
RAW = {".dng", ".cr2", ".cr3", ".nef", ".arw", ".raf", ".rw2", ".orf", ".pef", ".srw"}
_FORMATS = ("JPEG", "PNG", "TIFF")
"""No other is sought in a file: one of them, PostScript, would start a program."""
_PNG_DEPTH_AT = 24
"""PNG specification, third edition, W3C 2025, 11.2.1: the bit depth in the header."""
Pixels = NDArray[np.uint8] | NDArray[np.uint16]
_T = TypeVar("_T", bound=NDArray[Any])
_EXPECTED = "a JPEG, PNG, TIFF, HEIC, DNG or other raw file of a camera"


@dataclass(frozen=True)
class Picture:
    """A picture upright, with what its file says of how it was taken."""

    pixels: Pixels
    """H x W x 3: red, green, blue."""
    linear: bool
    """Values are in proportion to light: developed from raw."""
    taken: str = ""
    """The camera's own clock, as it wrote it; it has no time zone."""
    exposure_s: float | None = None
    f_number: float | None = None
    iso: int | None = None
    camera: str = ""


def read_picture(path: Path) -> Picture:
    """Read a picture file; where it was taken is not read.

    Raises
    ------
    InputError
        One line, when the file is no picture, is cut off, is too large, or needs a library that is
        not installed.
    """
    kind = path.suffix.lower()
    content = read_bounded(path, _LARGEST_BYTES, "a photograph", InputError)
    if not content:
        raise InputError(f"{path}: found an empty file, expected {_EXPECTED}")
    if kind in RAW:
        return _raw(path, content)
    heic = kind in _HEIC or content[4:12] in {b"ftypheic", b"ftypheix", b"ftypmif1", b"ftypheif"}
    if heic:
        library("pillow_heif", f"{path}: a HEIC picture").register_heif_opener()
    with warnings.catch_warnings():
        # Ours is the bound that counts; oddities in a camera's notes are no concern.
        warnings.simplefilter("ignore")
        return _common(path, content, heic=heic)


def refuse_large(path: Path, content: bytes) -> None:
    """Refuse a JPEG or PNG of more pixels than are read, which is not decoded for it.

    Raises
    ------
    InputError
        One line; what cannot be opened is refused where it is decoded.
    """
    size = (0, 0)
    with warnings.catch_warnings(), suppress(OSError, ValueError):
        warnings.simplefilter("ignore")
        try:
            with Image.open(io.BytesIO(content), formats=_FORMATS) as image:
                size = image.size
        except Image.DecompressionBombError:
            raise _too_large(path, "more than a hundred") from None
    _refuse_more(path, *size)


def eight_bit(pixels: Pixels, *, linear: bool) -> NDArray[np.uint8]:
    """Return 8 bits a colour, lifted as a screen expects it where values go with light."""
    if pixels.dtype == np.uint8 and not linear:
        return np.asarray(pixels, np.uint8)
    levels = np.arange(np.iinfo(pixels.dtype).max + 1)
    share = levels / levels[-1]
    table = np.rint(255 * (share ** (1 / 2.2) if linear else share)).astype(np.uint8)
    return np.asarray(table[pixels], np.uint8)


def averaged(values: _T, smaller: int) -> _T:
    """Return a picture a whole number of times smaller, each pixel the mean of those it covers."""
    if smaller == 1:
        return values
    height, width = (side // smaller for side in values.shape[:2])
    whole = values[: height * smaller, : width * smaller]
    found: _T = cv2.resize(whole, (width, height), interpolation=cv2.INTER_AREA)
    return found


def at_most(values: _T, longest_px: int) -> _T:
    """Return a picture whose longer side has no more pixels, each the mean of what it covers."""
    scale = min(1.0, longest_px / max(values.shape))
    found: _T = cv2.resize(values, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA)
    return found


def how_taken(picture: Picture) -> str:
    """Say camera and exposure as the file does."""
    said = [picture.camera] if picture.camera else []
    if picture.exposure_s:
        said.append(f"{shown(1000 * picture.exposure_s)} ms")
    if picture.f_number:
        said.append(f"f/{shown(picture.f_number, 2)}")
    if picture.iso:
        said.append(f"ISO {picture.iso}")
    if picture.taken:
        said.append(f"by its clock {picture.taken}")
    return ", ".join(said)


def source_words(path: Path) -> str:
    """Say of which file something was read: how it was taken, its name and the hash of its bytes."""
    content = read_bounded(path, _LARGEST_BYTES, "a photograph", InputError)
    how = how_taken(read_picture(path))
    source = f"{path.name} as taken: SHA-256 {hashlib.sha256(content).hexdigest()}"
    return f"{how}; {source}" if how else source


def _common(path: Path, content: bytes, *, heic: bool) -> Picture:
    try:
        image = Image.open(io.BytesIO(content), formats=_FORMATS + (("HEIF",) if heic else ()))
    except UnidentifiedImageError:
        raise InputError(
            f"{path}: found no picture that can be read, expected {_EXPECTED}"
        ) from None
    except Image.DecompressionBombError:
        raise _too_large(path, "more than a hundred") from None
    except Exception as error:
        raise InputError(f"{path}: cannot be read: {error or type(error).__name__}") from None
    with image:
        _bounded(path, *image.size)
        try:
            # Before the notes, for which a PNG is decoded to its end and held beside it.
            deep = _deep(image, content)
            exif = image.getexif()
            said = _notes(exif)
            orientation = int(exif.get(ExifTags.Base.Orientation, 1) or 1)
            if deep is not None:
                return Picture(_upright(deep, orientation), linear=False, **said)
            ImageOps.exif_transpose(image, in_place=True)
            # Converted only where it is another kind: each copy is as large as the picture.
            upright = image if image.mode == "RGB" else image.convert("RGB")
            pixels = np.asarray(upright)
        except InputError:
            raise
        except Exception as error:  # whatever a broken file makes a decoder raise
            raise _cut_off(path, error) from None
    return Picture(pixels, linear=False, **said)


def _deep(image: Image.Image, content: bytes) -> NDArray[np.uint16] | None:
    """Return the values of a picture of 16 bits, which the imaging library would make 8 of."""
    if image.format not in {"TIFF", "PNG"} or not _is_deep(image, content):
        return None
    held = cv2.imdecode(np.frombuffer(content, np.uint8), cv2.IMREAD_UNCHANGED)
    if held is None:
        raise OSError("its data cannot be decoded")
    if held.dtype != np.uint16:
        return None
    if held.ndim == 2:
        return np.repeat(held[:, :, None], 3, 2).astype(np.uint16, copy=False)
    if held.shape[2] == 4:
        return np.asarray(cv2.cvtColor(held, cv2.COLOR_BGRA2RGB), np.uint16)
    return np.asarray(cv2.cvtColor(held, cv2.COLOR_BGR2RGB, dst=held), np.uint16)


def _is_deep(image: Image.Image, content: bytes) -> bool:
    if image.format == "TIFF":
        bits = image.tag_v2.get(258, (8,)) if hasattr(image, "tag_v2") else (8,)
        return bool(max(bits if isinstance(bits, tuple) else (bits,)) > 8)
    # Of a PNG the mode does not say it: 16 bits of colour are opened as 8.
    return len(content) > _PNG_DEPTH_AT and content[_PNG_DEPTH_AT] > 8


def _upright(pixels: NDArray[np.uint16], orientation: int) -> NDArray[np.uint16]:
    """Turn by the orientation as EXIF counts it (EXIF 2.32, tag 274)."""
    ways: Mapping[int, Callable[[Any], Any]] = {
        2: lambda p: p[:, ::-1],
        3: lambda p: p[::-1, ::-1],
        4: lambda p: p[::-1],
        5: lambda p: np.swapaxes(p, 0, 1),
        6: lambda p: np.rot90(p, -1),
        7: lambda p: np.swapaxes(p, 0, 1)[::-1, ::-1],
        8: lambda p: np.rot90(p, 1),
    }
    turned: NDArray[np.uint16] = np.ascontiguousarray(ways.get(orientation, lambda p: p)(pixels))
    return turned


def _raw(path: Path, content: bytes) -> Picture:
    rawpy = library("rawpy", f"{path}: a raw picture")
    try:
        with rawpy.imread(io.BytesIO(content)) as raw:
            _bounded(path, raw.sizes.width, raw.sizes.height)
            pixels = raw.postprocess(
                gamma=(1, 1), no_auto_bright=True, output_bps=16, use_camera_wb=True
            )
    except InputError:
        raise
    except Exception as error:
        raise _cut_off(path, error) from None
    said: dict[str, Any] = {}
    try:
        with Image.open(io.BytesIO(content), formats=_FORMATS) as image:
            said = _notes(image.getexif())
    except Exception:  # a raw file without notes that can be read is still a picture
        said = {}
    return Picture(pixels, linear=True, **said)


def _notes(exif: Image.Exif) -> dict[str, Any]:
    """Return what EXIF says of how the picture was taken; values that make no sense are left out."""
    more = exif.get_ifd(ExifTags.IFD.Exif)
    tag = ExifTags.Base
    return {
        "taken": _text(more.get(tag.DateTimeOriginal) or exif.get(tag.DateTime)),
        "exposure_s": _number(more.get(tag.ExposureTime)),
        "f_number": _number(more.get(tag.FNumber)),
        "iso": _whole(more.get(tag.ISOSpeedRatings)),
        "camera": _text(exif.get(tag.Model)),
    }


def _text(value: Any) -> str:
    return " ".join(str(value).replace("\x00", " ").split())[:100] if value else ""


def _number(value: Any) -> float | None:
    try:
        number = float(value)
    except (TypeError, ValueError, ZeroDivisionError):
        return None
    return number if 0 < number < 1e6 else None


def _whole(value: Any) -> int | None:
    number = _number(value[0] if isinstance(value, tuple) and value else value)
    return round(number) if number else None


def _refuse_more(path: Path, width: int, height: int) -> None:
    if width * height > MOST_PIXELS:
        raise _too_large(path, f"{width * height / 1e6:.0f}")


def _bounded(path: Path, width: int, height: int) -> None:
    _refuse_more(path, width, height)
    if min(width, height) < _FEWEST_PX:
        raise InputError(
            f"{path}: found a picture of {width} x {height} px, expected {_FEWEST_PX} px or more each way"
        )


def _too_large(path: Path, found: str) -> InputError:
    most = counted(MOST_PIXELS // 1_000_000, "megapixel")
    return InputError(
        f"{path}: found a picture of {found} megapixels, expected at most {most}: save it smaller"
    )


def _cut_off(path: Path, error: Exception) -> InputError:
    why = " ".join(str(error).split())[:120] or type(error).__name__
    return InputError(
        f"{path}: the picture is cut off or broken ({why}), expected a whole file: copy it again"
    )

"""What a person types of a wall's design: sizes, counts and lines of a list, in the ways they are said."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping
from typing import Any

from commission_tui.engineering.numeric.quantity_text import parse_quantity
from commission_tui.errors import InputError
from commission_tui.text import counted, upper_first

_TIMES = re.compile(r"\s*(?:[x×*]|\bby\b)\s*", re.IGNORECASE)
_UNIT = re.compile(r"[^\W\d_]|[\"']")
_THREE_BEHIND = re.compile(r"(?P<whole>[1-9]\d{0,2})[.,](?P<three>\d{3}) ?(?P<unit>[^\d\s.,].*)?")
_NEVER_THOUSANDS = frozenset({"Hz", "m", "s"})
"""Units of a wall's design that have no thousands: 23.976 Hz and 18.288 m are what they say."""
_ROUTES = tuple(
    f"{lines}, {way}, from {down} {across}"
    for lines in ("rows", "columns")
    for way in ("serpentine", "same way")
    for down in ("top", "bottom")
    for across in ("left", "right")
)


def figure(text: str, unit: str) -> float:
    """Read a number with or without its unit: ``337,5``, ``21 ft``, ``650k``.

    Nothing stands beside a figure of a design that would tell 1.000 from 1000, as it does beside a
    reading: three digits behind a point are refused here as those behind a comma are.

    Raises
    ------
    InputError
        When it is none, or none of that unit, or may be thousands.
    """
    parted = _THREE_BEHIND.fullmatch(text.strip())
    if parted and (parted["unit"] or unit) not in _NEVER_THOUSANDS:
        whole, three = parted["whole"], parted["three"]
        other = three.rstrip("0") or "0" if three.endswith("0") else f"{three}0"
        raise InputError(
            f"found {text.strip()[:30]!r}, which may be {whole}.{three} or {whole}{three}; type "
            f"{whole}.{other} or {whole}{three}"
        )
    try:
        return parse_quantity(text, unit)
    except ValueError as error:
        raise InputError(f"found {error}") from None


def count(text: str, least: int = 1, most: int | None = None) -> int:
    """Read a whole number: ``12``, ``650k``, ``650 000``."""
    value = figure(text, "")
    span = f"of {least} or more" if most is None else f"from {least} to {most}"
    if not value.is_integer() or value < least or (most is not None and value > most):
        raise InputError(f"found {text.strip()[:30]!r}, expected a whole number {span}")
    return int(value)


def pair(text: str, unit: str) -> tuple[float, float]:
    """Read two numbers, across and down: ``600x337,5``, ``2 ft x 1 ft``, ``500`` for both."""
    parts = _TIMES.split(text.strip())
    if len(parts) > 2 or not all(parts):
        raise InputError(f"found {text[:30]!r}, expected such as 500x500")
    across, down = parts[0], parts[-1]
    if _UNIT.search(down) and not _UNIT.search(across):  # 24 x 12 in
        across += re.sub(r"^[\d.,/\s]+", " ", down)
    return figure(across, unit), figure(down, unit)


def whole_pair(text: str, most: int = 65_536) -> tuple[int, int]:
    """Read two whole numbers: ``9 x 4``, ``200x200``, ``200`` for both."""
    numbers = pair(re.sub(r"\s*(px|pixels)\b", "", text, flags=re.IGNORECASE), "")
    if not all(math.isfinite(n) and n.is_integer() and 1 <= n <= most for n in numbers):
        raise InputError(f"found {text.strip()[:30]!r}, expected two whole numbers such as 9x4")
    return int(numbers[0]), int(numbers[1])


def two_whole(text: str, most: int) -> tuple[int, int]:
    """Read two whole numbers that one alone would not stand for: ``9 x 4``."""
    if len(_TIMES.split(text.strip())) < 2:
        raise InputError(f"found {text.strip()[:30]!r}, expected two whole numbers such as 9x4")
    return whole_pair(text, most)


def route_words(text: str) -> str:
    """Read a way through the cabinets; the words that are left out are those of the usual one."""
    words = set(re.findall(r"[a-z]+", text.lower()))
    known = {word for name in _ROUTES for word in re.findall(r"[a-z]+", name)}
    fits = [name for name in _ROUTES if words <= set(re.findall(r"[a-z]+", name))]
    if not words <= known or not fits:
        raise InputError(
            f"found {text[:40]!r}, expected such as 'rows, serpentine, from top left' or "
            "'columns from bottom right'"
        )
    return fits[0]


def _split(text: str) -> list[str]:
    """Part a line by its commas, but not inside a number such as 337,5."""
    return [cell.strip() for cell in re.split(r",\s+|;\s*|,(?!\d)", text.strip())]


def _cells(text: str, wanted: str, count: int) -> list[str]:
    """Part a line into so many parts, the first a name; one that has a comma is parted by semicolons."""
    by_semicolons = [cell.strip() for cell in text.split(";")]
    cells = by_semicolons if ";" in text and len(by_semicolons) == count else _split(text)
    if len(cells) != count or not all(cells):
        raise InputError(
            f"found {counted(len(cells), 'part')} in {text.strip()[:60]!r}, expected {wanted}"
        )
    return [a_name(cells[0]), *cells[1:]]


def a_name(text: str) -> str:
    """Read a name; a yes or a no is the answer to another question.

    Raises
    ------
    InputError
        When it is a yes or a no.
    """
    name = text.strip()
    if name.lower() in {"y", "n", "yes", "no"}:
        raise InputError(f"found {name!r}, a yes or no, expected a name")
    return name


_US_LENGTH = re.compile(r"[\"'′″’”“]|(?<![^\W\d_])(?:in|inch|inches|ft|foot|feet)\b", re.IGNORECASE)


def _length(text: str, unit: str) -> float:
    """Read a length; a fraction is one of an inch or a foot, else it is a shutter time gone astray."""
    if "/" in text and not _US_LENGTH.search(text):
        raise InputError(f"found {text[:30]!r}, expected a length such as 250 mm or 9 1/2 in")
    return figure(text, unit)


def input_line(text: str) -> dict[str, Any]:
    """Read ``Stage laptop, HDMI 1, 1920x1080, 60``."""
    wanted = "four: name, connector, pixels and rate, such as 'Laptop, HDMI 1, 1920x1080, 60'"
    name, connector, size, rate = _cells(text, wanted, 4)
    across, down = whole_pair(size)
    return {
        "name": name,
        "connector": connector,
        "width_px": across,
        "height_px": down,
        "frame_rate_hz": figure(rate, "Hz"),
    }


def camera_line(text: str) -> dict[str, Any]:
    """Read ``Camera 1, 18 m, 1/50, 50``; a name with a comma needs ``;`` between the parts."""
    wanted = "four: name, distance, shutter and rate, such as 'Camera 1, 18 m, 1/50, 50'"
    name, distance, shutter, rate = _cells(text, wanted, 4)
    return {
        "name": name,
        "distance_m": _length(distance, "m"),
        "shutter_s": round(figure(shutter, "s"), 6),
        "frame_rate_hz": figure(rate, "Hz"),
    }


def suspension_line(text: str) -> dict[str, Any]:
    """Read ``H1, 250 mm, 5 kN``."""
    wanted = "three: name, place from the left edge and rated load, such as 'H1, 250 mm, 5 kN'"
    name, place, rated = _cells(text, wanted, 3)
    return {
        "name": name,
        "x_mm": _length(place, "mm"),
        "rated_kn": figure(rated, "kN"),
    }


def name_line(text: str) -> dict[str, Any]:
    """Read ``Lectern``."""
    (name,) = _cells(text, "one: a name alone, such as 'Lectern'", 1)
    return {"name": name}


_STATED: tuple[tuple[re.Pattern[str], Callable[[re.Match[str]], Mapping[str, Any]]], ...] = (
    (re.compile(r"rev(?:ision)?\.? (\S+)", re.I), lambda m: {"revision": m[1]}),
    (re.compile(r"(front|rear)(?: view)?", re.I), lambda m: {"view": m[1].lower()}),
    (re.compile(r"(\d+(?:\.\d+)?:\d+(?:\.\d+)?)"), lambda m: {"aspect": m[1]}),
    (
        re.compile(r"pitch (\d+(?:[.,]\d+)?)(?: mm)?", re.I),
        lambda m: {"pitch_mm": m[1].replace(",", ".")},
    ),
    (
        re.compile(r"(.+) ?(?:px|pixels)", re.I),
        lambda m: dict(zip(("width_px", "height_px"), whole_pair(m[1]), strict=True)),
    ),
    (
        re.compile(r"(.+(?:[x×*]|\bby\b).+)", re.I),
        lambda m: dict(zip(("width_mm", "height_mm"), pair(m[1], "mm"), strict=True)),
    ),
    (re.compile(r"(.+(?:kg|lb|t))", re.I), lambda m: {"weight_kg": figure(m[1], "kg")}),
)


def stated_line(text: str) -> dict[str, Any]:
    """Read ``Tender, rev B, 6000x3000 mm, 2400x1200 px, pitch 2.5, 2:1, 480 kg, front``."""
    wanted = (
        "document and what it states, such as 'Tender, rev B, 6000x3000 mm, 2400x1200 px, "
        "pitch 2.5, 2:1, 480 kg, front'"
    )
    document, *parts = _split(text)
    if not parts or not all((document, *parts)):
        raise InputError(f"found {text.strip()[:60]!r}, expected {wanted}")
    found: dict[str, Any] = {"document": document}
    for part in parts:
        for pattern, read in _STATED:
            if match := pattern.fullmatch(part):
                found |= read(match)
                break
        else:
            raise InputError(f"found {part[:40]!r}, expected {wanted}")
    return found


FEATURES: Mapping[str, str] = {
    "residual-current devices": "Residual-current devices in the circuits",
    "two supplies": "A second supply in each cabinet",
    "two processors": "A second processor",
    "backup runs": "A backup run to each chain",
    "fibre": "Fibre on the way to the wall",
    "hoists": "Hoists left in the load path",
    "fire input": "An input from the fire alarm",
    "cameras": "Cameras that shoot the wall",
    "sound from picture": "Loudspeakers that take their sound from the picture",
    "daylight": "Daylight on the wall",
}
"""What is asked of every wall, since silence would pass for a no."""


def feature_words(feature: str) -> str:
    """Return how a feature of a wall or its room is asked for."""
    return FEATURES.get(feature, upper_first(feature))

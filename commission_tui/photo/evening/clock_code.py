"""The time as a QR code (ISO/IEC 18004), drawn with characters and read from a photograph."""

from __future__ import annotations

from datetime import UTC, datetime

import numpy as np
from numpy.typing import NDArray

from commission_tui.photo.extra import cv2
from commission_tui.photo.picture_file import at_most

_BEGINS = "commission-tui clock "
_QUIET = 4
"""Modules that stay light round the code: ISO/IEC 18004 (from memory)."""
_HALVES = {(True, True): "█", (True, False): "▀", (False, True): "▄", (False, False): " "}
_SIDES_PX = (1200, 2400)


def clock_rows(now: datetime) -> list[str]:
    """Return the code of a moment as lines of characters, two modules high each, light ones drawn."""
    said = _BEGINS + now.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
    code = np.asarray(cv2.QRCodeEncoder.create().encode(said)) > 0
    edges = np.flatnonzero(~code.all(axis=0))
    inner = code[edges[0] : edges[-1] + 1, edges[0] : edges[-1] + 1]
    light = np.pad(inner, _QUIET, constant_values=True)
    if len(light) % 2:
        light = np.pad(light, ((0, 1), (0, 0)), constant_values=True)
    return [
        "".join(_HALVES[bool(upper), bool(lower)] for upper, lower in zip(*pair, strict=True))
        for pair in zip(light[::2], light[1::2], strict=True)
    ]


def read_clock(grey: NDArray[np.uint8]) -> datetime | None:
    """Return the moment that a code in a picture says; None when there is none of ours."""
    detector = cv2.QRCodeDetectorAruco()
    for side in _SIDES_PX:
        small = at_most(grey, side)
        try:
            said, *_ = detector.detectAndDecode(small)
        except cv2.error:  # a picture of which the library makes nothing
            said = ""
        moment = _moment(said)
        if moment is not None or small.shape == grey.shape:
            return moment
    return None


def _moment(said: str) -> datetime | None:
    if not said.startswith(_BEGINS):
        return None
    try:
        found = datetime.strptime(said[len(_BEGINS) :], "%Y-%m-%dT%H:%M:%SZ")
    except ValueError:
        return None
    return found.replace(tzinfo=UTC)

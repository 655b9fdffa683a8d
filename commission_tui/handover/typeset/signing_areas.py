"""Where signatures are drawn: fixed frames on the last page of every document."""

from __future__ import annotations

from dataclasses import dataclass

COUNT = 5
_MM_PT = 72 / 25.4
_LEFT_MM = 20.0
_TOP_MM = 46.0
_HEIGHT_MM = 39.5
_STEP_MM = 42.0
_EDGE_PT = 0.6
"""So that what is drawn into a frame leaves its line to be seen."""
_PAPER_MM = {"a4": (210.0, 297.0), "us-letter": (215.9, 279.4)}

PdfRectangle = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class Frame:
    """One frame, in millimetres from the top left of the page."""

    number: int
    x: float
    y: float
    width: float
    height: float


def frames_mm(paper: str) -> list[Frame]:
    """Return each frame from the top left of the page, as the template draws it."""
    width, _ = _PAPER_MM[paper]
    return [
        Frame(number + 1, _LEFT_MM, _TOP_MM + _STEP_MM * number, width - 2 * _LEFT_MM, _HEIGHT_MM)
        for number in range(COUNT)
    ]


def boxes_pt(paper: str) -> list[PdfRectangle]:
    """Return each frame as PDF counts: points from the bottom left, two corners."""
    _, page_mm = _PAPER_MM[paper]
    return [
        (
            frame.x * _MM_PT + _EDGE_PT,
            (page_mm - frame.y - frame.height) * _MM_PT + _EDGE_PT,
            (frame.x + frame.width) * _MM_PT - _EDGE_PT,
            (page_mm - frame.y) * _MM_PT - _EDGE_PT,
        )
        for frame in frames_mm(paper)
    ]

"""What a signature shows in its frame: set by the typesetter, so that its fonts are in the file."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from datetime import UTC, datetime
from itertools import pairwise
from pathlib import Path
from typing import Annotated

import typst
from pydantic import Field, TypeAdapter, ValidationError

from commission_tui.errors import DocumentError, InputError
from commission_tui.files import read_bounded
from commission_tui.handover.drawings.svg import Point, Sketch
from commission_tui.handover.font_coverage import printable
from commission_tui.logbook.actions.signature_entry import is_client
from commission_tui.logbook.entries.entry_parts import Stroke
from commission_tui.text import clipped, flat
from commission_tui.validation_errors import expected, found

LONGEST_STATEMENT = 1000
_BOX = 10_000
_LARGEST_STROKES = 10_000_000
_HIGH = 400.0
_WIDE = 2 * _HIGH
"""Strokes are drawn in a box twice as wide as high."""
_COARSE = 400
"""Points of a stroke up to which its corners are seen."""
_PAPER = 12.0
"""Empty paper that stays round the strokes."""

Strokes = tuple[tuple[tuple[int, int], ...], ...]
_STROKES: TypeAdapter[Strokes] = TypeAdapter(
    Annotated[tuple[Stroke, ...], Field(min_length=1, max_length=200)]
)

_SOURCE = b"""
#let d = json("block.json")
#set page(width: d.width * 1pt, height: d.height * 1pt, margin: 6pt, fill: white)
#set text(font: ("Libertinus Serif", "DejaVu Sans Mono"), lang: "en", hyphenate: false, ligatures: false)
#show regex("\\S{20,}"): it => it.text.clusters().join(box())
#let words(size) = {
  set text(size: size * 1pt)
  set par(leading: 0.5em, spacing: 0.6em)
  par({ strong(d.name); if d.organisation != "" { ", " + d.organisation } })
  par({ d.role; h(1em); d.at })
  par(d.statement)
  par(d.standing)
  par(text(size: 0.8em, { "Record " + d.fingerprint; linebreak(); "Certificate " + d.certificate }))
}
#let mark = if d.strokes { image("strokes.svg", width: 100%, height: 100%, fit: "contain") } else {
  align(center + horizon, text(size: 14pt, d.name))
}
#layout(area => {
  let wide = area.width - d.mark * 1pt - 8pt
  let sizes = (9, 8, 7, 6, 5, 4, 3.5, 3, 2.5, 2)
  let fits = sizes.find(size => measure(width: wide, words(size)).height <= area.height)
  grid(
    columns: (wide, d.mark * 1pt),
    column-gutter: 8pt,
    rows: (area.height,),
    words(if fits == none { 2 } else { fits }),
    box(width: 100%, height: 100%, clip: true, mark),
  )
})
"""


def read_strokes(path: Path) -> Strokes:
    """Read a drawn signature: a list of strokes, each a list of [x, y] from 0 to 10,000.

    Raises
    ------
    InputError
        One line: what is not sound in it.
    """
    content = read_bounded(path, _LARGEST_STROKES, "a drawn signature", InputError)
    try:
        return _STROKES.validate_json(content)
    except ValidationError as error:
        first = error.errors(include_url=False)[0]
        where = "".join(f"[{int(part) + 1}]" for part in first["loc"])
        raise InputError(
            f"{path}: strokes{where}: found {found(first)}, expected {expected(first)}"
        ) from None


@dataclass(frozen=True, slots=True)
class SignatureBlock:
    """What a signer says and shows."""

    role: str
    name: str
    statement: str
    exceptions: int
    organisation: str = ""
    strokes: Strokes | None = None
    is_draft: bool = False
    """Whether what is signed says of itself that it is a draft."""
    is_refused: bool = False
    """Whether what is signed says that the client refused the wall, which accepts nothing."""

    @property
    def standing(self) -> str:
        """Say what is signed: exceptions are accepted by the client alone, by others seen in the list."""
        if self.is_refused:
            by = "" if is_client(self.role) else " by the client"
            return f"Refused{by}. Exceptions listed: {self.exceptions}"
        how = "accepted" if is_client(self.role) else "listed"
        return f"{'A draft. ' if self.is_draft else ''}Exceptions {how}: {self.exceptions}"

    @property
    def reason(self) -> str:
        """Say role, statement and what is signed in one line."""
        end = "" if self.statement.endswith((".", "!", "?")) else "."
        return f"{self.role}: {self.statement}{end} {self.standing}."


def signature_appearance(
    block: SignatureBlock, size_pt: tuple[float, float], at: datetime, marks: tuple[str, str]
) -> bytes:
    """Return one page of PDF of exactly the frame's size.

    Parameters
    ----------
    block : SignatureBlock
        What it shows.
    size_pt : tuple of float
        Width and height of the frame.
    at : datetime
        The signer's own time.
    marks : tuple of str
        Fingerprint of the record and SHA-256 of the certificate.
    """
    fingerprint, certificate = marks
    data, _ = printable(
        {
            "width": size_pt[0],
            "height": size_pt[1],
            "mark": min(0.35 * size_pt[0], 2 * (size_pt[1] - 12)),
            **asdict(block),
            "standing": block.standing,
            "at": f"{at.astimezone(UTC):%Y-%m-%d %H:%M:%S} UTC by the signer's clock",
            "strokes": block.strokes is not None,
            "fingerprint": fingerprint,
            "certificate": certificate,
        }
    )
    files = {
        "main": _SOURCE,
        "block.json": json.dumps(data, ensure_ascii=False).encode("utf-8"),
        "strokes.svg": strokes_svg(block.strokes or ()),
    }
    try:
        made = typst.compile(
            files,  # type: ignore[call-overload]
            format="pdf",
            pdf_standards=["a-3b"],
            pdf_tags=False,
            ignore_system_fonts=True,
            timestamp=int(at.timestamp()),
        )
    except typst.TypstError as error:
        words = clipped(flat(str(error.message)), 300)
        raise DocumentError(f"signature: the typesetter refused it: {words}") from None
    return bytes(made)


def strokes_svg(strokes: Strokes) -> bytes:
    """Draw strokes without the empty paper round them, their corners rounded as a pen leaves them."""
    drawn = [[(x * _WIDE / _BOX, y * _HIGH / _BOX) for x, y in stroke] for stroke in strokes]
    everywhere = [point for stroke in drawn for point in stroke] or [(0.0, 0.0)]
    left, top = (min(side) - _PAPER for side in zip(*everywhere, strict=True))
    right, foot = (max(side) + _PAPER for side in zip(*everywhere, strict=True))
    # Something small is shown small: a dot does not become a disc.
    wide, high = max(right - left, _WIDE / 3), max(foot - top, _HIGH / 3)
    sketch = Sketch(wide, high, "signature")
    for stroke in drawn:
        points = [(x - left, y - top) for x, y in stroke]
        if len(points) == 1:
            sketch.circle(*points[0], 3)
        else:
            sketch.path(_rounded(_rounded(points)), thick=5)
    return sketch.to_bytes()


def _rounded(points: Sequence[Point]) -> list[Point]:
    """Cut every corner at a quarter and three quarters of its sides; both ends stay.

    Chaikin's corner cutting, from memory. What was drawn in many small steps is round already.
    """
    if len(points) > _COARSE:
        return list(points)
    cut = [points[0]]
    for (x0, y0), (x1, y1) in pairwise(points):
        cut += [
            (0.75 * x0 + 0.25 * x1, 0.75 * y0 + 0.25 * y1),
            (0.25 * x0 + 0.75 * x1, 0.25 * y0 + 0.75 * y1),
        ]
    return [*cut, points[-1]]

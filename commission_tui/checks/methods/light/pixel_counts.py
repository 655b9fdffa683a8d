"""Pixel faults as logged, against the allowance and the cluster rule."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import replace

from commission_tui.checks.faults.fault_words import about_pixels
from commission_tui.checks.faults.kinds import SOMETHING_ELSE, known_kind
from commission_tui.checks.faults.severity import MANY_IN_A_MODULE, pixels_at_fault
from commission_tui.checks.judgement import answered_no, conclude, judged, sentence_of
from commission_tui.checks.model.types import CheckInput, Figure, Outcome, Verdict
from commission_tui.checks.registry import method
from commission_tui.engineering.quality.pixel_faults import (
    FaultCounts,
    Pixel,
    allowed,
    clusters,
    fault_class,
    ppm,
)
from commission_tui.errors import InputError
from commission_tui.text import counted, listed, lower_first
from commission_tui.wall.model.location import Cell, Location, parse_location
from commission_tui.wall.model.wall_model import Wall

PixelPlace = tuple[Cell, Pixel]
"""A cabinet and a pixel inside it."""
_COUNTED_AS = {
    "pixel dark": "dark",
    "LED knocked off": "dark",
    "pixel stuck lit": "bright",
    "pixel dark in one colour": "partly_dark",
    "pixel dim or tinted": "partly_dark",
    "pixel intermittent": "partly_dark",
}
"""How the display standards would count each kind; where two fit, the graver."""


@method(fields="swept none_seen?", limits="faults_ppm clusters", reads_faults=True)
def pixel_faults(data: CheckInput) -> Outcome:
    """Count the pixel faults that are still there, per million and where they crowd."""
    wall = data.wall
    faults = pixels_at_fault(wall, data.faults)
    uncounted = pixels_not_placed(data)
    close = clusters(wall.canvas_pixel(cell, *pixel) for cell, pixel in faults)
    crowded = _crowded_modules(wall, faults)
    many = f"modules with {MANY_IN_A_MODULE} faults or more"
    per_million, most = ppm(len(faults), wall.lit_pixels), data.limits["clusters"]
    figures = [
        judged("pixel faults per million", per_million, "ppm", limit=data.limits["faults_ppm"]),
        judged("clusters of faults within 5 px", len(close), limit=most),
        judged(many, len(crowded), limit=most),
        Figure("pixel faults counted", len(faults)),
    ]
    allowance = data.limits["faults_ppm"].high
    if allowance is not None and 0 <= allowance <= 1e6:
        figures.append(Figure("pixel faults allowed", allowed(allowance, wall.lit_pixels)))
    unswept, seen = answered_no(data, "swept"), answered_no(data, "none_seen")
    reason = sentence_of(figures) + _class_text(wall, faults)
    for words in (
        "A faulty pixel is seen from the nearest seat" if seen else "",
        f"{counted(len(uncounted), 'more fault')} about pixels not placed pixel by pixel "
        f"({listed(uncounted)}), so the count is too low"
        if uncounted
        else "",
        f"Not swept in {listed(unswept)}" if unswept else "",
    ):
        reason = f"{words}; {lower_first(reason)}" if words else reason
    found = conclude(
        figures,
        reason,
        where=[
            *(*unswept, *uncounted),
            *(str(wall.resolve(Location(pixel=group[0]))) for group in close),
            *crowded,
            *(str(Location(cell=cell, pixel=pixel)) for cell, pixel in faults),
        ],
        next_step="Change the modules of the named pixels, then sweep them in every colour.",
        failed=unswept or seen,
        also=Verdict.MARGINAL if uncounted else None,
    )
    if uncounted and found.verdict is Verdict.MARGINAL:
        step = f"Log each faulty pixel at {listed(uncounted)} by itself."
        return replace(found, next_step=step)
    return found


def pixels_not_placed(data: CheckInput) -> tuple[str, ...]:
    """Return the places of faults that are about pixels and name none.

    A kind of pixel fault placed at a cabinet, or own words that speak of pixels.
    """
    found = []
    for fault in data.faults:
        if fault.is_gone or _names_pixel(data.wall, fault.location):
            continue
        kind = known_kind(fault.kind)
        own = kind is None or kind.name == SOMETHING_ELSE
        if (kind and kind.pixel) or (own and about_pixels(f"{fault.kind} {fault.words}")):
            found.append(fault.location)
    return tuple(dict.fromkeys(found))


def _names_pixel(wall: Wall, place: str) -> bool:
    try:
        return wall.resolve(parse_location(place)).pixel is not None
    except InputError:  # a place that a revision of the wall took away
        return True


def _crowded_modules(wall: Wall, places: Iterable[PixelPlace]) -> list[str]:
    """Return the modules with many faults, the most crowded first."""
    count = Counter((cell, wall.module_at(cell, *pixel)) for cell, pixel in places)
    return [
        str(Location(cell=cell, module=module))
        for (cell, module), faults in count.most_common()
        if faults >= MANY_IN_A_MODULE
    ]


def _class_text(wall: Wall, faults: dict[PixelPlace, str]) -> str:
    """Name the display standard's class for comparison; a contract must name one for it to count."""
    count = Counter(_COUNTED_AS[kind] for kind in faults.values())
    found = fault_class(FaultCounts(**count), wall.lit_pixels)
    if found is None:
        return ""
    return f" (by count alone class {found.name} of {found.standard})"

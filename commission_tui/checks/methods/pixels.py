"""Pixel faults as logged, against the allowance and the cluster rule."""

from __future__ import annotations

from commission_tui.checks.fault_kinds import KINDS
from commission_tui.checks.methods._judging import (
    conclude,
    judged,
    listed,
    noes,
    sentence,
)
from commission_tui.checks.registry import method
from commission_tui.checks.types import CheckInput, Figure, Outcome, Verdict
from commission_tui.errors import InputError
from commission_tui.wall.location import Location, parse_location

_PIXEL_KINDS = frozenset(kind.name for kind in KINDS if kind.pixel)
_GONE = "verified"


@method("pixel_faults", fields=("swept",), limits=("faults_ppm", "clusters"))
def pixel_faults(data: CheckInput) -> Outcome:
    """Count the pixel faults that are still there, per million and in clusters."""
    faults = pixels_at_fault(data)
    figures = [
        judged(
            "pixel faults per million",
            1e6 * len(faults) / data.wall.lit_pixels,
            "ppm",
            limit=data.limits["faults_ppm"],
        ),
        Figure("pixel faults counted", len(faults)),
    ]
    unswept = noes(data, "swept")
    reason = sentence(figures)
    if unswept:
        reason = f"Not swept in {listed(unswept)}; {reason[0].lower()}{reason[1:]}"
    step = "Change the modules of the named pixels, then sweep them in every colour."
    where = [str(location) for location in faults]
    extra = Verdict.FAIL if unswept else None
    return conclude(figures, reason, where=[*unswept, *where], next_step=step, also=extra)


def pixels_at_fault(data: CheckInput) -> list[Location]:
    """Return the places of pixel faults that are not verified as gone, each pixel once."""
    found: dict[Location, None] = {}
    for fault in data.faults:
        if fault.kind not in _PIXEL_KINDS or fault.state == _GONE:
            continue
        try:
            location = data.wall.resolve(parse_location(fault.location))
        except InputError:  # a place that a revision of the wall took away
            continue
        if location.cell is not None and location.pixel is not None:
            found[location] = None
    return list(found)

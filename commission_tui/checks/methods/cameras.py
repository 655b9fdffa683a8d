"""What each camera sees of the wall, and what its shutter and the refresh make of it."""

from __future__ import annotations

from commission_tui.checks.methods._judging import (
    Placed,
    bad_places,
    clauses,
    conclude,
    judged,
    listed,
    noes,
    ranked,
)
from commission_tui.checks.registry import method
from commission_tui.checks.types import CheckInput, Outcome, Verdict


@method(
    "camera_shutter",
    fields=("shutter_s", "bands_grade", "moire_free"),
    limits=("bands_grade", "band_contrast_percent"),
)
def camera_shutter(data: CheckInput) -> Outcome:
    """Judge what was seen on each camera's picture beside what its shutter lets expect."""
    bands = ranked(_seen(data))
    moire = noes(data, "moire_free")
    figures = [figure for _, figure in bands]
    bad = list(dict.fromkeys([*bad_places(bands), *moire]))
    parts = [f"moiré on {listed(moire)}"] if moire else []
    parts += [clauses(figures)] if figures else []
    step = (
        "Set the shutter to a whole number of refresh periods; change framing or focus for moiré."
    )
    extra = Verdict.FAIL if moire else None
    return conclude(figures, "; ".join(parts), where=bad, next_step=step, also=extra)


def _seen(data: CheckInput) -> list[Placed]:
    limit = data.limits["bands_grade"]
    return [
        (name, judged(f"grade of bands on {name}", r.number, limit=limit, expanded=r.expanded))
        for name, r in data.field("bands_grade").items()
    ]

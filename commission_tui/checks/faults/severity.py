"""How grave a fault is where it is, among those that are there, and whether it is in the way of acceptance.

The severity that was logged decides first, then the kind's own rule: what can hurt always blocks;
what stops a contracted function or shows blocks until it is gone or, where the kind allows that,
the client accepts it in writing; what only shows close by counts in the agreed allowance; a note
never blocks. (Common practice, no published source.)
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from math import hypot

from commission_tui.checks.faults.kinds import Blocks, FaultKind, known_kind, usual_severity
from commission_tui.checks.model.types import SEVERITIES, SeenFault, Severity
from commission_tui.errors import InputError
from commission_tui.wall.model.location import Cell, Location, parse_location
from commission_tui.wall.model.wall_model import Wall

SEVERITY_TITLE: Mapping[Severity, str] = {
    "danger": "Danger",
    "stop": "Serious",
    "shows": "Visible",
    "near": "Visible close up",
    "note": "Note",
}
SEVERITY_MEANING: Mapping[Severity, str] = {
    "danger": "can hurt somebody: nobody works or sits there until it is fixed",
    "stop": "an agreed function lost, or the picture's middle spoilt",
    "shows": "seen from the nearest seat with ordinary pictures",
    "near": "seen only from closer than the nearest seat, or on a test pattern",
    "note": "no consequence for the picture",
}

CLOSE_PX = 5.0
MANY_IN_A_MODULE = 3
"""Two within 5 px or three in a module show; common practice, no published source."""
_STILL_THERE = frozenset({"open", "mended"})


def suggested_severity(
    kind: FaultKind, wall: Wall, location: Location, seen: Iterable[SeenFault]
) -> tuple[str, str]:
    """Return the severity to suggest and, where it is not the usual one of the kind, why.

    `location` is resolved on this wall; `seen` are the faults logged so far.
    """
    usual = usual_severity(kind, wall, location)
    why = "" if usual == kind.severity else "in the middle of the picture"
    crowd = _crowd(wall, location, seen) if kind.pixel else ""
    if crowd and SEVERITIES.index(usual) > SEVERITIES.index("shows"):
        return "shows", crowd
    return usual, why


def _crowd(wall: Wall, location: Location, seen: Iterable[SeenFault]) -> str:
    """Say how close other faulty pixels are, when that makes one graver."""
    if location.cell is None or location.pixel is None:
        return ""
    x, y = wall.canvas_pixel(location.cell, *location.pixel)
    module = (location.cell, wall.module_at(location.cell, *location.pixel))
    near, same = 0, 0
    for cell, pixel in pixels_at_fault(wall, seen):
        other_x, other_y = wall.canvas_pixel(cell, *pixel)
        near += 0 < hypot(other_x - x, other_y - y) <= CLOSE_PX
        same += (cell, pixel) != (location.cell, location.pixel) and module == (
            cell,
            wall.module_at(cell, *pixel),
        )
    if near:
        return f"{near + 1} faulty pixels within {CLOSE_PX:g} px"
    if same + 1 >= MANY_IN_A_MODULE:
        return f"{same + 1} faulty pixels in one module"
    return ""


def pixels_at_fault(
    wall: Wall, seen: Iterable[SeenFault]
) -> dict[tuple[Cell, tuple[int, int]], str]:
    """Return cabinet and pixel inside it, and the kind, of pixel faults that are there, each once."""
    found: dict[tuple[Cell, tuple[int, int]], str] = {}
    for fault in seen:
        kind = known_kind(fault.kind)
        if kind is None or not kind.pixel or fault.is_gone:
            continue
        try:
            at = wall.resolve(parse_location(fault.location))
        except InputError:  # a place that a revision of the wall took away
            continue
        if at.cell is not None and at.pixel is not None:
            found.setdefault((at.cell, at.pixel), fault.kind)
    return found


def blocking_rule(kind: str, severity: str) -> Blocks:
    """Return how a fault of a kind (or in own words) and a severity bears on acceptance."""
    if severity == "note":
        return "no"
    if severity == "danger":
        return "always"
    known = known_kind(kind)
    if severity == "near":
        return "no" if known and known.blocks == "no" else "in the allowance"
    if known is None or known.blocks == "in the allowance":
        return "unless accepted"
    return known.blocks


def blocks_acceptance(kind: str, severity: str, state: str) -> bool:
    """Whether a fault in a state (open, mended, verified, accepted) blocks acceptance."""
    rule = blocking_rule(kind, severity)
    if rule == "always":
        return state in _STILL_THERE or state == "accepted"
    return rule == "unless accepted" and state in _STILL_THERE


def blocking_words(kind: str, severity: str) -> str:
    """Say the rule for a fault in one short sentence."""
    # The client may take anything as it is but what can hurt.
    or_taken = "" if severity == "danger" else ", or the client takes it as it is"
    return {
        "always": f"blocks acceptance until it is mended and verified{or_taken}",
        "unless accepted": "blocks acceptance unless the client accepts it in writing",
        "in the allowance": "counts in the agreed allowance",
        "no": "does not block acceptance",
    }[blocking_rule(kind, severity)]

"""The kinds of fault a technician picks from, with where each is located and how grave it is.

Severities, gravest first: ``danger`` can hurt someone; ``stop`` a contracted function is lost;
``shows`` is seen from the nearest seat; ``near`` only closer or on a test pattern; ``note``.
(Common practice, no published source; a job may choose another severity for any fault.)
"""

from __future__ import annotations

from dataclasses import dataclass

from commission_tui.errors import InputError, nearest
from commission_tui.wall.location import Location
from commission_tui.wall.model import Wall


@dataclass(frozen=True, slots=True)
class FaultKind:
    """A kind of fault: its form of location and its usual severity."""

    name: str
    form: str
    severity: str
    pixel: bool = False
    """Whether it counts in the allowance for pixel faults."""
    caution: str = ""


_SUSPENSION = (
    "Clear the area under the wall, touch nothing, call the competent person for the suspension."
)
_ELECTRIC = "Switch off and lock off; only a licensed electrician works on mains."

KINDS = (
    FaultKind("pixel dark", "pixel", "near", pixel=True),
    FaultKind("pixel dark in one colour", "pixel", "near", pixel=True),
    FaultKind("pixel stuck lit", "pixel", "shows", pixel=True),
    FaultKind("pixel dim or tinted", "pixel", "near", pixel=True),
    FaultKind("pixel intermittent", "pixel", "near", pixel=True),
    FaultKind("LED knocked off", "pixel", "near", pixel=True),
    FaultKind("line in module", "module", "shows"),
    FaultKind("module dark", "module", "shows"),
    FaultKind("module one colour lost", "module", "shows"),
    FaultKind("module scrambled", "module", "shows"),
    FaultKind("module in wrong place or turned", "module", "shows"),
    FaultKind("module brighter or darker", "module", "shows"),
    FaultKind("module flickers", "module", "shows"),
    FaultKind("module proud or sunken", "module", "shows"),
    FaultKind("cabinet dark", "cabinet", "stop"),
    FaultKind("cabinet frozen or on its own pattern", "cabinet", "stop"),
    FaultKind("cabinet shows wrong tile", "cabinet", "stop"),
    FaultKind("cabinet turned or mirrored", "cabinet", "stop"),
    FaultKind("cabinet brighter or darker", "cabinet", "shows"),
    FaultKind("cabinet tinted", "cabinet", "shows"),
    FaultKind("cabinet tears or lags", "cabinet", "shows"),
    FaultKind("cabinet hot or fan noise", "cabinet", "near"),
    FaultKind("chain dark from here on", "cabinet", "stop"),
    FaultKind("dark seam", "seam", "shows"),
    FaultKind("bright seam", "seam", "shows"),
    FaultKind("step at seam", "seam", "shows"),
    FaultKind("corner mismatch", "corner", "near"),
    FaultKind("wall not level or plumb", "wall", "shows"),
    FaultKind("no picture on an input", "wall", "stop"),
    FaultKind("input range or colour wrong", "wall", "shows"),
    FaultKind("bands or moire on camera", "wall", "shows"),
    FaultKind("lock or bolt not home", "cabinet", "danger", caution=_SUSPENSION),
    FaultKind("suspension part damaged or overloaded", "wall", "danger", caution=_SUSPENSION),
    FaultKind("breaker or residual device opens", "wall", "stop", caution=_ELECTRIC),
    FaultKind("shock, tingle, heat or smell", "cabinet", "danger", caution=_ELECTRIC),
    FaultKind("document does not match the wall", "wall", "note"),
)
_BY_NAME = {kind.name: kind for kind in KINDS}
_STEP_UP = {"note": "near", "near": "shows", "shows": "stop"}


def fault_kind(name: str) -> FaultKind:
    """Return a kind by name; raise InputError with the nearest name when there is none."""
    try:
        return _BY_NAME[name]
    except KeyError:
        raise InputError(
            f"fault: found {name[:40]!r}, expected a kind of fault{nearest(name, _BY_NAME)}"
        ) from None


def usual_severity(kind: FaultKind, wall: Wall, location: Location) -> str:
    """Return the usual severity: one step up in the middle half of the picture, never to danger."""
    return (
        _STEP_UP.get(kind.severity, kind.severity) if _in_middle(wall, location) else kind.severity
    )


def _in_middle(wall: Wall, location: Location) -> bool:
    if location.cell is None:
        return False
    cabinet = wall.cabinets[location.cell]
    x, y = location.pixel or (cabinet.width_px // 2, cabinet.height_px // 2)
    x, y = cabinet.x_px + x, cabinet.y_px + y
    return (
        wall.width_px <= 4 * x < 3 * wall.width_px and wall.height_px <= 4 * y < 3 * wall.height_px
    )

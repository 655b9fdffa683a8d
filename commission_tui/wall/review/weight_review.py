"""What carries the wall: its weight against what the file says of the points; never an approval."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from commission_tui.engineering.structure.bridle import centre_of_gravity
from commission_tui.engineering.structure.suspension import rated_shares
from commission_tui.wall.model.file_model import SuspensionPoint
from commission_tui.wall.model.wall_model import Wall
from commission_tui.wall.review.findings import Finding

_COMPETENT = "a competent person decides, under local codes"
_HOW = {
    "flown": "are flown: load of each point by the structural engineer's calculation, not by total "
    "over points",
    "stacked": "stand on their base: floor, base and safety against tipping by the structural "
    "engineer's calculation",
    "wall-mounted": "hang on the building's wall: fixings and wall by the structural engineer's "
    "calculation",
}


def weight_findings(wall: Wall) -> Iterator[Finding]:
    mounting = wall.file.wall.mounting
    text = f"{wall.weight_kg:g} kg of cabinets {_HOW[mounting]}."
    yield Finding("note", "suspension", text, _COMPETENT)
    points = wall.file.suspension_points
    yield from _beside_the_wall(wall, points)
    predicted = [p.predicted_kn for p in points if p.predicted_kn is not None]
    if not predicted:
        return
    yield from _over_rating([p for p in points if p.predicted_kn is not None], predicted)
    if len(predicted) == len(points):
        yield from _too_little(wall, math.fsum(predicted))


def _beside_the_wall(wall: Wall, points: Sequence[SuspensionPoint]) -> Iterator[Finding]:
    for point in points:
        if not 0.0 <= point.x_mm <= wall.width_mm:
            text = (
                f"Point {point.name} is {point.x_mm:g} mm from the left edge of a wall that is "
                f"{wall.width_mm:g} mm wide: ask whether that is meant."
            )
            yield Finding("warning", point.name, text, f"wall file; {_COMPETENT}")


def _over_rating(points: list[SuspensionPoint], predicted: list[float]) -> Iterator[Finding]:
    """Compare at rest; what moving adds is the engineer's to say."""
    shares = rated_shares(predicted, [point.rated_kn for point in points], dynamic_factor=1.0)
    for index in shares.over:
        point, share = points[index], shares.points[index]
        text = (
            f"Point {point.name}: predicted load {share.load_kn:g} kN is over its rated "
            f"{share.rated_kn:g} kN; keep everybody out from under it."
        )
        yield Finding("overload", point.name, text, f"suspension schedule; {_COMPETENT}")


def _too_little(wall: Wall, predicted_kn: float) -> Iterator[Finding]:
    """Predicted loads carry the cabinets and the bars: together they cannot be less."""
    cabinets = wall.cabinets.values()
    weight_kn = centre_of_gravity(
        [c.kind.weight_kg for c in cabinets],
        [(c.x_mm + c.width_mm / 2, c.y_mm + c.height_mm / 2) for c in cabinets],
    ).weight_kn
    if predicted_kn < weight_kn:
        text = (
            f"The predicted loads of the points add up to {predicted_kn:.3f} kN; the cabinets alone "
            f"weigh {weight_kn:.3f} kN."
        )
        statics = f"statics: loads at rest carry the weight; {_COMPETENT}"
        yield Finding("contradiction", "suspension", text, statics)
